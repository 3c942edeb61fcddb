// Package units turns a case into a plan: which parts are made solid, how
// thick, at what height, with which carved edges and recesses, out of which
// rib, and where each of these values comes from.
//
// A case is a YAML file beside a template. Reading it is strict: every key is
// known, every number has a unit and a range, and all faults are reported at
// once, each with its line and column. One table of keys drives the reader and
// the JSON Schema that editors use.
//
// # Heights
//
// Millimetres; z = 0 is the base frame's underside and z grows laterally, away
// from the head. The rise of a unit is the height of its underside. No
// published table of framework layer heights was found, so the heights used
// when the case gives none are labelled "unsourced default" wherever they are
// shown.
//
// # Centrelines
//
// A unit of one outline that is a strip has a centreline. Places on it are
// fractions of its length, 0 at the first end: of a helix the end of its crus,
// which is the end nearer to the concha (without one, deeper inside the ear); of
// everything else the lower end, or the anterior one if the strip lies level.
//
// # Skin
//
// On a template drawn on the skin the lateral allowance comes off every edge of
// a part as a true planar offset and is added to every edge of a recess, so that
// the groove still shows when skin lines it. The ear's own outline stays. The
// medial allowance concerns depth only.
//
// # Left and right
//
// Seen from the side, a left ear has its posterior at +x and a right ear at -x.
// A drawing shows an ear as it is seen from the side, so it is mirrored only if
// it was traced from the other ear:
//
//	side   mirror  the drawing shows                 what is done
//	left   false   a left ear, posterior to the right   nothing
//	left   true    the right ear, posterior to the left mirrored in x
//	right  false   a right ear, posterior to the left   nothing
//	right  true    the left ear, posterior to the right mirrored in x
//
// A plan whose tragus then lies on the posterior side of its ear carries a
// finding, since mirror was probably forgotten or given once too often.
package units
