// Package budget says whether the rib cartilage at hand suffices: which unit
// comes out of which piece, where it is laid, how it is turned, and what to do
// where a piece is too small.
//
// Lengths are millimetres, angles degrees in results and radians inside. A unit
// is carved from one face, so it is turned but never turned over.
//
// # Spare
//
// A unit's spare is how far it could grow all round before it meets the margin
// along its piece's edge or the kerf around another unit. A negative spare says
// how far, at the best place there is, the unit's edge still sticks out: the
// piece would have to be that much larger all round.
//
// # What is certain
//
// The best place of one unit in one piece, with what is already laid in it, is
// found by branch and bound over place and turn: no other place is better by
// more than the gap given beside it, 0.05 mm unless the search was cut short, as
// it is where a unit is equally tight in many places (slid along an even rib).
// Several units in one piece are laid one after another and then moved again one
// by one: a good layout, not a proven one. What is laid where
// something lies already is looked for until a place is found: what is said to be short
// by that much might lack less.
//
// # In pieces
//
// A unit that does not come out whole, or that the case wants in pieces, is cut: along
// the lines drawn for it, or in as few pieces as will do, up to four. The cuts tried are
// straight and stepped ones and those over narrow bars, a ring's in pairs; the cheapest
// first, by their length, dearer through notches and recesses. What comes out least is
// cut further (beam search, Lowerre 1976). Another list would be another answer: that
// no way was found is no proof that there is none.
//
// # Bending
//
// The helix is cut as a strip along the curve of its rib, the rib's concave border
// becoming its inner edge, and bent farther. The strain of the outer fibre is half
// the width times the change of curvature; so it is where it is bent up or down to
// its profile, from a level slab, with the height for the width. Where both meet, a
// corner of the section takes the sum. The strain at which the material breaks is
// the case's, since published values are thin.
//
// For practice and teaching only. Real cartilage is uneven, calcified in places
// and warps: what is taken from a patient is decided by the licensed surgeon.
package budget
