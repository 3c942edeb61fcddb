// Package render draws scenes of triangle meshes in software: an orthographic
// camera, a z-buffer, drawn edges, and shading by lamps, sky and cast shadow.
//
// Lengths are millimetres. Samples lie on a grid finer than the pixels, whose
// mean is taken in linear light.
//
// The z-buffer is our own. A general renderer (fogleman/fauxgl) was measured
// first: about 160 ms on two cores for one view of 60,000 triangles at the
// sampling used here, the time allowed for all five; it keeps no normals or
// owners of pixels, which the depth cue and the drawn edges need; and where two
// faces are equally near, the one drawn last by whichever core was slower wins,
// so that its bytes may differ from run to run. Here each band of rows belongs to
// one worker and faces come in one order: the same input gives the same bytes on
// any number of cores.
package render
