// Package simplify gives a mesh fewer triangles, within a stated tolerance of the
// surface it had, and keeps it closed, manifold and free of self-intersections.
//
// Units are millimetres.
package simplify
