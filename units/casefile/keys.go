package casefile

import (
	"slices"
	"sync"

	"earframe/mesh/contour"
	"earframe/mesh/simplify"
	"earframe/template"
	"earframe/units/parts"
)

// caseKeys returns the whole case file's keys: the one table that the reader, the
// plan, the schema, the help and a new case's text follow.
var caseKeys = sync.OnceValue(func() *key {
	keys := []*key{
		{
			name: "case", form: textForm, needed: true,
			pattern: `^[A-Za-z0-9][A-Za-z0-9 ._-]{0,39}$`, longest: 40,
			matches: "1 to 40 letters, digits, spaces, dots, dashes or underscores, beginning with a letter or digit",
			help:    "A short name for this case, shown and engraved. Never a person's name.",
		},
		{
			name: "side", form: choiceForm, choices: []string{string(Left), string(Right)}, std: ours(string(Left)),
			help: "The ear that is built: left or right.",
		},
		templateKeys(),
		skinKeys(),
		{
			name: "printer", form: choiceForm, choices: []string{Filament, Resin}, std: ours(Filament),
			help: "filament or resin: sets the least wall, stroke and hole that are accepted.",
		},
		engraveKeys(),
		{
			name: "step", form: numberForm, unit: "mm", least: 0.05, most: 1, std: ours(contour.DefaultStep),
			help: "Sampling step of the meshes.",
		},
		{
			name: "tolerance", form: numberForm, unit: "mm", least: 0, most: 0.5, std: ours(simplify.DefaultTolerance),
			help: "How far simplifying may move a mesh's surface.",
		},
		{
			name: "fillet", form: numberForm, unit: "mm", least: 0, most: 3, std: ours(0.0),
			help: "Width of the fillet along the seams of the joined framework, 0 for none; single units stay sharp.",
		},
		{
			name: "leave_out", form: listForm, single: true, item: &key{form: choiceForm, choices: parts.Names()},
			example: []string{string(parts.Tragus)},
			help:    "Parts of the drawing that are not built.",
		},
		{
			name: "units", form: listForm, item: unitKeys(),
			help: "One entry for every unit that differs from the defaults; parts without an entry are built with the defaults.",
		},
		pocketKeys(),
	}
	return &key{form: sectionForm, keys: append(keys, practiceKeys()...)}
})

func templateKeys() *key {
	named := &key{form: choiceForm, choices: slices.Concat(template.PartNames(), template.MarkNames())}
	return &key{name: "template", form: sectionForm, help: "The sheet of outlines and how it was drawn.", keys: []*key{
		{
			name: "file", form: textForm, pattern: `^[^\x00-\x1f]{1,255}$`, matches: "a file name of 1 to 255 characters",
			std: ours("template.svg"), help: "SVG file, beside the case file.",
		},
		{
			name: "drawn", form: choiceForm, choices: []string{DrawnSkin, DrawnFrame}, std: ours(DrawnSkin),
			help: "What outlines are drawn: as they show on the skin (skin), or those of the framework itself (frame).",
		},
		{
			name: "mirror", form: flagForm, std: ours(false),
			help: "true if the template was traced from the other, normal ear.",
		},
		{
			name: "ear_length", form: numberForm, unit: "mm", least: 20, most: 120, example: 60.0,
			help: "Length of the ear outline, for a drawing without real units.",
		},
		{
			name: "names", form: sectionForm, free: &key{form: listForm, single: true, item: named},
			example: map[string]any{"path12": "base", "path15": []string{"ear", "concha"}},
			help:    "What the drawing's own ids stand for: path12: base, or path12: [ear, base]; [] leaves a shape out.",
		},
	}}
}

func skinKeys() *key {
	return &key{name: "skin", form: sectionForm, help: "What the skin adds to the framework.", keys: []*key{
		{
			name: "lateral", form: numberForm, unit: "mm", least: 0, most: 6, std: usual(2.0),
			help: "Skin over the outer surface and at the rim.",
		},
		{
			name: "medial", form: numberForm, unit: "mm", least: 0, most: 6, std: usual(1.5),
			help: "Skin on the surface toward the head; concerns depth only.",
		},
		{
			name: "tension", form: numberForm, unit: kilopascal, least: 0.1, most: 500, std: published(13.5, forearm),
			help: "Natural tension, of skin that is not stretched.",
		},
		{
			name: "tension_sd", form: numberForm, unit: kilopascal, least: 0, most: 500, std: published(5.0, forearm),
			help: "Its standard deviation: how far the answer depends on it is told.",
		},
		{
			name: "modulus", form: numberForm, unit: kilopascal, least: 0, most: 1e5, std: published(129.0, forearm),
			help: "What the tension grows by when the skin is stretched to twice its area.",
		},
	}}
}

