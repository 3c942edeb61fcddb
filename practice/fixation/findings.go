package fixation

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"earframe/assemble"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// upright says that two units meet along upright faces only, too low for a wire.
func upright(c assemble.Contact) units.Finding {
	return units.Finding{
		Rule: "joint-too-low-for-wire", Severity: units.Note, Unit: c.B,
		Message: fmt.Sprintf("it meets %s along upright faces less than %g mm high only (%.1f mm²); no fixation is "+
			"planned there", c.A, leastHeight, c.Area),
		Value: c.Area, Measure: "mm²",
		Advice: "Wire it slantwise across the joint by eye, or let one unit lie on the other.",
	}
}

// inspect adds what is to be minded about the plan.
func (p *Plan) inspect(f *assemble.Framework) {
	if limit, wired := f.Plan.Printer.Hole, p.wired(); p.HoleMM > 0 && p.HoleMM < limit && len(wired) > 0 {
		p.Findings = append(p.Findings, units.Finding{
			Rule: "pilot-holes-close-up", Severity: units.Warning,
			Message: fmt.Sprintf("pilot holes of %g mm would close up in all units that are wired (%s): a %s printer "+
				"makes %g mm and more",
				p.HoleMM, strings.Join(wired, ", "), f.Plan.Printer.Name, limit),
			Value: p.HoleMM, Limit: limit, Measure: "mm",
			Advice: fmt.Sprintf("Leave out fixation.hole and drill them by hand with %g mm after printing, or give "+
				"fixation.hole %g mm.", p.HoleMM, limit),
		})
	}
	for i := range p.Seams {
		p.inspectSeam(i)
		p.crowded(i)
	}
}

