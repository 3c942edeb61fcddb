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
	return &key{name: "cartilage", form: sectionForm, help: "The rib cartilage at hand, or to be cast for practice.", keys: []*key{
		{name: "size", form: choiceForm, choices: []string{SizeChild, SizeAdult}, help: "Whose rib cartilages are taken where nothing is measured. Default: child."},
		{name: "ribs", form: listForm, help: "What was measured, one entry a rib.", item: &key{form: sectionForm, keys: []*key{
			{name: "rib", form: wholeForm, least: 6, most: 9, needed: true, help: "Number of the rib, 6 to 9."},
			{name: "length", form: numberForm, unit: "mm", least: 10, most: 250, help: "Along its middle line."},
			{name: "height", form: numberForm, unit: "mm", least: 3, most: 60, help: "Across, at the rib's end."},
			{name: "thickness", form: numberForm, unit: "mm", least: 2, most: 40, help: "Front to back, at the rib's end."},
			{name: "radius", form: numberForm, unit: "mm", least: 15, most: 10000, help: "Of its curve, seen from the front."},
			{name: "taper", form: numberForm, least: 0.2, most: 1.5, help: "Height and thickness at the sternal end over those at the rib's end."},
		}}},
		{name: "joint", form: sectionForm, help: "The synchondrosis of ribs 6 and 7.", keys: []*key{
			{name: "width", form: numberForm, unit: "mm", least: 2, most: 60, help: "Along the ribs."},
			{name: "height", form: numberForm, unit: "mm", least: 8, most: 120, help: "Of both ribs together, across the joint."},
		}},
		{name: "margin", form: numberForm, unit: "mm", least: 0, most: 10, help: "Kept clear of a piece's edge. Default 1."},
		{name: "kerf", form: numberForm, unit: "mm", least: 0, most: 5, help: "Lost between two units cut from one piece. Default 0.5."},
		{name: "strain_limit", form: numberForm, unit: "percent", least: 0.5, most: 60, help: "Stretch of the outer fibre at which cartilage breaks when bent. Default 10: from memory, no published value was seen."},
		{name: "helix_reserve", form: numberForm, unit: "mm", least: 0, most: 40, help: "Added to the helix's length for trimming. Default 3."},
	}}
}

func castingKeys() *key {
	return &key{name: "casting", form: sectionForm, help: "Moulds, and what is poured into them.", keys: []*key{
		{name: "mould", form: choiceForm, choices: []string{MouldFitting, MouldOpen, MouldTwoPart}, help: "fitting: open where the part has a flat face, else in two parts. Default: fitting."},
		{name: "cast", form: choiceForm, choices: []string{CastElastic, CastRigid}, help: "What the cast is when it is taken out. Default: elastic."},
		{name: "wall", form: numberForm, unit: "mm", least: 0.2, most: 30, help: "Around the cavity. Default 3."},
		{name: "draft", form: numberForm, unit: "degrees", least: 0, most: 45, help: "By which the cavity narrows from its opening. Default 0: the cast is the part itself."},
		{name: "shrinkage", form: numberForm, unit: "percent", least: 0, most: 20, help: "Of the cast's length; the cavity is made larger. Default 0: see the material's data sheet."},
		{name: "mix", form: listForm, fewest: 1, help: "What is mixed, in shares by volume. Default: silicone 2, cornstarch 1.", item: &key{form: sectionForm, keys: []*key{
			{name: "name", form: textForm, pattern: `^[^\x00-\x1f]{1,40}$`, longest: 40, matches: "1 to 40 characters", needed: true, help: "What it is."},
			{name: "share", form: numberForm, least: 0.001, most: 1000, needed: true, help: "Its share by volume."},
		}}},
		{name: "spare", form: numberForm, unit: "percent", least: 0, most: 200, help: "Mixed beyond the cavity's volume. Default 15."},
	}}
}

func kitKeys() *key {
	return &key{name: "kit", form: sectionForm, help: "Units printed one by one, to be put together by hand.", keys: []*key{
		{name: "clearance", form: numberForm, unit: "mm", least: 0, most: 2, help: "Of each face to its neighbour's. Default: the printer's."},
		{name: "bed", form: sectionForm, help: "The printer's plate.", keys: []*key{
			{name: "width", form: numberForm, unit: "mm", least: 20, most: 2000, help: "Default 180."},
			{name: "depth", form: numberForm, unit: "mm", least: 20, most: 2000, help: "Default 180."},
		}},
		{name: "gap", form: numberForm, unit: "mm", least: 0, most: 50, help: "Between units on the plate. Default 4."},
	}}
}

func fixationKeys() *key {
	return &key{name: "fixation", form: sectionForm, help: "How the units are wired together.", keys: []*key{
		{name: "spacing", form: numberForm, unit: "mm", least: 0.5, most: 30, help: "Along a seam. Default 3: common practice, no source."},
		{name: "wire", form: numberForm, unit: "mm", least: 0.02, most: 2, help: "Diameter of the wire. Default 0.1."},
		{name: "hole", form: numberForm, unit: "mm", least: 0.05, most: 5, help: "Diameter of pilot holes. Default: no holes."},
		{name: "allowance", form: numberForm, unit: "mm", least: 0, most: 500, help: "Of wire for each fixation, to hold and twist. Default 60."},
	}}
}

func sheetKeys() *key {
	return &key{name: "sheets", form: sectionForm, help: "The paper sheets.", keys: []*key{
		{name: "paper", form: choiceForm, choices: []string{A4, Letter}, help: "Default: a4."},
		{name: "contour", form: numberForm, unit: "mm", least: 0.1, most: 5, help: "Height between contour lines. Default 0.5."},
	}}
}

// OfPractice reports whether the value at a path, such as cartilage.margin,
// concerns the practice set alone and not the framework or its pocket.
func OfPractice(path string) bool {
	section, _, _ := strings.Cut(path, ".")
	return slices.ContainsFunc(practiceKeys(), func(k *key) bool { return k.name == section })
}
