package membrane

import (
	"context"
	"math"

	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// Advice says what would bring a lost groove back: the least change after
// which its depth on the skin's outside is half of its depth on the frame as it
// was given. Each figure is found by carving the groove so, laying the skin
// again and narrowing the interval. Skin that bridges a groove does not come lower
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

func (l AdviceLimits) withDefaults(d *Drape, lost Relief) (AdviceLimits, error) {
	if l.Wider == 0 {
		l.Wider = defaultWider
	}
	if l.Within == 0 {
		l.Within = defaultAdviceWithin
	}
	if l.Deeper == 0 {
		l.Deeper = max(heightOf(d.frame, lost.Where), l.Within)
	}
	for _, v := range []float64{l.Wider, l.Deeper, l.Within} {
		if !(v > 0) || math.IsInf(v, 0) {
			return l, &ValueError{"limit of the advice", v, "a positive number of millimetres"}
		}
	}
	return l, nil
}

// Advise works out what would bring a lost groove back under skin of the given
// thickness, mm. The skin is laid some ten times on the drape's own grid, each
// time from where it lay the time before.
func (d *Drape) Advise(ctx context.Context, thickness float64, lost Relief, limits AdviceLimits) (Advice, error) {
	if lost.Feature.Kind != Groove {
		return Advice{}, &EmptyError{"advice is given for grooves: " + lost.Feature.Name + " is a ridge"}
	}
	limits, err := limits.withDefaults(d, lost)
	if err != nil {
		return Advice{}, err
	}
	var advice Advice
	ways := [2]func() error{
		func() (err error) {
			advice.Wider, advice.WiderHelps, err = d.least(ctx, thickness, lost, limits.Wider, limits.Within,
				func(v float64) *carvedFrame {
					return &carvedFrame{Frame: d.frame, region: lost.Feature.Region, aside: v / 2}
				})
			return err
		},
		func() (err error) {
			advice.Deeper, advice.DeeperHelps, err = d.least(ctx, thickness, lost, limits.Deeper, limits.Within,
				func(v float64) *carvedFrame {
					return &carvedFrame{Frame: d.frame, region: lost.Feature.Region, deeper: v}
				})
			return err
		},
	}
	err = workers.Each(ctx, stageAdvice, len(ways), func(way int) error { return ways[way]() })
	return advice, err
}

// least returns the least measure of a carving after which enough of the lost
// groove shows.
func (d *Drape) least(ctx context.Context, thickness float64, lost Relief, most, within float64,
	carve func(v float64) *carvedFrame) (float64, bool, error) {
	lo, hi := lost.Feature.Region.Bounds()
	aside := mgl64.Vec2{1, 1}.Mul(carve(most).aside)
	window := d.newPart(lo.Sub(aside), hi.Add(aside))
	return Least(most, within, 0, func(v float64) (bool, error) {
		carved := carve(v)
		drape, err := window.lay(ctx, carved)
		if err != nil {
			return false, err
		}
		feature := lost.Feature
		feature.Reach = lost.Reach + carved.aside
		shown, err := drape.Shown(ctx, thickness, feature)
		return shown >= keptEnough*lost.OnFrame, err
	})
}

// Least finds the smallest value up to most for which enough holds, from above
// and to within the given width; ok is false where it does not hold at most. It is
// looked for from a guess on, in strides that double, then by halving; a guess that
// is not between 0 and most is none.
func Least(most, within, guess float64, enough func(v float64) (bool, error)) (least float64, ok bool, err error) {
	if ok, err = enough(most); err != nil || !ok {
		return 0, false, err
	}
	low, high, next, striding := 0.0, most, guess, true
	for stride := within * (1 - rounding); high-low > within; stride *= 2 {
		if striding = striding && next > low && next < high; !striding {
			next = (low + high) / 2
		}
		ok, err := enough(next)
		if err != nil {
			return 0, false, err
		}
		if ok {
			high = next
			next -= stride
		} else {
			low = next
			next += stride
		}
	}
	return high, true, nil
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
