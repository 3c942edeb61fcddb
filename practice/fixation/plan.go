package fixation

import (
	"context"
	"fmt"

	"earframe/assemble"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Plan is where a framework is wired, and with what.
type Plan struct {
	Seams       []Seam
	Points      []Point // of all seams, in the seams' order
	Count       int     // of points
	SpacingMM   float64 // asked for; seams stretch it evenly
	AllowanceMM float64 // of wire for each point, beyond its loop
	WireMM      float64 // of wire in all
	HoleMM      float64 // diameter of pilot holes; 0 for none
	Gauges      Gauges
	Findings    []units.Finding // they stand with the other findings
	Values      []units.Value   // likewise: limits that the case does not give
}

// Seam is a curve along which one unit is wired to another: the middle line of
// a patch over which they touch, or of one limb of it.
//
// Its points stand half a step from both ends and a step from one another. The
// step is the length over the number of points, and that number the nearest to
// length over spacing, so the spacing asked for is stretched or drawn in evenly.
// On a closed seam the points go round at even steps from its most inferior
// place.
type Seam struct {
	Name   string // as it is shown: "helix on base", "antihelix on base, limb 2 of 3"
	Upper  string // the unit on the outer side
	Lower  string // the unit toward the head
	Length float64
	Closed bool
	Step   float64 // between points; 0 if there are none
	Count  int
	WireMM float64
	Line   []mgl64.Vec3 // the curve; of a closed one the last point joins the first
}

// Point is one fixation.
type Point struct {
	Seam      int // index of its seam
	Number    int
	Upper     string
	Lower     string
	At        mgl64.Vec3 // on the seam, between the units
	Direction mgl64.Vec3 // of the wire: square to the contact, inward
	UpperMM   float64    // of material that the wire passes in the upper unit
	LowerMM   float64    // in the lower one
	EdgeMM    float64    // to the nearest edge of the patch
	LoopMM    float64    // of wire through both units and back
	Under     string     // a unit in place by then that lies over where the wire comes out on the outer side
}

// The least that a wire should have around it. No published value was seen.
const (
	leastDepth = 1.0 // mm of material in either unit
	leastEdge  = 1.0 // mm to the nearest edge of the patch
)

// Make plans the fixations of a framework as its plan's case asks: spacing,
// wire, allowance, pilot holes. It is an error if the spacing or the wire is not
// positive, or if a wire does not pass its hole. ctx ends the work early with
// its error.
func Make(ctx context.Context, f *assemble.Framework) (*Plan, error) {
	asked := f.Plan.Practice.Fixation
	switch {
	case !(asked.Spacing > 0):
		return nil, fmt.Errorf("fixation.spacing: %g mm; more than 0 is expected", asked.Spacing)
	case !(asked.Wire > 0):
		return nil, fmt.Errorf("fixation.wire: %g mm; more than 0 is expected", asked.Wire)
	case !(asked.Allowance >= 0) || !(asked.Hole >= 0):
		return nil, fmt.Errorf("fixation.allowance %g mm, fixation.hole %g mm; none below 0 is expected",
			asked.Allowance, asked.Hole)
	case asked.Hole > 0 && asked.Wire >= asked.Hole:
		return nil, fmt.Errorf("fixation.hole: a wire of %g mm does not pass a hole of %g mm; give a wider hole or a "+
			"thinner wire", asked.Wire, asked.Hole)
	}
	p := &Plan{
		SpacingMM: asked.Spacing, AllowanceMM: asked.Allowance, HoleMM: asked.Hole,
		Gauges: NearestGauges(asked.Wire),
		Values: []units.Value{
			{Path: "fixation.least_depth", Value: leastDepth, Unit: "mm", Origin: units.UnsourcedDefault,
				Note: "material that a wire passes in either unit; earframe's own choice"},
			{Path: "fixation.least_edge", Value: leastEdge, Unit: "mm", Origin: units.UnsourcedDefault,
				Note: "from a wire to the edge of the contact; earframe's own choice"},
		},
	}
	w := newWorker(f)
	for _, c := range w.inOrder(f.Contacts) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if c.Area == 0 && c.Depth == 0 {
			continue
		}
		if err := w.wire(ctx, p, c); err != nil {
			return nil, err
		}
	}
	p.sum()
	p.inspect(f)
	return p, nil
}

// sum counts points and wire.
func (p *Plan) sum() {
	for i := range p.Points {
		q := &p.Points[i]
		q.Number = i + 1
		q.LoopMM = 2 * (q.UpperMM + q.LowerMM)
		wire := q.LoopMM + p.AllowanceMM
		p.Seams[q.Seam].WireMM += wire
		p.WireMM += wire
	}
	p.Count = len(p.Points)
}
