package units

import (
	"context"
	"fmt"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
	"earframe/units/parts"
)

// takeOffSkin makes the framework's outlines of those drawn on the skin: every
// edge of a part moves inward by the lateral allowance, every edge of a recess
// outward, so that the groove still shows when skin lines it. The ear's and the
// pocket's outlines stay as they are, and the medial allowance concerns depth
// only.
func (p *planner) takeOffSkin(ctx context.Context, drawn []template.Outline) error {
	p.Outlines = nil
	for _, o := range drawn {
		switch {
		case o.Part == Scapha || o.Part == Fossa:
			wider, err := p.widen(ctx, o)
			if err != nil {
				return fmt.Errorf("skin allowance: %w", err)
			}
			p.Outlines = append(p.Outlines, wider...)
		case parts.Known(o.Part):
			left, err := p.takeOff(ctx, o)
			if err != nil {
				return fmt.Errorf("skin allowance: %w", err)
			}
			p.Outlines = append(p.Outlines, left.Outlines...)
			for _, loss := range left.Findings {
				p.Findings = append(p.Findings, lossFinding(loss))
			}
		default:
			p.Outlines = append(p.Outlines, o)
		}
	}
	return nil
}

// lossFinding says in the words of a plan what the allowance did to an outline.
func lossFinding(loss template.LossFinding) Finding {
	var rule, message string
	switch loss.Loss {
	case template.Vanished:
		rule = "outline-lost-to-skin"
		message = fmt.Sprintf("nothing is left of the outline %s when the skin is taken off: at its widest it is "+
			"%s", loss.ID, width(loss))
	case template.PinchedOff:
		rule = "outline-parted-by-skin"
		message = fmt.Sprintf("the outline %s falls into %d pieces when the skin is taken off: it is "+
			"%s", loss.ID, loss.Pieces, width(loss))
	default:
		rule = "hole-wall-lost-to-skin"
		message = fmt.Sprintf("the wall beside a hole of the outline %s is gone when the skin is taken off: it is "+
			"%s", loss.ID, width(loss))
	}
	return Finding{
		Rule: rule, Severity: Error, Unit: loss.Part, Message: message, At: &mgl64.Vec3{loss.At[0], loss.At[1], 0},
		Value: loss.Width, Limit: loss.Width + loss.Lacks, Measure: "mm",
		Advice: "Draw it wider there, give a smaller skin.lateral, or draw the frame itself (template.drawn: frame)",
	}
}

// width says how wide the place of a loss is, and what it lacks.
func width(loss template.LossFinding) string {
	if lacks := fmt.Sprintf("%.1f", loss.Lacks); lacks != "0.0" {
		return fmt.Sprintf("%.1f mm wide, %s mm too narrow", loss.Width, lacks)
	}
	return fmt.Sprintf("%.1f mm wide, no more than twice the thickness of the skin", loss.Width)
}
