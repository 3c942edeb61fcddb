// Package field says solids as signed distance: a function that is negative
// inside, zero on the surface and positive outside, in millimetres.
//
// Everything earframe makes is said in this one algebra: outlines become
// prisms with rounded edges that follow a rise, prisms are united, recesses are
// taken away, skin is an offset. Fields that touch or overlap need no special
// case, which polygon booleans do; the price is sampling error, which package
// contour bounds when it makes a mesh of a field.
//
// Guarantee: the sign of every field is exact up to rounding, and Range never
// excludes a value the field takes. Limit: away from its surface a field may
// underestimate the distance (after unions, recesses or a sloping rise); it
// never has a gradient longer than Lipschitz.
package field
