package rib

import (
	"fmt"
	"math"
	"slices"

	"earframe/field"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Blank is one piece of practice cartilage, mm. The middle of its outline's box
// is at x = y = 0.
type Blank struct {
	Name          string // rib-8, ribs-6-7
	Label         string // for a reader: "8th rib cartilage"
	Ribs          []int
	Length        float64            // along the middle line, of the longest rib in it
	Height        float64            // greatest, across: of the joint, if there is one
	ThicknessMost float64            // front to back at its thickest
	Thickness     float64            // and at its thinnest, rounded ends left out
	Middle        float64            // z of the plane that its halves mirror each other in
	Sizes         []Size             // one a rib
	Joint         *Joint             // of ribs 6 and 7
	Values        []units.Value      // what it was made to, and where each number comes from
	Outline       template.Outline   // silhouette seen from the front
	Each          []template.Outline // silhouettes of the single ribs, in the order of Ribs
	Solid         field.Field        // underside at z = 0
}

// Blanks returns the blanks that the plan's cartilage comes as: ribs 6 and 7 in
// one piece, or each for itself if the plan's units name one of them alone and
// none names both; then 8 and 9. What was measured counts, else the standards of
// the age; each blank's Values say which.
//
// Findings tell where a blank is not what was meant, though it can be made. The
// error joins a *Fault for every measurement that no blank can be made to.
func Blanks(plan *units.Plan) ([]Blank, []units.Finding, error) {
	c := &chooser{plan: plan}
	age := plan.Practice.Cartilage.Age
	of, joint := standardsOf(age)
	var blanks []Blank
	findings := ageFindings(age)
	ribs := []int{6, 7, 8, 9}
	if together(plan) {
		blank, found := c.pair(of, joint)
		blanks, findings, ribs = append(blanks, blank), append(findings, found...), ribs[2:]
	}
	for _, rib := range ribs {
		blanks = append(blanks, c.single(rib, of(rib)))
	}
	if err := c.err(); err != nil {
		return nil, nil, err
	}
	return blanks, findings, nil
}

// together reports whether ribs 6 and 7 are wanted in one piece.
func together(plan *units.Plan) bool {
	alone := false
	for _, u := range plan.Units {
		six, seven := slices.Contains(u.Ribs, 6), slices.Contains(u.Ribs, 7)
		if six && seven {
			return true
		}
		alone = alone || six || seven
	}
	return !alone
}

// single returns the blank of one rib.
func (c *chooser) single(rib int, s ribStandard) Blank {
	c.values = nil
	faults := len(c.faults)
	size := c.size(rib, s)
	if len(c.faults) > faults {
		return Blank{}
	}
	b := Blank{
		Name: fmt.Sprintf("rib-%d", rib), Label: fmt.Sprintf("%dth rib cartilage", rib), Ribs: []int{rib},
		Height: size.Height * math.Max(1, size.HeightTaper), Sizes: []Size{size}, Values: c.values,
	}
	b.measure()
	b.lay(func(shift mgl64.Vec2) field.Field {
		shape := shapeOf(size)
		shape.axis, shape.level, shape.start = shift, b.Middle, levelStart(shape)
		return newSweep(shape)
	})
	b.Each = []template.Outline{b.Outline}
	return b
}

// pair returns the blank of ribs 6 and 7, and what is odd about it.
func (c *chooser) pair(of func(int) ribStandard, s jointStandard) (Blank, []units.Finding) {
	c.values = nil
	faults := len(c.faults)
	sixth, seventh := c.size(6, of(6)), c.size(7, of(7))
	if len(c.faults) > faults {
		return Blank{}, nil
	}
	joint, sixth, seventh := c.joint(sixth, seventh, s)
	if len(c.faults) > faults {
		return Blank{}, nil
	}
	b := Blank{
		Name: "ribs-6-7", Label: "6th and 7th rib cartilage with their synchondrosis", Ribs: []int{6, 7},
		Height: joint.Height, Sizes: []Size{sixth, seventh}, Joint: &joint, Values: c.values,
	}
	b.measure()
	w := join(sixth, seventh, joint, b.Middle, b.ThicknessMost)
	shift := b.lay(w.solid)
	for _, shape := range []sweepShape{w.sixth, w.seventh} {
		shape.axis = shape.axis.Add(shift)
		b.Each = append(b.Each, nested(trace(newSweep(shape), b.Middle))[0])
	}
	return b, w.findings(b, shift, c.plan.Printer)
}

// measure fills in what follows from the sizes.
func (b *Blank) measure() {
	b.Thickness = math.Inf(1)
	for _, s := range b.Sizes {
		b.Length = math.Max(b.Length, s.Length)
		b.ThicknessMost = math.Max(b.ThicknessMost, s.Thickness*math.Max(1, s.Taper))
		b.Thickness = math.Min(b.Thickness, s.Thickness*math.Min(1, s.Taper))
	}
	if b.Joint != nil {
		b.Thickness = math.Min(b.Thickness, b.Joint.Thickness)
	}
	b.Middle = b.ThicknessMost / 2
}

// lay traces the solid's outline, and makes the solid once more where the middle
// of that is the origin. It returns how far the solid was moved.
func (b *Blank) lay(build func(shift mgl64.Vec2) field.Field) mgl64.Vec2 {
	rings := trace(build(mgl64.Vec2{}), b.Middle)
	low, high := mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
	for _, ring := range rings {
		for _, p := range ring {
			for k, v := range p {
				low[k], high[k] = math.Min(low[k], v), math.Max(high[k], v)
			}
		}
	}
	shift := low.Add(high).Mul(-0.5)
	for _, ring := range rings {
		for i := range ring {
			ring[i] = ring[i].Add(shift)
		}
	}
	b.Solid = build(shift)
	b.Outline = nested(rings)[0]
	b.Outline.ID = b.Name
	return shift
}

// Slab returns the outlines of the level slab of that thickness, mm, that can be
// cut out of the blank's middle: where the blank is at least as thick as that.
// There are none if it is nowhere so thick, and several if only its thin parts
// hold them together.
func (b Blank) Slab(thickness float64) []template.Outline {
	slab := nested(trace(b.Solid, b.Middle+thickness/2))
	for i := range slab {
		slab[i].ID = b.Name
	}
	return slab
}

// findings returns what is odd about the piece.
func (w *joined) findings(b Blank, shift mgl64.Vec2, printer units.Printer) []units.Finding {
	var findings []units.Finding
	width, sixth, seventh := b.Joint.Width, b.Sizes[0], b.Sizes[1]
	if length, place := w.touching(width); length > 0 {
		at := place.Add(shift).Vec3(b.Middle)
		findings = append(findings, units.Finding{
			Rule: "ribs-run-together", Severity: units.Warning, Unit: b.Name,
			Message: fmt.Sprintf("ribs 6 and 7 run into each other over %.1f mm beyond their joint", length),
			At:      &at, Value: length, Measure: "mm",
			Advice: fmt.Sprintf("Give cartilage.joint.height more than %g mm, or cartilage.ribs[6].radius less than "+
				"%g mm", b.Joint.Height, sixth.Radius),
		})
	} else if least := 2 * printer.Clearance; w.gap < least {
		findings = append(findings, units.Finding{
			Rule: "ribs-too-close", Severity: units.Warning, Unit: b.Name,
			Message: fmt.Sprintf("ribs 6 and 7 are only %.2f mm apart beside their joint, which closes in a %s print "+
				"and makes the joint wider than %g mm", w.gap, printer.Name, width),
			Value: w.gap, Limit: least, Measure: "mm",
			Advice: fmt.Sprintf("Give cartilage.joint.height at least %.1f mm, or ribs 6 and 7 less height",
				b.Joint.Height+least-w.gap),
		})
	}
	if most := (sixth.Height + seventh.Height) / 2; w.gap > most {
		findings = append(findings, units.Finding{
			Rule: "ribs-far-apart", Severity: units.Warning, Unit: b.Name,
			Message: fmt.Sprintf("ribs 6 and 7 are %.1f mm apart at their joint, more than a rib's height of %.1f mm",
				w.gap, most),
			Value: w.gap, Limit: most, Measure: "mm",
			Advice: fmt.Sprintf("Check cartilage.joint.height, %g mm, and the heights of ribs 6 and 7", b.Joint.Height),
		})
	}
	return findings
}
