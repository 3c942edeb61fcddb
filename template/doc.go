// Package template reads the sheet of outlines traced from an ear: SVG in, true
// scale in millimetres out, with its marks, its mirroring and the skin
// allowance taken off.
//
// Coordinates follow the frame of reference of the whole project: seen from the
// side at a left ear, +x is posterior and +y superior, square to the Frankfort
// horizontal. SVG's y points down; the sheet is turned upright on reading. The
// origin is the centre of the bounding box of the ear outline (of all outlines
// if there is none).
//
// What is read is said by Read, what a drawing holds by Inspect. Curves become
// polygons that lie within a stated tolerance of them. Faults are collected and
// returned together as Faults; their coordinates are those of the drawing as a
// drawing program shows them: from the top left corner, x to the right, y down.
package template
