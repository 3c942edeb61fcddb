package rib

import (
	"fmt"
	"math"

	"earframe/units"
)

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

// ribStandard holds the standards of one rib cartilage at one age, mm.
type ribStandard struct{ length, height, thickness, radius, taper, heightTaper standard }

// jointStandard holds those of the synchondrosis of ribs 6 and 7, mm.
type jointStandard struct{ width, height standard }

// The ages, in years, that numbers are published of. Adults are taken to be grown
// from units.AdultAge on.
const (
	sixYears   = units.ChildAge
	eightYears = 8.4
	adolescent = 16.5
	adult      = units.AdultAge
)

// Where the numbers come from, and what is said where they come from nowhere.
const (
	childLength = "mean of 37 microtia patients aged 6, right side, by CT (PMID 28692518, 2017)"
	childHeight = "mean width at the rib's end of 192 cartilages of several ribs of 75 microtia patients, 9.69 ± 1.67 " +
		"mm by CT, mean age 8 years 5 months (CT study, 2013)"
	adultSeventh = "midway between the means of women, 123.4 ± 14.6 mm (n = 20), and men, 137.5 ± 20.5 mm (n = 32), " +
		"of cadavers (FASEB J 32, suppl 639.7, 2018)"
	adolescents = "mean of both sides of 35 microtia patients of mean age 16.5 (CT study of ribs for ear " +
		"reconstruction, India, 2017-2020)"
	fromMemory  = "from memory: children about 6 to 9 mm, adults about 8 to 13 mm; no published table was found"
	faceHeights = "area over length of women and men of 52 cadavers: 5th 16.1 and 19.1 mm, 7th 14.9 and 17.4 mm " +
		"(derived from FASEB J 32, suppl 639.7, 2018)"
	scaledFace  = "no source for a child's, scaled by the length of the 7th from the adults' mean face height: "
	ofJoint     = "no source: so that both ribs are as high at their joint as published of adolescents, 29.6 mm"
	byFace      = "no source: so that the mean height is %.4g mm (%s)"
	evenFace    = "no source: even, as the height was measured"
	ownChoice   = "no source, earframe's own choice"
	ownRadius   = "no source, earframe's own choice: the rib then turns by about a sixth of a circle"
	medialSixth = "no source for the number; that the medial part of the 6th is the thickest is published (Proc WV " +
		"Acad Sci 89(1), 2017)"
	broadEighth = "no source for the number; that the 8th is broader where it touches the 7th is published (Anatomy of " +
		"the Human Body, 20th ed., 1918)"
	medialEighth = "no source for the number; that the medial part of the 8th is the thinnest is published (Proc WV " +
		"Acad Sci 89(1), 2017)"
	scaledJoint = "no source, scaled from adolescents by the length of the 7th: "
	bothRibs    = "no source: the heights of both ribs and what is left between them"
)

// grown is a number of one cartilage from child to adult.
type grown []aged

// aged is a standard at an age in years.
type aged struct {
	age float64
	standard
}

// from returns a number known at two ages; always one that no age changes.
func from(age float64, young standard, until float64, old standard) grown {
	return grown{{age, young}, {until, old}}
}

func always(s standard) grown { return grown{{0, s}} }

// at returns the number at an age in years: between two known ages linearly, and
// beyond the first and the last as there, which the note says.
func (g grown) at(age float64) standard {
	first, last := g[0], g[len(g)-1]
	switch {
	case len(g) == 1:
		return first.standard
	case age < first.age:
		return first.held("younger")
	case age > last.age:
		return last.held("older")
	}
	for i := range g[1:] {
		if a, b := g[i], g[i+1]; age <= b.age {
			return a.until(b, age)
		}
	}
	return last.standard
}

// held returns the standard as it is taken at ages that nothing is known of.
func (a aged) held(ages string) standard {
	s := a.standard
	s.note += fmt.Sprintf("; held at that of %g years, since nothing %s was found", a.age, ages)
	return s
}

// until returns what lies linearly between two known ages.
func (a aged) until(b aged, age float64) standard {
	switch age {
	case a.age:
		return a.standard
	case b.age:
		return b.standard
	}
	share := (age - a.age) / (b.age - a.age)
	s := standard{
		value:  math.Round(1000*(a.value+share*(b.value-a.value))) / 1000,
		origin: units.Default,
		note: fmt.Sprintf("interpolated at %g years between %g mm at %g (%s) and %g mm at %g (%s)",
			age, a.value, a.age, a.note, b.value, b.age, b.note),
	}
	if a.origin == units.UnsourcedDefault || b.origin == units.UnsourcedDefault {
		s.origin = units.UnsourcedDefault
	}
	return s
}

// grownRib holds the numbers of one rib cartilage.
type grownRib struct {
	length, height, thickness, radius, taper grown
	heightTaper                              grown // none where the mean height says it
	face                                     grown // mean height along the rib
}

