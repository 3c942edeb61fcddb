// Package report makes the pictures a reader sees first: shaded views of the
// units and the framework at true scale, maps of a quantity over the ear, and
// filled sections.
//
// Units are millimetres; every picture carries a scale bar. Views are
// orthographic, so that a length square to the line of sight can be measured in
// any of them. The frame of reference is the project's: at a left ear +x is
// posterior, +y superior and +z lateral; a right ear is the mirror image in x.
// Scenes are drawn by package render.
package report
