package pocket

import (
	"context"
	"slices"

	"earframe/internal/workers"
	"earframe/membrane"
)

// The kinds of relief, in words.
const (
	groove = "groove"
	ridge  = "ridge"
)

// keptEnough is the share of a groove that has to show: this check's own rule, no
// source.
const keptEnough = 0.5

// reliefOf measures every named groove and ridge on a drape, on all cores. A feature
// that no grid node lies in is too small to measure and left out.
func (r *Result) reliefOf(ctx context.Context, drape *membrane.Drape, outside *membrane.Skin) ([]Relief, error) {
	features := r.features()
	measured := make([][]Relief, len(features)) // one each, or none
	err := workers.Each(ctx, "skin: relief", len(features), func(n int) error {
		if relief, err := drape.Relief(outside, features[n]); err == nil {
			measured[n] = []Relief{measuredRelief(relief)}
		}
		return nil
	})
	return slices.Concat(append([][]Relief{{}}, measured...)...), err
}

// features are the grooves and ridges whose relief is measured.
func (r *Result) features() []membrane.Feature {
	var features []membrane.Feature
	for _, l := range r.places.Grooves {
		features = append(features, membrane.Feature{Name: l.Name, Kind: membrane.Groove, Region: l.Region})
	}
	for _, l := range r.places.Ridges {
		features = append(features, membrane.Feature{Name: l.Name, Kind: membrane.Ridge, Region: l.Region})
	}
	return features
}

// outsideOf returns the outside of the skin as it would lie on another drape.
func (r *Result) outsideOf(ctx context.Context, d *membrane.Drape) (*membrane.Skin, error) {
	if r.Skin == nil {
		return &membrane.Skin{Grid: d.Grid, Heights: d.Heights}, nil
	}
	return d.Skin(ctx, r.Plan.Skin.Lateral)
}

// outside returns the skin's outside; skin of no thickness is its deep surface.
func (r *Result) outside() *membrane.Skin {
	if r.Skin != nil {
		return r.Skin
	}
	return &membrane.Skin{Grid: r.Drape.Grid, Heights: r.Drape.Heights}
}

func measuredRelief(relief membrane.Relief) Relief {
	kind := groove
	if relief.Feature.Kind == membrane.Ridge {
		kind = ridge
	}
	return Relief{
		Name: relief.Feature.Name, Kind: kind, OnFrame: relief.OnFrame, OnSkin: relief.OnSkin,
		Kept: relief.Kept, Lost: relief.LostPart, Width: relief.Width, Reach: relief.Reach, At: relief.Where,
	}
}

// Least returns the groove or ridge of which the least shows; ok is false if none
// is deep enough on the frame to be one.
func (m *Measures) Least() (least Relief, ok bool) {
	for _, g := range m.Relief {
		if g.OnFrame >= leastRelief && (!ok || g.Kept < least.Kept) {
			least, ok = g, true
		}
	}
	return least, ok
}
