package pocket

import (
	"fmt"
	"math"
	"strings"

	"earframe/units"
	"earframe/units/casefile"
)

const (
	// emptiedForce is the uniaxial tension, N/mm, at which capillaries of forearm skin
	// were emptied: Bader et al. 1986, Arch Phys Med Rehabil 67:807.
	emptiedForce = 1.33
	// capillaryPressure is what stands in capillaries, kPa, about 32 mmHg: Landis 1930,
	// Heart 15:209. Whether skin suffers above it is contested.
	capillaryPressure = 32 * casefile.MmHg
	// mostlyResting is the share of a roll's length from which it does what it is for;
	// ours, no source.
	mostlyResting = 0.5
)

// bolsterFindings asks of every bolster whether it lies where it does good, and how
// hard it presses.
func (r *Result) bolsterFindings() []units.Finding {
	found := r.misplaced
	if r.Measures.Bolsters == nil {
		return found
	}
	rolls := r.Measures.Bolsters.Rolls
	for n, roll := range rolls {
		if roll.Resting < mostlyResting {
			found = append(found, r.offFloor(n, roll))
		}
	}
	return append(append(found, r.crossing()...), r.pressesHard(rolls)...)
}

// offFloor says of a roll that it does not come down.
func (r *Result) offFloor(n int, roll BolsterRoll) units.Finding {
	b, skin := r.bolsters[n], r.Plan.Skin.Lateral
	f := units.Finding{
		Rule: "bolster-off-floor", Severity: units.Warning, Place: roll.Name, At: r.over(roll.At, r.Drape.Height(roll.At)),
		Message: fmt.Sprintf("%s: the bolster of %g mm presses the skin to the floor along %.0f %% of its length and stops "+
			"up to %.1f mm over it", roll.Key, roll.Diameter, 100*roll.Resting, roll.Stands),
		Value: roll.Diameter, Measure: "mm",
		Advice: "It lies on what stands on either side: lay it where there is more room, or take a thinner one.",
	}
	if b.Width == 0 {
		return f
	}
	fits := b.Width - 2*skin
	f.Limit = max(fits, 0)
	need := roll.Diameter + 2*skin
	switch {
	case need < b.Width:
		f.Advice = fmt.Sprintf("The %s is %.1f mm wide at its widest and narrower along most of it: take a thinner one, or "+
			"carve it %.1f mm wide throughout.", b.Name, b.Width, need)
	case fits >= leastRoll:
		f.Advice = fmt.Sprintf("The %s is %.1f mm wide and the roll takes %.1f mm with the skin on both sides: take one of "+
			"%.1f mm at most, or carve it wider.", b.Name, b.Width, need, math.Floor(10*fits)/10)
	default:
		f.Advice = fmt.Sprintf("The %s is %.1f mm wide and the roll takes %.1f mm with the skin on both sides: carve it "+
			"wider; "+
			"no roll comes down in it.", b.Name, b.Width, need)
	}
	return f
}

// leastRoll is the thinnest roll that the case takes, mm.
const leastRoll = 2

// crossing finds bolsters that would lie on one another.
func (r *Result) crossing() []units.Finding {
	var found []units.Finding
	for n, b := range r.bolsters {
		for _, other := range r.bolsters[:n] {
			near, at := math.Inf(1), b.Along[0]
			for _, p := range b.Along {
				for _, q := range other.Along {
					if apart := p.Sub(q).Len(); apart < near {
						near, at = apart, p
					}
				}
			}
			room := (b.Diameter + other.Diameter) / 2
			if near >= room {
				continue
			}
			found = append(found, units.Finding{
				Rule: "bolsters-cross", Severity: units.Warning, At: r.over(at, r.Drape.Height(at)),
				Message: fmt.Sprintf("%s and %s come within %.1f mm of one another, and their rolls take %.1f mm from middle "+
					"to middle", other.Key, b.Key, near, room),
				Value: near, Limit: room, Measure: "mm",
				Advice: "One would lie on the other: end one of them earlier, or take one bolster for both.",
			})
		}
	}
	return found
}

// pressesHard compares the hardest rolls with what is published.
func (r *Result) pressesHard(rolls []BolsterRoll) []units.Finding {
	var found []units.Finding
	var hard []string
	var worst BolsterRoll
	for _, roll := range rolls {
		if roll.Pressure > capillaryPressure {
			hard = append(hard, roll.Name)
		}
		if roll.Pressure > worst.Pressure {
			worst = roll
		}
		if force := max(roll.Force, roll.Drained); force >= emptiedForce {
			found = append(found, units.Finding{
				Rule: "bolster-presses-hard", Severity: units.Warning, Place: roll.Name,
				Message: fmt.Sprintf("%s: the bolster bears %.2f N/mm; at %.2f N/mm of pull capillaries of forearm skin "+
					"were empty", roll.Key, force, emptiedForce),
				Value: force, Limit: emptiedForce, Measure: "N/mm",
				Advice: "Bring more skin, so that less tension is on it.",
			})
		}
	}
	if len(hard) > 0 {
		found = append(found, units.Finding{
			Rule: "bolster-presses-hard", Severity: units.Note,
			Message: fmt.Sprintf("skin under the bolsters (%s) is pressed with up to %.0f mmHg once suction is gone; "+
				"capillaries hold about %.0f mmHg, and whether more harms skin is contested",
				strings.Join(hard, ", "), worst.Pressure/casefile.MmHg, capillaryPressure/casefile.MmHg),
			Value: worst.Pressure, Limit: capillaryPressure, Measure: "kPa",
			Advice: "A thicker roll presses less. Tie it no harder than it takes for the skin to lie on.",
		})
	}
	return found
}
