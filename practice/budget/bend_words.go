package budget

import (
	"fmt"
	"strings"

	"earframe/units"
	"earframe/units/casefile"
)

// bendFindings returns where a unit is bent beyond what its material bears, and what
// helps.
func (c *checker) bendFindings(r Unit) []units.Finding {
	b := r.Bend
	if b == nil {
		return nil
	}
	bears := fmt.Sprintf("; %s is taken to bear %.0f percent", casefile.MaterialOf(c.cartilage.Material).Label, b.Limit)
	f := units.Finding{
		Rule: "strip-bent-too-sharply", Severity: units.Warning, Unit: r.Unit, Value: b.Strain, Limit: b.Limit,
		Measure: "percent", Advice: b.advice(),
	}
	var found []units.Finding
	switch {
	case b.Strain > b.Limit:
		f.Message = fmt.Sprintf("bent from %s its %s stretches by %.0f percent at %.0f percent of its length, where it is "+
			"%.1f mm wide", b.from(), b.Stretched, b.Strain, b.StrainAt*percent, b.StrainWidth) + bears
		found = append(found, f)
	case b.Corner > b.Limit && b.Rise <= b.Limit:
		f.Value = b.Corner
		f.Message = fmt.Sprintf("bent round and up or down at once, a corner of it stretches by %.0f percent at %.0f "+
			"percent of its length", b.Corner, b.CornerAt*percent) + bears
		found = append(found, f)
	}
	if b.Rise > b.Limit {
		f.Rule, f.Value = "strip-raised-too-steeply", b.Rise
		f.Message = fmt.Sprintf("bent up and down to its profile it stretches by %.0f percent at %.0f percent of its "+
			"length", b.Rise, b.RiseAt*percent) + bears
		found = append(found, f)
	}
	return found
}

// advice says what to do so that the unit is not bent beyond what it bears.
func (b *Bend) advice() string {
	var ways []string
	if len(b.Thin) > 0 {
		ways = append(ways, "across "+thinnings(b.Thin))
	}
	carve := "carve the bend instead of bending it"
	if len(b.Lower) > 0 {
		ways = append(ways, "in height "+thinnings(b.Lower))
		carve = fmt.Sprintf("carve it to its profile out of a slab of %.1f mm", b.RiseHeight)
	}
	return "Thin it " + strings.Join(ways, ", and ") + "; or " + carve + ". Give cartilage.material or " +
		"cartilage.strain_limit what is at hand"
}

// from says what a unit is bent from.
func (b *Bend) from() string {
	if b.Concave == "" {
		return "a straight strip"
	}
	return "its rib's own curve"
}

// thinnings says where a unit is thinned and by how much.
func thinnings(all []Thinning) string {
	var words []string
	for _, t := range all {
		words = append(words, fmt.Sprintf("to %.1f mm, by %.1f mm at most, from %.0f to %.0f percent of its length (%.0f mm)",
			t.To, t.Off, t.From*percent, t.Until*percent, t.Length))
	}
	return strings.Join(words, ", ")
}

// lie says how a strip lies in its piece and which edge keeps the perichondrium;
// nothing of what is not bent.
func (b *Bend) lie() string {
	if b == nil || b.Perichondrium == "" {
		return ""
	}
	words := fmt.Sprintf(". Leave the perichondrium on the %s and thin from the other", b.Perichondrium)
	if b.Concave == "" {
		return words
	}
	return fmt.Sprintf(". Cut along the rib's curve, its concave border becomes the %s", b.Concave) + words
}
