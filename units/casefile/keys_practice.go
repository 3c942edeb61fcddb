package casefile

import (
	"slices"
	"strings"
)

// practiceKeys returns the keys of what a practice set is made to.
func practiceKeys() []*key {
	return []*key{cartilageKeys(), castingKeys(), kitKeys(), fixationKeys(), sheetKeys()}
}

func cartilageKeys() *key {
	const help = "The rib cartilage at hand, or to be cast for practice."
	return &key{name: "cartilage", form: sectionForm, help: help, keys: []*key{
		{
			name: "size", form: choiceForm, choices: []string{SizeChild, SizeAdult}, std: ours(SizeChild),
			help: "Whose rib cartilages are taken where neither age nor measures are given: child, of 6 years, or adult.",
		},
		{
			name: "age", form: numberForm, unit: "years", least: 1, most: 100, example: 10.0,
			std: depends("as cartilage.size says", Default, ""),
			help: "Whose rib cartilages are taken where nothing is measured: interpolated between the published ages 6, " +
				"8.4, 16.5 and adult.",
		},
		ribKey(),
		{name: "joint", form: sectionForm, help: "The synchondrosis of ribs 6 and 7, if it was measured.", keys: []*key{
			{name: "width", form: numberForm, unit: "mm", least: 2, most: 60, example: 15.0, help: "Along the ribs."},
			{
				name: "height", form: numberForm, unit: "mm", least: 8, most: 120, example: 30.0,
				help: "Of both ribs together, across the joint.",
			},
		}},
		{
			name: "margin", form: numberForm, unit: "mm", least: 0, most: 10, std: unsourced(0.5, ourChoice),
			help: "Kept clear of a piece's edge, to draw and hold the unit; it may be carved up to the surface.",
		},
		{
			name: "kerf", form: numberForm, unit: "mm", least: 0, most: 5, std: unsourced(0.3, ourChoice),
			help: "Lost between two units cut from one piece: a blade takes next to nothing, trimming some.",
		},
		{
			name: "material", form: choiceForm, choices: []string{Silicone, YoungCartilage, OldCartilage},
			std:  ours(Silicone),
			help: "What is carved and bent: casts of silicone mix, young or old cartilage.",
		},
		{
			name: "strain_limit", form: numberForm, unit: "percent", least: 0.5, most: 300, example: 80.0,
			std:  depends("by the material: "+strainLimits()+" percent", UnsourcedDefault, ""),
			help: "Stretch of the outer fibre at which it breaks when bent.",
		},
		{
			name: "helix_reserve", form: numberForm, unit: "mm", least: 0, most: 40, std: unsourced(3.0, ourChoice),
			help: "Added to the helix's length for trimming.",
		},
	}}
}

func ribKey() *key {
	return &key{
		name: "ribs", form: listForm, help: "What was measured, one entry a rib.",
		example: []any{map[string]any{
			"rib": 8, "length": 88.0, "height": 12.0, "thickness": 8.0, "radius": 150.0, "taper": 0.8, "height_taper": 0.9,
		}},
		item: &key{form: sectionForm, keys: []*key{
			{name: "rib", form: wholeForm, least: 6, most: 9, needed: true, help: "Number of the rib, 6 to 9."},
			{name: "length", form: numberForm, unit: "mm", least: 10, most: 250, help: "Along its middle line."},
			{name: "height", form: numberForm, unit: "mm", least: 3, most: 60, help: "Across, at the rib's end."},
			{name: "thickness", form: numberForm, unit: "mm", least: 2, most: 40, help: "Front to back, at the rib's end."},
			{name: "radius", form: numberForm, unit: "mm", least: 15, most: 10000, help: "Of its curve, seen from the front."},
			{
				name: "taper", form: numberForm, least: 0.2, most: 1.5,
				help: "Thickness at the sternal end over that at the rib's end.",
			},
			{
				name: "height_taper", form: numberForm, least: 0.2, most: 3,
				help: "Height at the sternal end over that at the rib's end.",
			},
		}},
	}
}

