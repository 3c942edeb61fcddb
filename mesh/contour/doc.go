// Package contour turns a field into a triangle mesh: closed, edge- and
// vertex-manifold, wound outwards and without self-intersections.
//
// Units are millimetres; inside is negative.
package contour
