package pocket

import (
	"context"
	"strings"

	"earframe/assemble"
	"earframe/internal/kept"
	"earframe/membrane"
	"earframe/template"
)

// What a depth map, an outline and a drape hold, about.
const (
	bytesPerDepth = 16  // two heights
	bytesPerPoint = 16  // of an outline: two coordinates
	bytesPerState = 500 // its shares
	bytesPerNode  = 400 // of a drape: heights, net, cells and what was measured on them
)

// outline returns the pocket's edge at the margin, mm, or takes it from what is kept.
func (r *Result) outline(ctx context.Context, margin float64) (template.Outline, error) {
	bytes := func(o template.Outline) int64 { return bytesPerPoint * int64(len(o.Outer)) }
	key := kept.KeyOf("pocket outline", r.drawing(), margin)
	return kept.Get(ctx, r.options.Kept, key, bytes, func(ctx context.Context) (template.Outline, error) {
		return pocketOutline(ctx, r.Plan, margin)
	})
}

// drawing returns the key of all that is drawn.
func (r *Result) drawing() kept.Key {
	var drawn []kept.Key
	for _, o := range r.Plan.Sheet.Outlines {
		drawn = append(drawn, kept.KeyOf(o.ID, o.Part))
		for _, ring := range o.Rings() {
			drawn = append(drawn, kept.KeyOf(flat(ring)))
		}
	}
	return kept.KeyOf(drawn)
}

// mapDepth maps the framework, or takes the map from what is kept. keys are those of
// its solids.
func (r *Result) mapDepth(ctx context.Context, keys []kept.Key) (*assemble.DepthMap, error) {
	bytes := func(m *assemble.DepthMap) int64 { return bytesPerDepth * int64(len(m.Top)) }
	key := kept.KeyOf("depth", keys, r.options.MapStep)
	return kept.Get(ctx, r.options.Kept, key, bytes, func(ctx context.Context) (*assemble.DepthMap, error) {
		return assemble.Depth(ctx, r.Field, r.options.MapStep)
	})
}

// lay lays the skin, or takes the drape from what is kept.
func (r *Result) lay(ctx context.Context, keys []kept.Key) (err error) {
	grid := r.drapeOptions().Step
	key := kept.KeyOf("drape", keys, r.Depth.Bed, flat(r.Outline.Outer), r.drawnInBy(), r.rollsKey(), grid)
	bytes := func(d *membrane.Drape) int64 { return bytesPerNode * int64(len(d.Heights)) }
	r.Drape, err = kept.Get(ctx, r.options.Kept, key, bytes, func(ctx context.Context) (*membrane.Drape, error) {
		return r.drape(ctx, r.laid(), r.drapeOptions())
	})
	if err != nil {
		return r.inWords(err)
	}
	if err := r.layOtherwise(ctx, key); err != nil {
		return err
	}
	thickness := r.Plan.Skin.Lateral
	if thickness <= 0 {
		return nil
	}
	key = kept.KeyOf("skin", key, thickness)
	outside := func(*membrane.Skin) int64 { return bytes(r.Drape) }
	r.Skin, err = kept.Get(ctx, r.options.Kept, key, outside, func(ctx context.Context) (*membrane.Skin, error) {
		return r.Drape.Skin(ctx, thickness)
	})
	return err
}

// drawnInBy are the numbers that the bridging radius follows from, or the radius
// itself where it is given.
func (r *Result) drawnInBy() []float64 {
	if r.radiusGiven() {
		return []float64{r.Plan.Pocket.BridgingRadius}
	}
	s := r.suction()
	return []float64{0, s.Pressure, s.Natural, s.Modulus, s.Thickness, s.Extra}
}

// shapedBy is the key of all that the skin and its measures follow from: the solids,
// the drawing, and what the case says of skin and pocket.
func (r *Result) shapedBy() kept.Key {
	var shaped []kept.Key
	for _, s := range r.solids {
		shaped = append(shaped, s.Key)
	}
	p, skin := r.Plan.Pocket, r.Plan.Skin
	return kept.KeyOf(r.drawing(), shaped, flat(r.Outline.Outer), r.options.MapStep, r.options.Step,
		r.drawnInBy(), r.rollsKey(), p.Margin, p.Depth, p.ExtraSkin, skin.Lateral, skin.Tension, skin.Modulus)
}

// answers works out the advice that is asked for, or takes it from what is kept; the
// findings say how closely was looked.
func (r *Result) answers(ctx context.Context) ([]string, error) {
	var asked []kept.Key
	for _, q := range r.questions {
		f := r.Findings[q.finding]
		asked = append(asked, kept.KeyOf(f.Rule, f.Unit, f.Message, f.Value, f.Limit))
	}
	bytes := func(answers []string) int64 { return int64(len(strings.Join(answers, ""))) }
	return kept.Get(ctx, r.options.Kept, kept.KeyOf("advice", r.shapedBy(), asked), bytes, r.answer)
}

// otherStates works out what shows under other suctions and tensions, or takes it
// from what is kept.
func (r *Result) otherStates(ctx context.Context) ([]State, error) {
	bytes := func(states []State) int64 { return int64(bytesPerState * len(states)) }
	key := kept.KeyOf("states", r.shapedBy(), r.Plan.Skin.TensionSD)
	return kept.Get(ctx, r.options.Kept, key, bytes, r.states)
}

// flat returns the coordinates of a ring's points one after the other.
func flat(ring template.Ring) []float64 {
	all := make([]float64, 0, 2*len(ring))
	for _, p := range ring {
		all = append(all, p[0], p[1])
	}
	return all
}
