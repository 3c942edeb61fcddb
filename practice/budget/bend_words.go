package budget

import (
	"fmt"
	"slices"
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
	f := units.Finding{Severity: units.Warning, Unit: r.Unit, Limit: b.Limit, Measure: "percent"}
	var found []units.Finding
	raised := b.Rise > b.Limit
	if b.Strain > b.Limit || b.Corner > b.Limit && !raised {
		f.Rule, f.Value = "strip-bent-too-sharply", b.Strain
		f.Message = fmt.Sprintf("bent from %s its %s stretches by %.0f percent at %.0f percent of its length, where it is "+
			"%.1f mm wide", b.from(), b.Stretched, b.Strain, b.StrainAt*percent, b.StrainWidth) + bears
		if b.Strain <= b.Limit {
			f.Value = b.Corner
			f.Message = fmt.Sprintf("bent round and up or down at once, a corner of it stretches by %.0f percent at %.0f "+
				"percent of its length", b.Corner, b.CornerAt*percent) + bears
		}
		f.Advice = b.advice(true, !raised)
		found = append(found, f)
	}
	if raised {
		f.Rule, f.Value = "strip-raised-too-steeply", b.Rise
		f.Message = fmt.Sprintf("bent up and down to its profile it stretches by %.0f percent at %.0f percent of its "+
			"length", b.Rise, b.RiseAt*percent) + bears
		f.Advice = b.advice(len(found) == 0, true)
		found = append(found, f)
	}
	return found
}

// mostOff is the share of a unit's width or height that thinning may take so that it
// is still advised first: what is left of more holds no suture (earframe's own choice).
const mostOff = 0.5

// advice says what to do so that the unit is not bent beyond what it bears: across,
// in height, or both.
func (b *Bend) advice(across, inHeight bool) string {
	var ways []string
	carve, slight := "carve the bend instead of bending it", true
	if across && len(b.Thin) > 0 {
		ways = append(ways, "across "+thinnings(b.Thin))
		slight = slight && keeps(b.Thin)
	}
	if inHeight && len(b.Lower) > 0 {
		ways = append(ways, "in height "+thinnings(b.Lower))
		slight = slight && keeps(b.Lower)
		carve = fmt.Sprintf("carve it to its profile out of a slab of %.1f mm", b.RiseHeight)
	}
	thin := "thin it " + strings.Join(ways, ", and ")
	if !slight {
		carve, thin = thin, carve
	}
	return strings.ToUpper(thin[:1]) + thin[1:] + "; or " + carve +
		". Give cartilage.material or cartilage.strain_limit what is at hand"
}

// keeps reports whether thinning leaves enough to be advised first.
func keeps(all []Thinning) bool {
	return !slices.ContainsFunc(all, func(t Thinning) bool { return t.Off > mostOff*(t.To+t.Off) })
}

// from says what a unit is bent from.
func (b *Bend) from() string {
	if b.Own == 0 {
		return "a straight strip"
	}
	return fmt.Sprintf("its rib's own curve, of a radius of %.0f mm,", b.Own)
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
func (c *checker) lie(b *Bend) string {
	if b == nil || b.Perichondrium == "" {
		return ""
	}
	words := ""
	if b.Concave != "" {
		words = fmt.Sprintf(". Cut along the rib's curve, its concave border becomes the %s", b.Concave)
	}
	if c.cartilage.Material == units.Silicone {
		return words + fmt.Sprintf(". Thin it from the %s: cartilage keeps its perichondrium on the other",
			b.Perichondrium.Other())
	}
	return words + fmt.Sprintf(". Leave the perichondrium on the %s and thin it from the other", b.Perichondrium)
}
