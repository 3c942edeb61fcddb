package mould

import (
	"context"
	"fmt"
	"math"

	"earframe/field"
	"earframe/mesh/contour"
	"earframe/units"
)

// drawnLoss is the share of the part's volume that a draft may take before it is
// said.
const drawnLoss = 0.1

// mostSlope bounds tan · steep: beyond it the draft is doubled, and no more.
const mostSlope = 0.5

// narrow makes the cavity of the part: the part itself, or the drafted one. Where
// the parting surface slopes by at most steep, a wall that faces the slope leans
// by tan / (1 + tan · steep) only, so that as much is added.
func (b *builder) narrow(ctx context.Context, parting field.Surface, steep float64) error {
	b.CavityMesh = b.solid
	whole := b.solid.Volume()
	if tan := math.Tan(b.options.Draft); tan > 0 {
		tan /= 1 - math.Min(tan*steep, mostSlope)
		if err := b.checkDraft(ctx, parting, tan); err != nil {
			return err
		}
		var err error
		b.Cavity = &drafted{b.whole, parting, tan}
		if b.CavityMesh, err = contour.Of(ctx, b.Cavity, contour.Options{Step: b.options.Step}); err != nil {
			return err
		}
		if len(b.CavityMesh.Triangles) == 0 {
			return fmt.Errorf("%w: nothing is left at %.4g degrees; give a smaller casting.draft", ErrDraft, b.Draft)
		}
		if lost := 1 - b.CavityMesh.Volume()/whole; lost > drawnLoss {
			b.Findings = append(b.Findings, units.Finding{
				Rule: "draft-takes-much", Severity: units.Warning, Unit: b.Name,
				Value: 100 * lost, Limit: 100 * drawnLoss, Measure: "percent",
				Message: fmt.Sprintf("a draft of %.4g degrees takes %.0f percent of the unit's volume", b.Draft,
					100*lost),
				Advice: "Give a smaller casting.draft; an elastic cast needs none",
			})
		}
	}
	b.CavityML = b.CavityMesh.Volume() / cubicMMPerML
	return nil
}

// checkDraft holds what the draft takes off each side at the part's full depth
// against half the part's width.
func (b *builder) checkDraft(ctx context.Context, parting field.Surface, tan float64) error {
	c, err := columnsOf(ctx, b.solid, coarse, 2*coarse, mostCoarseLines)
	if err != nil {
		return err
	}
	beside := c.part()
	for k := range beside {
		beside[k] = !beside[k]
	}
	width := c.distances(beside)
	var depth, halfWidth float64
	for k := range beside {
		if beside[k] {
			continue
		}
		p := c.place(k)
		h, _, _ := parting.Height(p[0], p[1])
		spans := c.at(k)
		depth = max(depth, h-spans[0].Low, spans[len(spans)-1].High-h)
		halfWidth = max(halfWidth, width[k])
	}
	if depth*tan >= halfWidth {
		return fmt.Errorf("%w: at %.1f mm depth %.4g degrees take %.2f mm off each side, half its width is %.2f mm; "+
			"give casting.draft less than %.1f degrees, or 0",
			ErrDraft, depth, b.Draft, depth*tan, halfWidth, degrees(math.Atan(halfWidth/depth)))
	}
	return nil
}
