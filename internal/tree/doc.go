// Package tree finds triangles by place: a bounding volume hierarchy over an
// indexed triangle mesh, asked for pairs whose boxes overlap, for the triangle
// that a ray meets first, and for the point nearest to a place.
//
// Coordinates are millimetres. Boxes are rounded outwards to single precision, so
// that nothing is missed. The tree is the same on any number of cores.
package tree
