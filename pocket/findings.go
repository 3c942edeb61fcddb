package pocket

import (
	"context"
	"fmt"
	"strings"

	"earframe/membrane"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// findings says what is to be minded, one sentence each.
// Advice that takes more drapes is put off: see Advise.
func (r *Result) findings() []units.Finding {
	found := r.suctionPassedOver(r.depthFindings())
	found = r.demandFindings(found)
	found = append(found, r.bolsterFindings()...)
	found = append(found, r.deadFindings()...)
	found = append(found, r.narrowGrooves()...)
	found = r.lostRelief(found)
	if s := r.Measures.Solution; !s.Resolved {
		found = append(found, units.Finding{
			Rule: "drape-not-settled", Severity: units.Warning,
			Message: fmt.Sprintf("the pocket's figures still change from grid to grid: depth by %.1f %%, skin demand by %.1f "+
				"%% at a step of %g mm",
				100*s.PeakChange, 100*s.DemandChange, s.Step),
			Value: 100 * max(s.PeakChange, s.DemandChange), Limit: 0.5, Measure: "%",
			Advice: "Take them as rough; a smoother frame or a wider pocket is easier to work out.",
		})
	}
	return found
}

// depthFindings asks whether the pocket takes the frame.
func (r *Result) depthFindings() []units.Finding {
	var found []units.Finding
	d := r.Measures.Depth
	if d.Available == nil {
		return nil
	}
	if base := r.base(); base != nil && *d.Available < base.Thickness {
		found = append(found, units.Finding{
			Rule: "pocket-shallower-than-base", Severity: units.Error, Unit: base.Name,
			Message: fmt.Sprintf("the pocket takes %.1f mm, less than the base frame alone, which is %.1f mm "+
				"thick", *d.Available, base.Thickness),
			Value: *d.Available, Limit: base.Thickness, Measure: "mm",
			Advice: "Check pocket.depth: it is measured from the bed to the skin's deep surface.",
		})
	}
	if *d.Room < 0 {
		found = append(found, units.Finding{
			Rule: "pocket-too-shallow", Severity: units.Error, Unit: d.Unit, At: r.over(d.Peak.At, d.Peak.Height),
			Message: fmt.Sprintf("the frame stands %.1f mm over the bed %s and the pocket takes %.1f "+
				"mm", d.Peak.Height, r.places.Phrase(d.Peak.Name), *d.Available),
			Value: d.Peak.Height, Limit: *d.Available, Measure: "mm",
			Advice: fmt.Sprintf("Take %.1f mm off %s there (its rise or its thickness), or make the pocket that much "+
				"deeper.", -*d.Room, d.Unit),
		})
	}
	return found
}

func (r *Result) base() *units.Unit {
	for _, u := range r.Plan.Units {
		if u.Part == units.Base {
			return u
		}
	}
	return nil
}

// over returns a place over the bed in the units' coordinates.
func (r *Result) over(p mgl64.Vec2, height float64) *mgl64.Vec3 {
	return &mgl64.Vec3{p[0], p[1], height + r.Depth.Bed}
}

// demandFindings asks whether there is skin enough.
func (r *Result) demandFindings(found []units.Finding) []units.Finding {
	d := r.Measures.Demand
	fine := membrane.Bands()[1].From
	if d.Sliding >= fine {
		band := bandOf(d.Sliding)
		f := units.Finding{
			Rule: "skin-too-tight", Severity: units.Warning,
			Message: fmt.Sprintf("the skin has to stretch to %.2f times its area even if it slides freely (%s); %.0f mm² are "+
				"missing",
				d.Sliding, band.Name, d.Missing),
			Value: d.Sliding, Limit: fine, Measure: "times", Advice: bringFlaps(r.flapsNeeded(d.Drape, fine)) + ".",
		}
		if band.Published { // the failure strain
			f.Severity = units.Error
		}
		found = r.ask(found, f, func(ctx context.Context, t *trial) (string, error) { return r.moreSkin(ctx, t, fine) })
	}
	bands := r.Measures.Stretch.Bands
	if worst := bands[len(bands)-1]; worst.Share >= noted {
		found = append(found, units.Finding{
			Rule: "skin-must-slide", Severity: units.Note,
			Message: fmt.Sprintf("over %.0f %% of the pocket the skin would stretch more than %.2f times if it could not "+
				"slide over the frame", 100*worst.Share, worst.From),
			Value: 100 * worst.Share, Measure: "% of the area",
			Advice: "Undermine so that it can slide there; the stretch map shows where.",
		})
	}
	return found
}

// noted is the share of the pocket from which something is worth a line.
const noted = 0.01

// deadFindings names the hollows of the ear that the skin bridges, where dead
// space costs the ear's shape. What runs round every frame's foot is told in the
// record alone.
func (r *Result) deadFindings() []units.Finding {
	const least, volume = 0.5, 20 // mm, mm³; ours, no source
	var found []units.Finding
	for _, h := range r.places.Grooves {
		var all PlaceGap
		where := ""
		for _, gap := range r.Measures.Dead.ByPlace {
			if strings.HasPrefix(gap.Place, h.Name) {
				if gap.Deepest > all.Deepest {
					where = strings.TrimPrefix(gap.Place, h.Name)
				}
				all.take(gap)
			}
		}
		if all.Deepest < least || all.Volume < volume {
			continue
		}
		found = append(found, units.Finding{
			Rule: "dead-space-in-hollow", Severity: units.Note, Place: h.Name, At: r.over(all.At, r.Drape.Height(all.At)),
			Message: fmt.Sprintf("the skin bridges the %s: %.2f ml of dead space, up to %.1f mm over the "+
				"floor%s", h.Name, all.Volume/1000, all.Deepest, where),
			Value: all.Deepest, Measure: "mm",
			Advice: r.drain(r.widthOf(h.Name), all.Deepest),
		})
	}
	return found
}

// narrowGrooves finds grooves that the skin fills from both walls.
func (r *Result) narrowGrooves() []units.Finding {
	var found []units.Finding
	skin := r.Plan.Skin.Lateral
	for _, g := range r.Measures.Relief {
		if g.Kind != groove || skin <= g.Width/2 {
			continue
		}
		found = append(found, units.Finding{
			Rule: "groove-filled-by-skin", Severity: units.Warning, Unit: r.places.Groove(g.Name).Unit, Place: g.Name,
			At: r.over(g.At, r.Drape.Height(g.At)),
			Message: fmt.Sprintf("skin %.1f mm thick on both walls fills %s, which is %.1f mm wide at its "+
				"widest", skin, "the "+g.Name, g.Width),
			Value: skin, Limit: g.Width / 2, Measure: "mm",
			Advice: fmt.Sprintf("Widen it by %.1f mm, or thin the skin to %.1f mm.", 2*skin-g.Width, g.Width/2),
		})
	}
	return found
}

// lostRelief finds grooves and ridges of which less than half shows.
func (r *Result) lostRelief(found []units.Finding) []units.Finding {
	for _, g := range r.Measures.Relief {
		if g.Kept >= keptEnough || g.OnFrame < leastRelief {
			continue
		}
		f := units.Finding{
			Rule: "relief-lost", Severity: units.Warning, Place: g.Name, At: r.over(g.At, r.Drape.Height(g.At)),
			Message: fmt.Sprintf("of %s only %.0f %% shows through the skin: %.1f mm on the frame, %.1f mm "+
				"outside", "the "+g.Name, 100*g.Kept, g.OnFrame, g.OnSkin),
			Value: 100 * g.Kept, Limit: 100 * keptEnough, Measure: "%",
		}
		if h := r.places.Groove(g.Name); h != nil {
			f.Unit = h.Unit
		}
		switch lost, known := r.groove(g); {
		case g.Kind == ridge:
			f.Advice = fmt.Sprintf("Widen or deepen the grooves beside it; raised alone it needs %.1f "+
				"mm.", keptEnough*g.OnFrame-g.OnSkin)
			found = append(found, f)
		case known && r.Plan.Skin.Lateral > 0:
			found = r.ask(found, f, func(ctx context.Context, t *trial) (string, error) { return r.bringBack(ctx, t, lost) })
		default:
			found = append(found, f)
		}
	}
	return found
}

// groove returns the groove that was measured, as the membrane knows it.
func (r *Result) groove(g Relief) (membrane.Relief, bool) {
	for _, f := range r.features() {
		if f.Name == g.Name {
			return membrane.Relief{Feature: f, OnFrame: g.OnFrame, OnSkin: g.OnSkin, Where: g.At, Reach: g.Reach}, true
		}
	}
	return membrane.Relief{}, false
}

// leastRelief is the depth on the frame, mm, below which a groove is none.
const leastRelief = 0.3
