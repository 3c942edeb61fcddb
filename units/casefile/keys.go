package casefile

import (
	"slices"

	"earframe/template"
	"earframe/units/parts"
)

// caseKeys returns the whole case file's keys.
func caseKeys() *key {
	keys := []*key{
		{
			name: "case", form: textForm, needed: true,
			pattern: `^[A-Za-z0-9][A-Za-z0-9 ._-]{0,39}$`, longest: 40,
			matches: "1 to 40 letters, digits, spaces, dots, dashes or underscores, beginning with a letter or digit",
			help:    "A short name for this case, shown and engraved. Never a person's name.",
		},
		{name: "side", form: choiceForm, choices: []string{string(Left), string(Right)}, help: "The ear that is built. Default: left."},
		templateKeys(),
		{name: "skin", form: sectionForm, help: "What the skin adds to the framework.", keys: []*key{
			{name: "lateral", form: numberForm, unit: "mm", least: 0, most: 6, help: "Skin over the outer surface and at the rim. Default 2.0: common practice, no source."},
			{name: "medial", form: numberForm, unit: "mm", least: 0, most: 6, help: "Skin on the surface toward the head; concerns depth only. Default 1.5: common practice, no source."},
		}},
		{name: "printer", form: choiceForm, choices: []string{Filament, Resin}, help: "Sets the least wall, stroke and hole that are accepted. Default: filament."},
		{name: "engrave", form: sectionForm, help: "Text carved into the underside of the base frame.", keys: []*key{
			{name: "on", form: flagForm, help: "Default: true."},
			{name: "text", form: textForm, pattern: `^[ -~]{1,40}$`, longest: 40, matches: "1 to 40 plain characters", help: "Default: L or R and the case's name."},
			{name: "depth", form: numberForm, unit: "mm", least: 0.1, most: 2, help: "Default 0.5."},
		}},
		{name: "step", form: numberForm, unit: "mm", least: 0.05, most: 1, help: "Sampling step of the meshes. Default 0.2."},
		{name: "tolerance", form: numberForm, unit: "mm", least: 0, most: 0.5, help: "How far simplifying may move a mesh's surface. Default 0.01."},
		{name: "fillet", form: numberForm, unit: "mm", least: 0, most: 3, help: "Width of the fillet along the seams of the joined framework, 0 for none; single units stay sharp. Default 0."},
		{name: "leave_out", form: listForm, single: true, item: &key{form: choiceForm, choices: parts.Names()}, help: "Parts of the drawing that are not built."},
		{name: "units", form: listForm, item: unitKeys(), help: "One entry for every unit that differs from the defaults; parts without an entry are built with the defaults."},
		{name: "pocket", form: sectionForm, help: "The undermined area under the skin.", keys: []*key{
			{name: "margin", form: numberForm, unit: "mm", least: 0, most: 60, help: "How far the skin is undermined beyond the ear's outline. Default 10: common practice, no source."},
			{name: "depth", form: numberForm, unit: "mm", least: 0.5, most: 60, help: "Depth the pocket takes, if known."},
			{name: "extra_skin", form: numberForm, unit: "mm²", least: 0, most: 20000, help: "Area that the flaps bring in addition. Default 0."},
			{
				name: "bridging_radius", form: numberForm, unit: "mm", least: 1, most: 1000,
				other: &key{form: choiceForm, choices: []string{NoSuction}},
				help:  "Radius at which unsupported skin bridges under suction, or none without suction. Default 6: an estimate, no published value was found.",
			},
		}},
	}
	return &key{form: sectionForm, keys: append(keys, practiceKeys()...)}
}