// grownRibs returns the numbers of ribs 6 to 9.
func grownRibs(rib int) grownRib {
	height := func(old standard) grown { return from(eightYears, published(9.69, childHeight), adult, old) }
	end := grown{{eightYears, published(9.69, childHeight)}, {adolescent, guessed(10.3, ofJoint)},
		{adult, guessed(12, ownChoice)}}
	face := func(child, adolescents, grownUp standard) grown {
		return grown{{sixYears, child}, {adolescent, adolescents}, {adult, grownUp}}
	}
	thickness := func(young, old float64) grown {
		return from(sixYears, guessed(young, fromMemory), adult, guessed(old, fromMemory))
	}
	radius := func(young, old float64) grown {
		return from(sixYears, guessed(young, ownRadius), adult, guessed(old, ownRadius))
	}
	switch rib {
	case 6:
		return grownRib{
			from(sixYears, published(76.1, childLength), adult, guessed(96.8, "no source, scaled from the child's "+
				"6th as the adult's 7th is to the child's: 76.1 × 130.45 / 102.6")),
			end, thickness(8, 11), radius(62, 79), always(guessed(1.1, medialSixth)),
			nil, face(guessed(13.27, scaledFace+"16.875 × 102.6 / 130.45"), guessed(13.86, ofJoint),
				guessed(16.875, "midway between the 5th and the 7th, "+faceHeights)),
		}
	case 7:
		return grownRib{
			from(sixYears, published(102.6, childLength), adult, published(130.45, adultSeventh)),
			end, thickness(7.5, 10.5), radius(100, 127), always(guessed(1, ownChoice)),
			nil, face(guessed(12.7, scaledFace+"16.15 × 102.6 / 130.45"), guessed(13.1, ofJoint),
				guessed(16.15, "midway between women and men, "+faceHeights)),
		}
	case 8:
		return grownRib{
			from(sixYears, published(75.4, childLength), adolescent, published(89.55, adolescents)),
			height(guessed(14, ownChoice)),
			thickness(7, 10), radius(80, 95), always(guessed(0.6, medialEighth)), always(guessed(1, broadEighth)), nil,
		}
	}
	return grownRib{
		from(sixYears, guessed(51.1, "no source, scaled from the child's 8th as the adolescents' 9th is to their "+
			"8th: 75.4 × 60.7 / 89.55"), adolescent, published(60.7, adolescents)),
		height(guessed(12, ownChoice)),
		thickness(6.5, 9), radius(60, 72), always(guessed(0.5, ownChoice)), always(guessed(0.5, ownChoice)), nil,
	}
}

// widening returns the taper of a height, mm at the rib's end, that changes evenly, by
// its mean.
func widening(end float64, face standard) standard {
	return guessed(math.Round(1000*(2*face.value/end-1))/1000, fmt.Sprintf(byFace, face.value, face.note))
}

// standardsOf returns the standards at an age in years. That the 8th grows
// unevenly from 5 to 10 years is published without numbers; all is interpolated
// linearly.
func standardsOf(age float64) (rib func(int) ribStandard, joint jointStandard) {
	rib = func(rib int) ribStandard {
		g := grownRibs(rib)
		s := ribStandard{length: g.length.at(age), height: g.height.at(age), thickness: g.thickness.at(age),
			radius: g.radius.at(age), taper: g.taper.at(age)}
		if g.face == nil {
			s.heightTaper = g.heightTaper.at(age)
		} else {
			s.heightTaper = widening(s.height.value, g.face.at(age))
		}
		return s
	}
	return rib, jointStandard{
		from(sixYears, guessed(11.8, scaledJoint+"15.05 × 102.6 / 130.45"),
			adolescent, published(15.05, adolescents)).at(age),
		grown{{sixYears, guessed(28.66, bothRibs)}, {adolescent, published(29.6, adolescents)},
			{adult, guessed(36.64, bothRibs)}}.at(age),
	}
}

// ageFindings tells of an age younger than any that is published.
func ageFindings(age float64) []units.Finding {
	if age >= sixYears {
		return nil
	}
	return []units.Finding{{
		Rule: "cartilage-younger-than-published", Severity: units.Warning,
		Message: fmt.Sprintf("at %g years the cartilages are likely smaller than the blanks: the youngest of whom "+
			"lengths are published are %g, and theirs are taken", age, float64(sixYears)),
		Value: age, Limit: sixYears, Measure: "years",
		Advice: fmt.Sprintf("Give cartilage.age at least %g, or what was measured in cartilage.ribs", float64(sixYears)),
	}}
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
	// jointGap lies between the ribs, of the joint's height, where no height was
	// measured: they touch there, and a mould's wall of 0.9 mm must stand between them.
	jointGap    = 0.035
	jointDepth  = 0.85 // of the joint front to back, of the thinner rib's thickness: a shallow groove on either face
	jointFillet = 0.35 // width of the fillet, of the least extent of the ribs there
	filletOfGap = 2    // and at most, of the gap: wider ones would meet in a crease
)
