// Package practice puts together what a simulation lab needs for a carving
// session from one case: rib blanks and the moulds to cast them and the units,
// the units as a kit of prints, where they are wired, whether the cartilage
// suffices, and the sheets to print. Each of these has a package of its own
// below this one.
//
// Lengths are millimetres. The same framework gives the same set on any number
// of cores. For practice and teaching only: nothing of it is sterile, for
// patients or for food.
package practice
