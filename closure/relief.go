package closure

import (
	"context"
	"math"
	"sync"

	"earframe/pocket"
)

// The kinds of relief, in words.
const (
	groove = "groove"
	ridge  = "ridge"
)

// keptEnough is the share of a groove that has to show: the user's rule.
const keptEnough = 0.5

// reliefRecords measures every named groove and ridge, on all cores. A feature
// that no grid node lies in is too small to measure and left out.
func (r *Result) reliefRecords() []ReliefRecord {
	features := r.anatomy.features()
	measured := make([]*pocket.Relief, len(features))
	outside := r.outside()
	var group sync.WaitGroup
	for n, f := range features {
		group.Go(func() {
			if relief, err := r.Drape.Relief(outside, f); err == nil {
				measured[n] = &relief
			}
		})
	}
	group.Wait()
	records := []ReliefRecord{}
	for _, relief := range measured {
		if relief != nil {
			records = append(records, reliefRecord(*relief))
		}
	}
	return records
}

// outside returns the skin's outside; skin of no thickness is its deep surface.
func (r *Result) outside() *pocket.Skin {
	if r.Skin != nil {
		return r.Skin
	}
	return &pocket.Skin{Grid: r.Drape.Grid, Heights: r.Drape.Heights}
}

func reliefRecord(relief pocket.Relief) ReliefRecord {
	kind := groove
	if relief.Feature.Kind == pocket.Ridge {
		kind = ridge
	}
	return ReliefRecord{
		Name: relief.Feature.Name, Kind: kind, OnFrame: relief.OnFrame, OnSkin: relief.OnSkin,
		Kept: relief.Kept, Lost: relief.LostPart, Width: relief.Width, Reach: relief.Reach, At: relief.Where,
	}
}

// adviceStep is the grid step in mm on which advice is worked out: it takes a
// dozen drapes for every groove, and a tenth of a millimetre is all that is asked.
const adviceStep = 0.8

func (r *Result) adviceOptions() pocket.Options {
	return pocket.Options{Step: adviceStep, Finest: adviceStep}
}

// quickly returns the case with the frame read off the depth map, which is
// quicker than the field and good enough for advice.
func (r *Result) quickly() (pocket.Case, error) {
	m := r.Depth
	heights := make([]float64, len(m.Top))
	for k, z := range m.Top {
		if !math.IsNaN(z) {
			heights[k] = z
		}
	}
	frame, err := pocket.NewFrame(pocket.Obstacle{Origin: m.Origin, Step: m.Step, Columns: m.Columns, Rows: m.Rows, Heights: heights})
	return pocket.Case{Frame: frame, Pocket: r.edge, BridgingRadius: r.Plan.Pocket.BridgingRadius}, err
}

// advise works out what would bring a lost groove back.
func (r *Result) advise(ctx context.Context, lost ReliefRecord) (pocket.Advice, error) {
	for _, f := range r.anatomy.features() {
		if f.Name == lost.Name {
			c, err := r.quickly()
			if err != nil {
				return pocket.Advice{}, err
			}
			relief := pocket.Relief{Feature: f, OnFrame: lost.OnFrame, OnSkin: lost.OnSkin, Where: lost.At, Reach: lost.Reach}
			return pocket.Advise(ctx, c, r.adviceOptions(), r.Plan.Skin.Lateral, relief, pocket.AdviceLimits{Within: adviceWithin})
		}
	}
	return pocket.Advice{}, nil
}

const (
	adviceWithin   = 0.2  // mm
	leastBridging  = 0.5  // mm, the smallest bridging radius tried
	mostBridging   = 50.0 // mm, the largest
	bridgingWithin = 1.1  // how closely the radius is found, as a factor
)

// closerSuction returns the largest bridging radius, mm, at which half of the
// groove would show on the frame as it is, 0 if there is none.
func (r *Result) closerSuction(ctx context.Context, lost ReliefRecord) (float64, error) {
	shows := func(radius float64) (bool, error) {
		shown, err := r.reliefAt(ctx, radius)
		return shown[lost.Name] >= keptEnough*lost.OnFrame, err
	}
	low, high := leastBridging, min(r.Plan.Pocket.BridgingRadius, mostBridging)
	if ok, err := shows(low); err != nil || !ok {
		return 0, err
	}
	for high > low*bridgingWithin {
		middle := math.Sqrt(low * high)
		ok, err := shows(middle)
		if err != nil {
			return 0, err
		}
		if ok {
			low = middle
		} else {
			high = middle
		}
	}
	return low, nil
}

// reliefAt lays the skin once more with another bridging radius and returns how
// much of every groove then shows, mm. What was tried is remembered: all grooves
// ask for the same radii.
func (r *Result) reliefAt(ctx context.Context, radius float64) (map[string]float64, error) {
	if shown, ok := r.tried[radius]; ok {
		return shown, nil
	}
	c, err := r.quickly()
	if err != nil {
		return nil, err
	}
	c.BridgingRadius = radius
	drape, err := pocket.Lay(ctx, c, r.adviceOptions())
	if err != nil {
		return nil, err
	}
	skin, err := drape.Skin(r.Plan.Skin.Lateral)
	if err != nil {
		return nil, err
	}
	shown := map[string]float64{}
	for _, f := range r.anatomy.features() {
		for _, g := range r.Record.Relief {
			if g.Name != f.Name || g.Kind != groove {
				continue
			}
			f.Reach = g.Reach
			relief, err := drape.Relief(skin, f)
			if err != nil {
				return nil, err
			}
			shown[g.Name] = relief.OnSkin
		}
	}
	if r.tried == nil {
		r.tried = map[float64]map[string]float64{}
	}
	r.tried[radius] = shown
	return shown, nil
}
