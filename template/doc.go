// Package template reads the sheet of outlines traced from an ear: SVG in, true
// scale in millimetres out, with its marks, its mirroring and the skin
// allowance taken off.
//
// Coordinates follow the frame of reference of the whole project: seen from the
// side at a left ear, +x is posterior and +y superior, square to the Frankfort
// horizontal. SVG's y points down; the sheet is turned upright on reading.
package template
