// Package anatomy says where the places of an ear lie on a plan: scapha,
// triangular fossa and concha as grooves, helix and antihelix fold as ridges, the
// tragus, and the sides of the frame. Places are planar, seen from the lateral
// side, in millimetres of the plan; they come from the outlines of the units and
// their recesses, so that a part that is not drawn has no place.
//
// Limits: a place has no height. What is beside an outline is named by distances
// of common practice, without a source: see Places.At.
package anatomy