func engraveKeys() *key {
	return &key{name: "engrave", form: sectionForm, help: "Text carved into the underside of the base " +
		"frame.", keys: []*key{
		{name: "on", form: flagForm, std: ours(true), help: "Whether it is carved."},
		{
			name: "text", form: textForm, pattern: `^[ -~]{1,40}$`, longest: 40, matches: "1 to 40 plain characters",
			std: depends("L or R and the case's name", Default, "side and case"), example: "L 01", help: "What is carved.",
		},
		{name: "depth", form: numberForm, unit: "mm", least: 0.1, most: 2, std: ours(0.5), help: "How deep."},
	}}
}

func unitKeys() *key {
	identifier := &key{form: textForm, pattern: `^[^\x00-\x1f]{1,120}$`, matches: "the id of an outline"}
	unitName := `^[a-z0-9][a-z0-9_-]{0,39}$`
	return &key{form: sectionForm, keys: []*key{
		{name: "part", form: choiceForm, choices: parts.Names(), needed: true, help: "Which piece of the framework this is."},
		{
			name: "name", form: textForm, pattern: unitName, matches: "1 to 40 small letters, digits, dashes or underscores",
			std:  byPart(func(r parts.Row) any { return string(r.Part) }, Default, "the part"),
			help: "Needed when a part is made of several units.",
		},
		{
			name: "outlines", form: listForm, single: true, fewest: 1, item: identifier,
			std:  depends("all outlines of the part", FromTemplate, "all outlines of the part"),
			help: "Ids of the outlines it is made of.",
		},
		{
			name: "thickness", form: numberForm, unit: "mm", least: 0.2, most: 30,
			std:  byPart(func(r parts.Row) any { return r.Thickness }, UnsourcedDefault, layerHeight),
			help: "Height of the unit, without what its rise adds.",
		},
		riseKey(),
		{name: "edge", form: sectionForm, help: "Radii of the carved edges, at most half the thickness.", keys: []*key{
			{
				name: "top", form: numberForm, unit: "mm", least: 0, most: 10, help: "Radius of the lateral edge.",
				std: byPart(func(r parts.Row) any { return r.EdgeTop }, Default, ourChoice),
			},
			{
				name: "bottom", form: numberForm, unit: "mm", least: 0, most: 10, help: "Radius of the edge toward the head.",
				std: byPart(func(r parts.Row) any { return r.EdgeBottom }, Default, ourChoice),
			},
		}},
		recessKey(identifier.pattern),
		{
			name: "ribs", form: listForm, single: true, fewest: 1, item: &key{form: wholeForm, least: 5, most: 10},
			std:  byPart(func(r parts.Row) any { return given(r.Ribs) }, Default, commonPractice),
			help: "Numbers of the rib cartilages it comes from; without any it is made of what is left.",
		},
		{
			name: "pieces", form: wholeForm, least: 1, most: template.MostPieces,
			other: &key{form: listForm, fewest: 1, item: &key{
				form: textForm, pattern: identifier.pattern, matches: "the id of a line of the drawing, such as cut-1",
			}},
			std: depends("one, or as many as it takes to come out of the cartilage, up to four", Default, ""), example: 2,
			help: "How many pieces it is carved from, or the ids of lines in the drawing along which it is cut.",
		},
		{
			name: "notches", form: listForm, single: true,
			item: &key{form: textForm, pattern: unitName, matches: "the name of a unit"},
			std:  byPart(func(r parts.Row) any { return given(names(r.LetIn)) }, Default, ourChoice),
			help: "Units that are let into this one, by name.",
		},
		{
			name: "clearance", form: numberForm, unit: "mm", least: 0, most: 2,
			std: &standard{value: 0.0, origin: Default, note: "a tight fit"}, help: "Room around a unit that is let into this " +
				"one.",
		},
	}}
}

// given returns a list as a default, none for an empty one.
func given[T any](list []T) any {
	if len(list) == 0 {
		return nil
	}
	return list
}

func names(of []parts.Part) []string {
	all := make([]string, len(of))
	for i, part := range of {
		all[i] = string(part)
	}
	return all
}

