// Package assemble stacks carved units by their rise into one framework, and
// says how they fit: where neighbours touch, by how much they reach into one
// another, how far apart they are, and what would go wrong on the bench.
//
// Input is a plan of package units; lengths are millimetres, with z = 0 at the
// base frame's underside. Contacts are measured on the contoured surfaces, so
// they carry the contour's error: about a hundredth of a square millimetre per
// millimetre of seam at the default step.
package assemble