func templateKeys() *key {
	part := &key{form: choiceForm, choices: slices.Concat(template.PartNames(), template.MarkNames())}
	return &key{name: "template", form: sectionForm, help: "The sheet of outlines and how it was drawn.", keys: []*key{
		{name: "file", form: textForm, pattern: `^[^\x00-\x1f]{1,255}$`, matches: "a file name of 1 to 255 characters", help: "SVG file, beside the case file. Default: template.svg."},
		{name: "drawn", form: choiceForm, choices: []string{DrawnSkin, DrawnFrame}, help: "skin: outlines as they show on the skin, the skin allowance is taken off. frame: outlines of the framework itself. Default: skin."},
		{name: "mirror", form: flagForm, help: "true if the template was traced from the other, normal ear. Default: false."},
		{name: "ear_length", form: numberForm, unit: "mm", least: 20, most: 120, help: "Length of the ear outline, for a drawing without real units."},
		{
			name: "names", form: sectionForm, help: "What the drawing's own ids stand for: path12: base, or path12: [ear, base]; [] leaves a shape out.",
			free: &key{form: listForm, single: true, item: part},
		},
	}}
}

func unitKeys() *key {
	identifier := &key{form: textForm, pattern: `^[^\x00-\x1f]{1,120}$`, matches: "the id of an outline"}
	return &key{form: sectionForm, keys: []*key{
		{name: "part", form: choiceForm, choices: parts.Names(), needed: true, help: "Which piece of the framework this is."},
		{
			name: "name", form: textForm, pattern: `^[a-z0-9][a-z0-9_-]{0,39}$`,
			matches: "1 to 40 small letters, digits, dashes or underscores", help: "Needed when a part is made of several units. Default: the part.",
		},
		{name: "outlines", form: listForm, single: true, fewest: 1, item: identifier, help: "Ids of the outlines it is made of. Default: all of its part."},
		{name: "thickness", form: numberForm, unit: "mm", least: 0.2, most: 30, help: "Height of the unit, without what its rise adds."},
		{
			name: "rise", form: numberForm, unit: "mm", least: -20, most: 30,
			other: &key{form: listForm, fewest: 2, item: &key{form: sectionForm, keys: []*key{
				{name: "at", form: numberForm, least: 0, most: 1, needed: true, help: "Place along the centreline, 0 at its first end (of a helix: the crus), 1 at the other."},
				{name: "height", form: numberForm, unit: "mm", least: -20, most: 30, needed: true, help: "Height of the underside there."},
			}}},
			help: "Height of the underside above the base frame's underside: one number, or a profile along the unit's centreline.",
		},
		{name: "edge", form: sectionForm, help: "Radii of the carved edges, at most half the thickness.", keys: []*key{
			{name: "top", form: numberForm, unit: "mm", least: 0, most: 10, help: "Radius of the lateral edge."},
			{name: "bottom", form: numberForm, unit: "mm", least: 0, most: 10, help: "Radius of the edge toward the head."},
		}},
		{name: "recesses", form: listForm, help: "Grooves carved into the unit's top. Default for the base frame: scapha and fossa, if drawn.", item: &key{form: sectionForm, keys: []*key{
			{name: "outline", form: textForm, pattern: identifier.pattern, matches: "scapha, fossa or the id of an outline", needed: true, help: "scapha, fossa or the id of an outline."},
			{name: "depth", form: numberForm, unit: "mm", least: 0.1, most: 20, help: "Below the top of the unit."},
			{name: "wall", form: numberForm, unit: "degrees", least: 0, most: 80, help: "Slope of the walls from the vertical."},
		}}},
		{name: "ribs", form: listForm, single: true, fewest: 1, item: &key{form: wholeForm, least: 5, most: 10}, help: "Numbers of the rib cartilages it comes from."},
		{name: "notches", form: listForm, single: true, item: &key{form: textForm, pattern: `^[a-z0-9][a-z0-9_-]{0,39}$`, matches: "the name of a unit"}, help: "Units that are let into this one, by name."},
		{name: "clearance", form: numberForm, unit: "mm", least: 0, most: 2, help: "Room around a unit that is let into this one. Default 0: a tight fit."},
	}}
}
