// Package report makes the pictures a reader sees first: shaded views of the
// units and the framework at true scale, maps of a quantity over the ear, and
// filled sections.
//
// Units are millimetres; every picture carries a scale bar. Views are
// orthographic, so that a length square to the line of sight can be measured in
// any of them. The frame of reference is the project's: at a left ear +x is
// posterior, +y superior and +z lateral; a right ear is the mirror image in x.
//
// Pictures are drawn in software by a z-buffer of our own. A general renderer
// (fogleman/fauxgl) was measured first: about 160 ms on two cores for one view
// of 60,000 triangles at the sampling used here, the time allowed for all five;
// it keeps no normals or owners of pixels, which the depth cue and the drawn
// edges need; and where two faces are equally near, the one drawn last by
// whichever core was slower wins, so that its bytes may differ from run to run.
// Here each band of rows belongs to one worker and faces come in one order:
// the same input gives the same bytes on any number of cores.
package report