// riseKey holds what is said of a rise for each place where a part can lie; on the
// base frame it is that one's thickness.
func riseKey() *key {
	point := func(at, height float64) any { return map[string]any{"at": at, "height": height} }
	return &key{
		name: "rise", form: numberForm, unit: "mm", least: -20, most: 30,
		other: &key{form: listForm, fewest: 2, item: &key{form: sectionForm, keys: []*key{
			{
				name: "at", form: numberForm, least: 0, most: 1, needed: true,
				help: "Place along the centreline, 0 at its first end (of a helix: the crus), 1 at the other.",
			},
			{name: "height", form: numberForm, unit: "mm", least: -20, most: 30, needed: true, help: "Height of the underside " +
				"there."},
		}}},
		std: depends("base frame 0; conchal vault closing the concha from under it; helix from within the concha up onto "+
			"its rim; "+
			"all else on the base frame", UnsourcedDefault, ""),
		example: []any{point(0, -1.5), point(0.2, 3), point(0.9, 3), point(1, 2)},
		help: "Height of the underside above the base frame's underside: one number, or a profile along the unit's " +
			"centreline.",
	}
}

func recessKey(pattern string) *key {
	return &key{
		name: "recesses", form: listForm, help: "Grooves carved into the unit's top.",
		std: depends("of the base frame scapha and fossa, if they are drawn", Default, ""),
		item: &key{form: sectionForm, keys: []*key{
			{
				name: "outline", form: textForm, pattern: pattern, matches: "scapha, fossa or the id of an outline", needed: true,
				help: "scapha, fossa or the id of an outline.",
			},
			{
				// Deep enough to read as a groove, shallow enough to leave two thirds of the plate.
				name: "depth", form: numberForm, unit: "mm", least: 0.1, most: 20, help: "Below the top of the unit.",
				std: unsourced(1.0, "no published value was found"),
			},
			{
				// As a gouge leaves it.
				name: "wall", form: numberForm, unit: "degrees", least: 0, most: 80, std: ours(30.0),
				help: "Slope of the walls from the vertical.",
			},
		}},
	}
}

func pocketKeys() *key {
	return &key{name: "pocket", form: sectionForm, help: "The undermined area under the skin.", keys: []*key{
		{
			name: "margin", form: numberForm, unit: "mm", least: 0, most: 60, std: usual(10.0),
			help: "How far the skin is undermined beyond the ear's outline.",
		},
		{
			name: "depth", form: numberForm, unit: "mm", least: 0.5, most: 60, example: 9.0,
			help: "Depth the pocket takes, if known.",
		},
		{
			name: "extra_skin", form: numberForm, unit: "mm²", least: 0, most: 20000,
			std: &standard{value: 0.0, origin: Default, note: "none"}, help: "Area that the flaps bring in addition.",
		},
		{
			name: "suction", form: quantityForm, unit: kilopascal, units: pressures, least: 0, most: 80,
			other: &key{form: choiceForm, choices: []string{NoSuction}},
			std: published("117.6 mmHg", "a squeezed 100 ml bulb drain at first, Carruthers, Eisemann, Lamp and Kocak, "+
				"Plast Surg Nurs"),
			help: "What the drain draws at first: 118 mmHg, 15.7 kPa, or none.",
		},
		{
			name: "bridging_radius", form: numberForm, unit: "mm", least: 1, most: 1000, example: 6.0,
			other: &key{form: choiceForm, choices: []string{NoSuction}},
			help: "Radius at which unsupported skin bridges, or none, in place of the one that follows from suction, " +
				"thickness and tension of the skin.",
		},
		bolstersKey(),
	}}
}

// BolsterDiameter is the default of a bolster's roll, mm: under 2 mm of skin it comes
// down to the floor of a groove 7 mm wide.
const BolsterDiameter = 3.0

func bolstersKey() *key {
	return &key{
		name: "bolsters", form: listForm, entries: 12,
		help:    "Soft rolls tied down on the skin after closure, each along a line.",
		example: []any{map[string]any{"where": "scapha"}, map[string]any{"where": "concha", "diameter": 6.0}},
		item: &key{form: sectionForm, keys: []*key{
			{
				name: "where", form: textForm, pattern: `^[^\x00-\x1f]{1,120}$`, needed: true,
				matches: "scapha, fossa, concha, rim or the id of a line of the drawing",
				help:    "scapha, fossa, concha, rim (its foot), or the id of a line in the drawing that begins with bolster.",
			},
			{
				name: "diameter", form: numberForm, unit: "mm", least: 2, most: 20, std: usual(BolsterDiameter),
				help: "Of the roll, as it lies tied down.",
			},
		}},
	}
}
