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
	Name          string           `json:"name"`               // rib-8, ribs-6-7
	Label         string           `json:"label"`              // for a reader: "8th rib cartilage"
	Ribs          []int            `json:"ribs"`               //
	Length        float64          `json:"length_mm"`          // along the middle line, of the longest rib in it
	Height        float64          `json:"height_mm"`          // greatest, across: of the joint, if there is one
	ThicknessMost float64          `json:"thickness_most_mm"`  // front to back at its thickest
	Thickness     float64          `json:"thickness_least_mm"` // and at its thinnest, rounded ends left out
	Middle        float64          `json:"middle_mm"`          // z of the plane that its halves mirror each other in
	Sizes         []Size           `json:"sizes"`              // one a rib
	Joint         *Joint           `json:"joint,omitempty"`    // of ribs 6 and 7
	Values        []units.Value    `json:"values"`             // what it was made to, and where each number comes from
	Outline       template.Outline `json:"-"`                  // silhouette seen from the front
	Solid         field.Field      `json:"-"`                  // underside at z = 0
}

// Blanks returns the blanks that the plan's cartilage comes as: ribs 6 and 7 in
// one piece, or each for itself if the plan's units name one of them alone and
// none names both; then 8 and 9. What was measured counts, else the standards of
// the chosen size; each blank's Values say which.
//
// Findings tell where a blank is not what was meant, though it can be made. The
// error joins a *Fault for every measurement that no blank can be made to.
func Blanks(plan *units.Plan) ([]Blank, []units.Finding, error) {
	c := &chooser{plan: plan}
	of, joint := standardsOf(plan.Practice.Cartilage.Size)
	var blanks []Blank
	var findings []units.Finding
	ribs := []int{6, 7, 8, 9}
	if together(plan) {
		blank, found := c.pair(of, joint)
		blanks, findings, ribs = append(blanks, blank), found, ribs[2:]
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
		Height: size.Height * math.Max(1, size.Taper), Sizes: []Size{size}, Values: c.values,
	}
	b.finish(func(level float64, shift mgl64.Vec2) field.Field {
		shape := shapeOf(size)
		shape.axis, shape.level, shape.start = shift, level, levelStart(shape)
		return newSweep(shape)
	})
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
	var w *joined
	b.finish(func(level float64, shift mgl64.Vec2) field.Field {
		w = join(sixth, seventh, joint, level, shift)
		return w.solid
	})
	return b, w.findings(b)
}

// finish fills in what follows from the sizes, and makes the solid where it
// belongs: once to see where its outline lies, once there.
func (b *Blank) finish(build func(level float64, shift mgl64.Vec2) field.Field) {
	b.Thickness = math.Inf(1)
	for _, s := range b.Sizes {
		b.Length = math.Max(b.Length, s.Length)
		b.ThicknessMost = math.Max(b.ThicknessMost, s.Thickness*math.Max(1, s.Taper))
		b.Thickness = math.Min(b.Thickness, s.Thickness*math.Min(1, s.Taper))
	}
	b.Middle = b.ThicknessMost / 2
	rings := trace(build(b.Middle, mgl64.Vec2{}), b.Middle)
	low, high := mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
	for _, ring := range rings {
		for _, p := range ring {
			for k, v := range p {
				low[k], high[k] = math.Min(low[k], v), math.Max(high[k], v)
			}
		}
	}
	middle := low.Add(high).Mul(0.5)
	b.Solid = build(b.Middle, middle.Mul(-1))
	b.Outline.ID = b.Name
	for _, ring := range rings {
		for i := range ring {
			ring[i] = ring[i].Sub(middle)
		}
		if ring.Area() > 0 {
			b.Outline.Outer = ring
		} else {
			b.Outline.Holes = append(b.Outline.Holes, ring)
		}
	}
}

// findings returns what is odd about the piece.
func (w *joined) findings(b Blank) []units.Finding {
	var findings []units.Finding
	width, sixth, seventh := b.Joint.Width, b.Sizes[0], b.Sizes[1]
	if length, at := w.touching(width); length > 0 {
		findings = append(findings, units.Finding{
			Severity: units.Warning, Unit: b.Name,
			Message: fmt.Sprintf("ribs 6 and 7 run into each other over %.1f mm beyond their joint", length),
			At:      &at, Value: length, Measure: "mm",
			Advice: fmt.Sprintf("Give cartilage.joint.height more than %g mm, or cartilage.ribs[6].radius less than %g mm", b.Joint.Height, sixth.Radius),
		})
	} else if math.Abs(w.width-width) > widthTolerance {
		findings = append(findings, units.Finding{
			Severity: units.Warning, Unit: b.Name,
			Message: fmt.Sprintf("the joint comes out %.1f mm wide, not %g mm: the gap beside it is only %.1f mm", w.width, width, w.gap),
			Value:   w.width, Limit: width, Measure: "mm",
			Advice: "Give cartilage.joint.height more, or ribs 6 and 7 less height",
		})
	}
	if most := (sixth.Height + seventh.Height) / 2; w.gap > most {
		findings = append(findings, units.Finding{
			Severity: units.Warning, Unit: b.Name,
			Message: fmt.Sprintf("ribs 6 and 7 are %.1f mm apart at their joint, more than a rib's height of %.1f mm", w.gap, most),
			Value:   w.gap, Limit: most, Measure: "mm",
			Advice: fmt.Sprintf("Check cartilage.joint.height, %g mm, and the heights of ribs 6 and 7", b.Joint.Height),
		})
	}
	return findings
}

// widthTolerance, in mm, is what the joint's width may be off before it is
// said: what a calliper reads.
const widthTolerance = 0.1