func castingKeys() *key {
	return &key{name: "casting", form: sectionForm, help: "Moulds, and what is poured into them.", keys: []*key{
		{
			name: "mould", form: choiceForm, choices: []string{MouldFitting, MouldOpen, MouldTwoPart}, std: ours(MouldFitting),
			help: "fitting: open where the part has a flat face, else in two parts.",
		},
		{
			name: "cast", form: choiceForm, choices: []string{CastElastic, CastRigid}, std: ours(CastElastic),
			help: "What the cast is when it is taken out: elastic or rigid.",
		},
		{
			name: "wall", form: numberForm, unit: "mm", least: 0.2, most: 30, std: unsourced(3.0, ourChoice),
			help: "Around the cavity.",
		},
		{
			name: "draft", form: numberForm, unit: "degrees", least: 0, most: 45, std: ours(0.0),
			help: "By which the cavity narrows from its opening; at 0 the cast is the part itself.",
		},
		{
			name: "shrinkage", form: numberForm, unit: "percent", least: 0, most: 20,
			std:  &standard{value: 0.0, origin: Default, note: "see the material's data sheet"},
			help: "Of the cast's length; the cavity is made larger.",
		},
		mixKey(),
		{
			name: "spare", form: numberForm, unit: "percent", least: 0, most: 200, std: unsourced(15.0, ourChoice),
			help: "Mixed beyond the cavity's volume.",
		},
	}}
}

// mostIngredients of a mix: what one line for each mould can say on the session
// sheet (our choice).
const mostIngredients = 8

func mixKey() *key {
	share := func(name string, share float64) any { return map[string]any{"name": name, "share": share} }
	return &key{
		name: "mix", form: listForm, fewest: 1, entries: mostIngredients, help: "What is mixed, in shares by volume.",
		std: &standard{
			value: []any{share("silicone", 2), share("cornstarch", 1)}, origin: Default,
			note: "published for practice casts of ribs 6 to 9: PMC7380086 (2020)",
		},
		item: &key{form: sectionForm, keys: []*key{
			{
				// What the sheets' letters can show.
				name: "name", form: textForm, pattern: `^[ -~¡-ÿ]{1,40}$`, longest: 40,
				matches: "1 to 40 letters of western European languages, digits or signs",
				needed:  true, help: "What it is.",
			},
			{name: "share", form: numberForm, least: 0.001, most: 1000, needed: true, help: "Its share by volume."},
		}},
	}
}

func kitKeys() *key {
	const help = "Units printed one by one, to be put together by hand."
	return &key{name: "kit", form: sectionForm, help: help, keys: []*key{
		{
			name: "clearance", form: numberForm, unit: "mm", least: 0, most: 2, example: 0.2,
			std: depends("the printer's", Default, ""), help: "Of each face to its neighbour's.",
		},
		{name: "bed", form: sectionForm, help: "The printer's plate.", keys: []*key{
			{
				name: "width", form: numberForm, unit: "mm", least: 20, most: 2000, std: unsourced(180.0, ourChoice),
				help: "From left to right.",
			},
			{
				name: "depth", form: numberForm, unit: "mm", least: 20, most: 2000, std: unsourced(180.0, ourChoice),
				help: "From front to back.",
			},
		}},
		{
			name: "gap", form: numberForm, unit: "mm", least: 0, most: 50, std: unsourced(4.0, ourChoice),
			help: "Between units on the plate.",
		},
	}}
}

func fixationKeys() *key {
	return &key{name: "fixation", form: sectionForm, help: "How the units are wired together.", keys: []*key{
		{
			name: "spacing", form: numberForm, unit: "mm", least: 0.5, most: 30, std: usual(3.0),
			help: "Along a seam.",
		},
		{
			name: "wire", form: numberForm, unit: "mm", least: 0.02, most: 2,
			std: unsourced(0.1, "38 gauge on the scale of sutures, from memory"), help: "Diameter of the wire.",
		},
		{
			name: "hole", form: numberForm, unit: "mm", least: 0.05, most: 5, example: 0.6,
			help: "Diameter of pilot holes; without it there are none.",
		},
		{
			name: "allowance", form: numberForm, unit: "mm", least: 0, most: 500, std: unsourced(60.0, ourChoice),
			help: "Of wire for each fixation, to hold and twist.",
		},
	}}
}

func sheetKeys() *key {
	return &key{name: "sheets", form: sectionForm, help: "The paper sheets.", keys: []*key{
		{
			name: "paper", form: choiceForm, choices: []string{A4, Letter}, std: ours(A4),
			help: "a4 or letter.",
		},
		{
			name: "contour", form: numberForm, unit: "mm", least: 0.1, most: 5, std: ours(0.5),
			help: "Height between contour lines.",
		},
	}}
}

// OfPractice reports whether the value at a path, such as cartilage.margin,
// concerns the practice set alone and not the framework or its pocket.
func OfPractice(path string) bool {
	section, _, _ := strings.Cut(path, ".")
	return slices.ContainsFunc(practiceKeys(), func(k *key) bool { return k.name == section })
}
