package pocket

import (
	"context"
	"fmt"
	"math"
	"strings"

	"earframe/membrane"
)

// adviceStep is the grid step in mm on which advice is worked out: it takes a
// dozen drapes for every groove, and a tenth of a millimetre is all that is asked.
const adviceStep = 0.8

func (r *Result) adviceOptions() membrane.Options {
	return membrane.Options{Step: adviceStep, Finest: adviceStep}
}

// quickly returns the case with the frame read off the depth map, which is
// quicker than the field and good enough for advice.
func (r *Result) quickly() (membrane.Case, error) {
	m := r.Depth
	heights := make([]float64, len(m.Top))
	for k, z := range m.Top {
		if !math.IsNaN(z) {
			heights[k] = z
		}
	}
	frame, err := membrane.NewFrame(membrane.Obstacle{Origin: m.Origin, Step: m.Step, Columns: m.Columns, Rows: m.Rows, Heights: heights})
	return membrane.Case{Frame: frame, Pocket: r.edge, BridgingRadius: r.Plan.Pocket.BridgingRadius}, err
}

// advise works out what would bring a lost groove back.
func (r *Result) advise(ctx context.Context, lost Relief) (membrane.Advice, error) {
	for _, f := range r.features() {
		if f.Name == lost.Name {
			c, err := r.quickly()
			if err != nil {
				return membrane.Advice{}, err
			}
			relief := membrane.Relief{Feature: f, OnFrame: lost.OnFrame, OnSkin: lost.OnSkin, Where: lost.At, Reach: lost.Reach}
			return membrane.Advise(ctx, c, r.adviceOptions(), r.Plan.Skin.Lateral, relief, membrane.AdviceLimits{Wider: widestTried, Within: adviceWithin})
		}
	}
	return membrane.Advice{}, nil
}

const (
	adviceWithin   = 0.2  // mm
	leastBridging  = 0.5  // mm, the smallest bridging radius tried
	mostBridging   = 50.0 // mm, the largest
	bridgingWithin = 1.1  // how closely the radius is found, as a factor
)

// closerSuction returns the largest bridging radius, mm, at which half of the
// groove would show on the frame as it is, 0 if there is none.
func (r *Result) closerSuction(ctx context.Context, lost Relief) (float64, error) {
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
	drape, err := membrane.Lay(ctx, c, r.adviceOptions())
	if err != nil {
		return nil, err
	}
	skin, err := drape.Skin(ctx, r.Plan.Skin.Lateral)
	if err != nil {
		return nil, err
	}
	shown := map[string]float64{}
	for _, f := range r.features() {
		for _, g := range r.Measures.Relief {
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

// moreSkin works out what brings the stretch below the limit: skin from the
// flaps, or a wider pocket.
func (r *Result) moreSkin(ctx context.Context, limit float64) (string, error) {
	d := r.Measures.Demand
	advice := fmt.Sprintf("Bring %.0f mm² more skin with the flaps", d.Drape/limit-r.Measures.Pocket.Area-d.Extra)
	if r.options.NoAdvice {
		return advice + ".", nil
	}
	wider, helps, err := r.widerMargin(ctx, limit)
	switch {
	case err != nil:
		return "", err
	case helps:
		return fmt.Sprintf("%s, or undermine %.1f mm wider.", advice, wider), nil
	case r.drawn():
		return advice + ", or draw the pocket wider.", nil
	}
	return fmt.Sprintf("%s; undermining up to %.0f mm wider is not enough.", advice, mostWider), nil
}

// mostWider is the widest additional undermining tried, mm, and marginWithin how
// closely it is found.
const (
	mostWider    = 20.0
	marginWithin = 0.25
)

// widerMargin returns the least additional margin at which skin that slides
// freely stretches less than the limit.
func (r *Result) widerMargin(ctx context.Context, limit float64) (float64, bool, error) {
	if r.drawn() {
		return 0, false, nil
	}
	enough := func(wider float64) (bool, error) {
		c, err := r.quickly()
		if err != nil {
			return false, err
		}
		if c.Pocket, err = r.widened(ctx, wider); err != nil {
			return false, err
		}
		drape, err := membrane.Lay(ctx, c, r.adviceOptions())
		if err != nil {
			return false, err
		}
		return drape.DrapeArea < limit*(drape.PocketArea+r.Measures.Demand.Extra), nil
	}
	return membrane.Least(mostWider, marginWithin, enough)
}

// drain says what would let the skin down into a hollow.
func (r *Result) drain(width, depth float64) string {
	radius := reachingRadius(width, depth)
	if radius >= r.Plan.Pocket.BridgingRadius {
		return fmt.Sprintf("Drain it: skin that is drawn in to a bridging radius of %g mm leaves the corner at the foot of a wall round.", r.Plan.Pocket.BridgingRadius)
	}
	return fmt.Sprintf("Drain it: across %.1f mm skin reaches the floor where it is drawn in to a bridging radius of about %.1f mm or less.", width, radius)
}

// widthOf returns the width of a measured groove, mm.
func (r *Result) widthOf(name string) float64 {
	for _, g := range r.Measures.Relief {
		if g.Name == name {
			return g.Width
		}
	}
	return 0
}

// reachingRadius returns the radius of the arc over a groove that just touches
// its floor; half the width where the groove is deeper than that.
func reachingRadius(width, depth float64) float64 {
	half := width / 2
	if depth >= half {
		return half
	}
	return (half*half + depth*depth) / (2 * depth)
}

// bringBack says what would show half of a lost groove again.
func (r *Result) bringBack(ctx context.Context, lost Relief) (string, error) {
	advice, err := r.advise(ctx, lost)
	if err != nil {
		return "", err
	}
	var ways []string
	if advice.WiderHelps {
		ways = append(ways, fmt.Sprintf("make it %.1f mm wider", advice.Wider))
	}
	if advice.DeeperHelps {
		ways = append(ways, fmt.Sprintf("carve it %.1f mm deeper", advice.Deeper))
	}
	radius, err := r.closerSuction(ctx, lost)
	if err != nil {
		return "", err
	}
	if radius > 0 {
		ways = append(ways, fmt.Sprintf("draw the skin in closer, to a bridging radius of %.1f mm or less", radius))
	}
	if len(ways) == 0 {
		return fmt.Sprintf("Neither %d mm more width, nor more depth, nor closer suction shows half of it: thinner skin is needed.", widestTried), nil
	}
	sentence := strings.Join(ways, ", or ") + "."
	sentence = strings.ToUpper(sentence[:1]) + sentence[1:]
	if !advice.WiderHelps && !advice.DeeperHelps {
		sentence += fmt.Sprintf(" By itself neither %d mm more width nor more depth is enough.", widestTried)
	}
	return sentence, nil
}

// widestTried is the additional width in mm tried for a groove.
const widestTried = 8

// widened returns the pocket's edge with an additional margin, mm.
func (r *Result) widened(ctx context.Context, wider float64) (membrane.Region, error) {
	outline, err := pocketOutline(ctx, r.Plan, r.Plan.Pocket.Margin+wider)
	if err != nil {
		return nil, err
	}
	return newRegion(outline)
}
