package membrane

import (
	"context"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Advice says what would bring a lost groove back: the least change after
// which its depth on the skin's outside is half of its depth on the frame as it
// was given. Each figure is found by carving the groove so, laying the skin
// again and halving the interval. Skin that bridges a groove does not come lower
// because the floor does, so that Deeper seldom helps; it is tried all the same.
type Advice struct {
	Wider       float64 // mm in all, half of it on either side
	WiderHelps  bool    // false: not even AdviceLimits.Wider is enough
	Deeper      float64 // mm
	DeeperHelps bool    // false: not even AdviceLimits.Deeper is enough
}

// AdviceLimits bounds what is tried. Zero values mean the defaults (ours, no
// source).
type AdviceLimits struct {
	Wider  float64 // mm; default 8
	Deeper float64 // mm; default what the frame holds under the groove
	Within float64 // how closely to find the figure, mm; default 0.1
}

const (
	defaultWider        = 8
	defaultAdviceWithin = 0.1
)

// Advise works out what would bring a lost groove back under skin of the given
// thickness, mm. The drape is laid some fifteen times on the step given.
func Advise(ctx context.Context, c Case, options Options, thickness float64, lost Relief, limits AdviceLimits) (Advice, error) {
	if lost.Feature.Kind != Groove {
		return Advice{}, &EmptyError{"advice is given for grooves: " + lost.Feature.Name + " is a ridge"}
	}
	options, err := options.withDefaults()
	if err != nil {
		return Advice{}, err
	}
	options.Finest = options.Step
	if limits.Wider == 0 {
		limits.Wider = defaultWider
	}
	if limits.Within == 0 {
		limits.Within = defaultAdviceWithin
	}
	if limits.Deeper == 0 {
		limits.Deeper = max(heightUnder(c.Frame, lost.Where), limits.Within)
	}
	for _, v := range []float64{limits.Wider, limits.Deeper, limits.Within} {
		if !(v > 0) || math.IsInf(v, 0) {
			return Advice{}, &ValueError{"limit of the advice", v, "a positive number of millimetres"}
		}
	}
	shows := func(wider, deeper float64) (bool, error) {
		carved := &carvedFrame{Frame: c.Frame, region: lost.Feature.Region, aside: wider / 2, deeper: deeper}
		drape, err := Lay(ctx, Case{carved, c.Pocket, c.BridgingRadius}, options)
		if err != nil {
			return false, err
		}
		skin, err := drape.Skin(ctx, thickness)
		if err != nil {
			return false, err
		}
		feature := lost.Feature
		feature.Reach = lost.Reach + wider/2
		relief, err := drape.Relief(skin, feature)
		return relief.OnSkin >= keptEnough*lost.OnFrame, err
	}
	var advice Advice
	advice.Wider, advice.WiderHelps, err = Least(limits.Wider, limits.Within, func(v float64) (bool, error) { return shows(v, 0) })
	if err != nil {
		return Advice{}, err
	}
	advice.Deeper, advice.DeeperHelps, err = Least(limits.Deeper, limits.Within, func(v float64) (bool, error) { return shows(0, v) })
	return advice, err
}

// Least finds the smallest value up to most for which enough holds, from above
// and to within the given width, if it holds at most.
func Least(most, within float64, enough func(v float64) (bool, error)) (float64, bool, error) {
	ok, err := enough(most)
	if err != nil || !ok {
		return 0, false, err
	}
	low, high := 0.0, most
	for high-low > within {
		middle := (low + high) / 2
		ok, err := enough(middle)
		if err != nil {
			return 0, false, err
		}
		if ok {
			high = middle
		} else {
			low = middle
		}
	}
	return high, true, nil
}

func heightUnder(frame Frame, p mgl64.Vec2) float64 {
	var height [1]float64
	frame.Heights([]mgl64.Vec2{p}, height[:])
	return height[0]
}

// carvedFrame is a frame with one groove cut wider on both sides and deeper.
// Its walls are moved outward as they stand.
type carvedFrame struct {
	Frame
	region        Region
	aside, deeper float64
}

func (c *carvedFrame) Heights(points []mgl64.Vec2, out []float64) {
	c.Frame.Heights(points, out)
	lo, hi := c.region.Bounds()
	for k, p := range points {
		if p[0] < lo[0]-c.aside || p[0] > hi[0]+c.aside || p[1] < lo[1]-c.aside || p[1] > hi[1]+c.aside {
			continue
		}
		distance := c.region.Distance(p)
		if distance > c.aside {
			continue
		}
		if c.aside > 0 {
			out[k] = min(out[k], c.lowestInward(p))
		}
		if distance <= 0 {
			out[k] = max(out[k]-c.deeper, min(out[k], 0))
		}
	}
}

// lowestInward returns the lowest height between p and the place aside deeper
// into the region.
func (c *carvedFrame) lowestInward(p mgl64.Vec2) float64 {
	const nudge, spacing = 0.01, 0.1 // mm
	inward := mgl64.Vec2{
		c.region.Distance(p.Sub(mgl64.Vec2{nudge, 0})) - c.region.Distance(p.Add(mgl64.Vec2{nudge, 0})),
		c.region.Distance(p.Sub(mgl64.Vec2{0, nudge})) - c.region.Distance(p.Add(mgl64.Vec2{0, nudge})),
	}
	if inward.Len() == 0 {
		return math.Inf(1)
	}
	inward = inward.Normalize()
	count := int(math.Ceil(c.aside / spacing))
	points, heights := make([]mgl64.Vec2, count), make([]float64, count)
	for n := range points {
		points[n] = p.Add(inward.Mul(c.aside * float64(n+1) / float64(count)))
	}
	c.Frame.Heights(points, heights)
	lowest := math.Inf(1)
	for _, height := range heights {
		lowest = min(lowest, height)
	}
	return lowest
}