// wired returns the names of the units that fixations pass, in the order of the
// seams.
func (p *Plan) wired() []string {
	var names []string
	for i := range p.Points {
		for _, name := range []string{p.Points[i].Upper, p.Points[i].Lower} {
			if !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}

// crowded adds a finding if wires of a seam run close to those of seams before
// it, in a unit that both pass.
func (p *Plan) crowded(seam int) {
	few, least, other := 0, math.Inf(1), -1
	var at mgl64.Vec3
	for i := range p.Points {
		q := &p.Points[i]
		if q.Seam != seam {
			continue
		}
		near := math.Inf(1)
		for k := range p.Points[:i] {
			before := &p.Points[k]
			if before.Seam == seam || !before.passes(q.Upper) && !before.passes(q.Lower) {
				continue
			}
			if d := between(before, q); d < near {
				near = d
				if d < least {
					least, other, at = d, before.Seam, q.At
				}
			}
		}
		if near < leastEdge-unseen {
			few++
		}
	}
	if few == 0 {
		return
	}
	s := &p.Seams[seam]
	p.Findings = append(p.Findings, units.Finding{
		Rule: "wires-crowded", Severity: units.Note, Unit: s.Lower, At: &at,
		Message: fmt.Sprintf("%s: %d of %d fixations %s less than %g mm from a wire of another seam, the nearest "+
			"%.2f mm from %s", s.Name, few, s.Count, verb(few, "run"), leastEdge, least, p.Seams[other].Name),
		Value: least, Limit: leastEdge, Measure: "mm",
		Advice: "Shift these by half a millimetre along the seam, or let one wire hold all three units.",
	})
}

func (q *Point) passes(unit string) bool { return q.Upper == unit || q.Lower == unit }

// between returns the least distance between two wires, mm, looked at where each
// goes in, changes units and comes out.
func between(a, b *Point) float64 {
	least := math.Inf(1)
	for _, pair := range [][2]*Point{{a, b}, {b, a}} {
		from, to := pair[0], pair[1]
		for _, s := range []float64{-from.UpperMM, 0, from.LowerMM} {
			p := from.At.Add(from.Direction.Mul(s))
			t := min(max(p.Sub(to.At).Dot(to.Direction), -to.UpperMM), to.LowerMM)
			least = min(least, p.Sub(to.At.Add(to.Direction.Mul(t))).Len())
		}
	}
	return least
}

func (p *Plan) inspectSeam(index int) {
	s := &p.Seams[index]
	unit := s.Upper
	if s.Count == 0 {
		at := s.Line[len(s.Line)/2]
		p.Findings = append(p.Findings, units.Finding{
			Rule: "seam-too-short-for-wire", Severity: units.Warning, Unit: unit, At: &at,
			Message: fmt.Sprintf("%s: the seam is %.1f mm long, too short for a fixation every %g mm", s.Name, s.Length,
				p.SpacingMM),
			Value: s.Length, Limit: p.SpacingMM / 2, Measure: "mm",
			Advice: fmt.Sprintf("Give fixation.spacing %.1f mm or less, or let the units lie on one another over a "+
				"longer stretch.", 2*s.Length),
		})
		return
	}
	p.shallow(index, s.Upper, func(q *Point) float64 { return q.UpperMM })
	p.shallow(index, s.Lower, func(q *Point) float64 { return q.LowerMM })
	if few, least, at := p.below(index, leastEdge, func(q *Point) float64 { return q.EdgeMM }); few > 0 {
		p.Findings = append(p.Findings, units.Finding{
			Rule: "wire-near-edge", Severity: units.Warning, Unit: unit, At: &at.At,
			Message: fmt.Sprintf("%s: %d of %d fixations %s less than %g mm from the edge of the contact, the "+
				"nearest %.2f mm", s.Name, few, s.Count, verb(few, "stand"), leastEdge, least),
			Value: least, Limit: leastEdge, Measure: "mm",
			Advice: "The wire may tear out there: widen the contact, or leave those fixations out.",
		})
	}
	p.covered(index)
}

// covered adds a finding if wires of a seam come out under units that are in
// place by then.
func (p *Plan) covered(seam int) {
	var names []string
	var at *mgl64.Vec3
	few := 0
	for i := range p.Points {
		q := &p.Points[i]
		if q.Seam != seam || q.Under == "" {
			continue
		}
		few++
		if at == nil {
			at = &q.At
		}
		if !slices.Contains(names, q.Under) {
			names = append(names, q.Under)
		}
	}
	if few == 0 {
		return
	}
	s, over := &p.Seams[seam], strings.Join(names, ", ")
	p.Findings = append(p.Findings, units.Finding{
		Rule: "wire-comes-out-covered", Severity: units.Note, Unit: s.Lower, At: at,
		Message: fmt.Sprintf("%s: %d of %d fixations %s out under what is in place by then (%s)", s.Name, few, s.Count,
			verb(few, "come"), over),
		Value: float64(few), Measure: "fixations",
		Advice: fmt.Sprintf("Pass these wires before that is laid on (%s), or through it as well.", over),
	})
}

// shallow adds a finding if wires of a seam pass too little of a unit.
func (p *Plan) shallow(seam int, unit string, depth func(q *Point) float64) {
	few, least, at := p.below(seam, leastDepth, depth)
	if few == 0 {
		return
	}
	p.Findings = append(p.Findings, units.Finding{
		Rule: "wire-holds-too-little", Severity: units.Warning, Unit: unit, At: &at.At,
		Message: fmt.Sprintf("%s: %d of %d fixations %s less than %g mm of it, the least %.2f mm", p.Seams[seam].Name,
			few, p.Seams[seam].Count, verb(few, "pass"), leastDepth, least),
		Value: least, Limit: leastDepth, Measure: "mm",
		Advice: "The wire may tear out there: make it thicker or its recess or notch shallower, or leave those " +
			"fixations out.",
	})
}

// verb is what so many fixations do: one stands, two stand.
func verb(few int, plural string) string {
	switch {
	case few != 1:
		return plural
	case strings.HasSuffix(plural, "s"):
		return plural + "es"
	}
	return plural + "s"
}

// unseen is half of a hundredth of a millimetre, to which findings say a length:
// what would be said to be the limit itself is not below it.
const unseen = 0.005

// below counts the points of a seam whose value is below a limit, and returns
// the one where it is least.
func (p *Plan) below(seam int, limit float64, value func(q *Point) float64) (few int, least float64, at Point) {
	least = math.Inf(1)
	for i := range p.Points {
		q := &p.Points[i]
		if q.Seam != seam {
			continue
		}
		v := value(q)
		if v < limit-unseen {
			few++
		}
		if v < least {
			least, at = v, *q
		}
	}
	return few, least, at
}
