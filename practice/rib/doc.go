// Package rib makes blanks: pieces of practice cartilage in the shape of the
// costal cartilages 6 to 9, to cast and to carve units from. Ribs 6 and 7, which
// their synchondrosis joins, are one blank; 8 and 9 are one each.
//
// A blank is an oval section swept along a circular arc, as large as was
// measured, else as large as published means say, else as large as a labelled
// guess: every number comes with its source. Lengths are millimetres, angles
// radians.
//
// A blank lies on its back as a right rib cartilage is seen from the front: the
// rib's end to the left (-x), the sternal end to the right, superior up (+y),
// underside at z = 0. The half above the level plane through its middle mirrors
// the half below, so that a blank turned over serves the other side, and a
// two-part mould parts in that plane.
//
// Ribs 6 and 7 widen evenly from the rib's end toward the sternum, by as much as
// their mean height, area over length, asks for; thickness changes apart from that.
//
// Limit: a real cartilage is bent in space, twisted and knobbly, and broadest where
// it touches its neighbour; this one is an even arc. For practice and teaching only: it is no implant and no measure
// of a person.
package rib
