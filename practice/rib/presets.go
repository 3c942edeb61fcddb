package rib

import "earframe/units"

// standard is what is taken where nothing was measured, and why.
type standard struct {
	value  float64
	origin units.Origin
	note   string
}

// published is a standard with its source; guessed has none and says so.
func published(value float64, source string) standard {
	return standard{value, units.Default, source}
}

func guessed(value float64, note string) standard {
	return standard{value, units.UnsourcedDefault, note}
}

// ribStandard holds the standards of one rib cartilage, mm.
type ribStandard struct{ length, height, thickness, radius, taper standard }

// jointStandard holds those of the synchondrosis of ribs 6 and 7, mm.
type jointStandard struct{ width, height standard }

// Where the numbers come from, and what is said where they come from nowhere.
const (
	childLength = "mean at age 6, right side, by CT, n = 37 (PMID 28692518, 2017)"
	childHeight = "mean width at the rib's end of 192 cartilages of several ribs, 9.69 ± 1.67 mm by CT, mean age 8 " +
		"years 5 months (CT study of microtia, 2013)"
	adultSeventh = "midway between the means of women, 123.4 ± 14.6 mm (n = 20), and men, 137.5 ± 20.5 mm (n = 32), " +
		"of cadavers (FASEB J 32, suppl 639.7, 2018)"
	adolescents = "mean of the right and the left side, mean age 16.5 years, n = 35 (CT study of ribs for ear " +
		"reconstruction, India, 2017-2020)"
	fromMemory  = "from memory: children about 6 to 9 mm, adults about 8 to 13 mm; no published table was found"
	ownChoice   = "no source, earframe's own choice"
	ownRadius   = "no source, earframe's own choice: the rib then turns by about a sixth of a circle"
	medialSixth = "no source for the number; that the medial part of the 6th is the thickest is published (Proc WV " +
		"Acad Sci 89(1), 2017)"
	medialEighth = "no source for the number; that the medial part of the 8th is the thinnest is published (Proc WV " +
		"Acad Sci 89(1), 2017)"
)

// childRib returns the standards of units.SizeChild for ribs 6 to 9.
func childRib(rib int) ribStandard {
	height := published(9.69, childHeight)
	switch rib {
	case 6:
		return ribStandard{published(76.1, childLength), height, guessed(8, fromMemory), guessed(65, ownRadius),
			guessed(1.1, medialSixth)}
	case 7:
		return ribStandard{published(102.6, childLength), height, guessed(7.5, fromMemory), guessed(85, ownRadius),
			guessed(1, ownChoice)}
	case 8:
		return ribStandard{published(75.4, childLength), height, guessed(7, fromMemory), guessed(80, ownRadius),
			guessed(0.6, medialEighth)}
	default:
		return ribStandard{
			guessed(51.1, "no source, scaled from the child's 8th as the adult's 9th is to the 8th: 75.4 × 60.7 / "+
				"89.55"),
			height, guessed(6.5, fromMemory), guessed(60, ownRadius), guessed(0.5, ownChoice),
		}
	}
}

// adultRib returns the standards of units.SizeAdult for ribs 6 to 9.
func adultRib(rib int) ribStandard {
	switch rib {
	case 6:
		return ribStandard{
			guessed(96.8, "no source, scaled from the child's 6th as the adult's 7th is to the child's: 76.1 × "+
				"130.45 / 102.6"),
			guessed(12.1, "no source: what the published height of the joint leaves beside the 7th"),
			guessed(11, fromMemory), guessed(83, ownRadius), guessed(1.1, medialSixth),
		}
	case 7:
		return ribStandard{
			published(130.45, adultSeventh),
			guessed(15.5, "between the mean face heights (area over length) of women, 14.9 mm, and men, 17.4 mm "+
				"(derived from FASEB J 32, suppl 639.7, 2018); low in the range, since the joint measured on "+
				"adolescents leaves no more"),
			guessed(10.5, fromMemory), guessed(110, ownRadius), guessed(1, ownChoice),
		}
	case 8:
		return ribStandard{published(89.55, adolescents), guessed(14, ownChoice), guessed(10, fromMemory),
			guessed(95, ownRadius), guessed(0.6, medialEighth)}
	default:
		return ribStandard{published(60.7, adolescents), guessed(12, ownChoice), guessed(9, fromMemory),
			guessed(72, ownRadius), guessed(0.5, ownChoice)}
	}
}

// standardsOf returns the standards of one of the two sizes.
func standardsOf(size string) (rib func(int) ribStandard, joint jointStandard) {
	if size == units.SizeAdult {
		return adultRib, jointStandard{published(15.05, adolescents), published(29.6, adolescents)}
	}
	return childRib, jointStandard{
		guessed(11.8, "no source, scaled from adolescents by the length of the 7th: 15.05 × 102.6 / 130.45"),
		guessed(23.3, "no source, scaled from adolescents by the length of the 7th: 29.6 × 102.6 / 130.45"),
	}
}

// blunting is the radius at the edge of a blunt end, as a share of the radius of
// the section's ends. No source, earframe's own choice.
const blunting = 0.6

// Where along ribs 6 and 7 the middle of their joint lies, as a share of their
// length from the rib's end: their sternal ends then come out side by side. No
// source, earframe's own choice.
const (
	jointAlongSixth   = 0.60
	jointAlongSeventh = 0.65
)

// Of the joint, as shares. No source, earframe's own choice.
const (
	jointGap    = 0.045 // between the ribs, of the joint's height, where no height was measured
	jointDepth  = 0.85  // of the joint front to back, of the thinner rib's thickness: a shallow groove on either face
	jointFillet = 0.35  // width of the fillet, of the least extent of the ribs there
	filletOfGap = 2     // and at most, of the gap: wider ones would meet in a crease
)
