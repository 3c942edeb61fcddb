package membrane

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// groove is a long straight groove of trapezoid section between flat ridges.
type groove struct {
	top, depth, wall float64 // width between the ridges, depth, width of each wall, mm
	left, right      float64 // heights of the ridges above the bed
}

const ridgeWidth = 7.0

func (g groove) section(x float64) float64 {
	half := g.top / 2
	if math.Abs(x) >= half {
		if x < 0 {
			return g.left
		}
		return g.right
	}
	floor := min(g.left, g.right) - g.depth
	side := g.right
	if x < 0 {
		side = g.left
	}
	if g.wall == 0 {
		return floor
	}
	return max(floor, side-(half-math.Abs(x))/g.wall*(side-floor))
}

const (
	grooveHalfLength = 26.0
	grooveMeasured   = 5.0 // half the length that is looked at, far from the ends
)

func (g groove) caseOf(turned, bridging float64) Case {
	reach := g.top/2 + ridgeWidth
	return Case{
		Frame:          strip(reach, grooveHalfLength, turned, g.section),
		Pocket:         boxPocket{reach + 14, grooveHalfLength + 14, turned},
		BridgingRadius: bridging,
	}
}

func (g groove) feature(turned float64) Feature {
	return Feature{Name: "groove", Region: boxPocket{g.top / 2, grooveMeasured, turned}}
}

// sag is how far a string of curvature 1/R hangs between two supports of equal
// height, w apart: R − √(R² − w²/4), by elementary geometry.
func sag(radius, width float64) float64 {
	if math.IsInf(radius, 1) {
		return 0
	}
	return radius - math.Sqrt(radius*radius-width*width/4)
}

// Between equal ridges, skin without stiffness hangs in an arc until it meets
// the floor, and its outside lies in the arc about the same centre, so that the
// groove's depth outside is the sag, or the groove's own depth.
func TestReliefOfAGrooveIsTheSagOfAString(t *testing.T) {
	for _, c := range []struct {
		groove
		bridging, thickness float64
	}{
		{groove{top: 8, depth: 3, left: 8, right: 8}, 7, 2},
		{groove{top: 8, depth: 3, wall: 1.5, left: 8, right: 8}, 7, 2},
		{groove{top: 10, depth: 4, wall: 1, left: 8, right: 8}, 6, 2},
		{groove{top: 10, depth: 1.2, wall: 1, left: 8, right: 8}, 6, 1.5}, // meets the floor
		{groove{top: 6, depth: 3, wall: 1, left: 8, right: 8}, math.Inf(1), 2},
	} {
		for _, turned := range []float64{0, 0.5} {
			d := onStep(t, c.caseOf(turned, c.bridging), 1/c.bridging, defaultStep)
			skin, err := d.Skin(context.Background(), c.thickness)
			require.NoError(t, err)
			r, err := d.Relief(skin, c.feature(turned))
			require.NoError(t, err)
			shown, err := d.Shown(context.Background(), c.thickness, c.feature(turned))
			require.NoError(t, err)
			assert.Equal(t, r.OnSkin, shown, "the skin worked out where it is looked at only")
			want := min(sag(c.bridging, c.top), c.depth)
			t.Logf("%+v, bridging radius %g mm, turned by %g: on the frame %.4f mm (%g), on the skin %.4f mm "+
				"(%.4f)", c.groove, c.bridging, turned, r.OnFrame, c.depth, r.OnSkin, want)
			assert.InDelta(t, c.depth, r.OnFrame, 1e-9)
			assert.InDelta(t, want, r.OnSkin, 0.02*c.depth)
			assert.Equal(t, want < c.depth/2, r.Lost())
		}
	}
}

// The depth of a groove is counted from the lower of its two ridges.
func TestReliefIsCountedFromTheLowerRidge(t *testing.T) {
	g := groove{top: 6, depth: 2, left: 5, right: 9}
	d := onStep(t, g.caseOf(0.2, math.Inf(1)), 0, defaultStep)
	skin, err := d.Skin(context.Background(), 2)
	require.NoError(t, err)
	r, err := d.Relief(skin, g.feature(0.2))
	require.NoError(t, err)
	assert.InDelta(t, 2, r.OnFrame, 1e-9)
	// The ridge between: the lower shelf is no ridge, the high plate is.
	ridge := Feature{Name: "high plate", Kind: Ridge, Region: boxPocket{ridgeWidth/2 - 0.1, grooveMeasured, 0.2}}
	ridge.Region = movedRegion{ridge.Region, turn(mgl64.Vec2{g.top/2 + ridgeWidth/2, 0}, 0.2)}
	r, err = d.Relief(skin, ridge)
	require.NoError(t, err)
	assert.InDelta(t, 9-3, r.OnFrame, 1e-9, "from its higher side, the groove's floor")
}

// Skin of thickness t that is drawn in to the radius R stands R off a ridge's wall
// where it has come down to the floor, and its outside t off the wall at the crest: a
// narrow ridge is broader by t on both sides, and as high as it was.
func TestARidgeUnderCloseSkinIsBroaderAndAsHigh(t *testing.T) {
	const high, half, radius, thickness = 5.0, 1.7, 2.0, 2.0
	section := func(x float64) float64 {
		if math.Abs(x) <= half {
			return 3 + high
		}
		return 3
	}
	c := Case{Frame: strip(16, grooveHalfLength, 0.2, section)}
	c.Pocket = boxPocket{30, grooveHalfLength + 14, 0.2}
	d := onStep(t, c, 1/radius, defaultStep)
	skin, err := d.Skin(t.Context(), thickness)
	require.NoError(t, err)
	r, err := d.Relief(skin, Feature{Name: "rim", Kind: Ridge, Region: boxPocket{half, grooveMeasured, 0.2}})
	require.NoError(t, err)
	assert.InDelta(t, high, r.OnFrame, 1e-9)
	assert.InDelta(t, high, r.OnSkin, 0.05)
}

type movedRegion struct {
	Region
	by mgl64.Vec2
}

func (m movedRegion) Bounds() (lo, hi mgl64.Vec2) {
	lo, hi = m.Region.Bounds()
	return lo.Add(m.by), hi.Add(m.by)
}

func (m movedRegion) Distance(p mgl64.Vec2) float64 { return m.Region.Distance(p.Sub(m.by)) }

func TestFeaturesThatCannotBeMeasuredAreRefused(t *testing.T) {
	g := groove{top: 6, depth: 2, left: 5, right: 5}
	d := onStep(t, g.caseOf(0, math.Inf(1)), 0, 0.8)
	skin, err := d.Skin(context.Background(), 2)
	require.NoError(t, err)
	var empty *EmptyError
	_, err = d.Relief(skin, Feature{Name: "scapha", Region: roundPocket{mgl64.Vec2{500, 0}, 3}})
	require.ErrorAs(t, err, &empty)
	assert.ErrorContains(t, err, "scapha")
	var value *ValueError
	_, err = d.Relief(skin, Feature{Name: "scapha", Region: roundPocket{radius: 3}, Reach: math.NaN()})
	require.ErrorAs(t, err, &value)
}

// Widening helps as far as the string says, and deepening a groove that skin
// bridges does not help at all.
func TestAdviceIsWhatTheStringSays(t *testing.T) {
	const bridging, thickness = 6, 2
	g := groove{top: 5, depth: 3, left: 8, right: 8}
	c := g.caseOf(0, bridging)
	options := Options{Step: defaultStep, Finest: defaultStep}
	d, err := Lay(context.Background(), c, options)
	require.NoError(t, err)
	skin, err := d.Skin(context.Background(), thickness)
	require.NoError(t, err)
	whole := Feature{Name: "groove", Region: boxPocket{g.top / 2, grooveHalfLength, 0}}
	lost, err := d.Relief(skin, whole)
	require.NoError(t, err)
	require.True(t, lost.Lost())
	advice, err := d.Advise(context.Background(), thickness, lost, AdviceLimits{})
	require.NoError(t, err)
	// sag(R, w) = depth/2 solved for w.
	want := 2*math.Sqrt(2*bridging*g.depth/2-g.depth*g.depth/4) - g.top
	t.Logf("kept %.2f; wider by %.2f mm, the string says %.2f mm", lost.Kept, advice.Wider, want)
	require.True(t, advice.WiderHelps)
	// Wider by half a step on either side is the same grid.
	assert.InDelta(t, want, advice.Wider, defaultStep+defaultAdviceWithin)
	assert.False(t, advice.DeeperHelps)
}

// The slow, obvious way: look at every node of every disc. The discs are asked
// for around nodes that reach beyond the patch on one side and not on the other.
func TestHighestWithinADiscIsTheHighest(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	p := patch{nodes{3, 5, 23, 17}, make([]float64, 23*17)}
	for k := range p.values {
		p.values[k] = random.Float64()
	}
	for _, radius := range []float64{0.5, 1, 2.3, 5, 40} {
		for _, around := range []nodes{p.nodes, {10, 9, 4, 3}, {0, 0, 12, 30}} {
			fast := p.highest(around, radius)
			require.Equal(t, around, fast.nodes)
			for j := around.j0; j < around.j0+around.rows; j++ {
				for i := around.i0; i < around.i0+around.columns; i++ {
					want := math.Inf(-1)
					for n, v := range p.values {
						di, dj := float64(i-p.i0-n%p.columns), float64(j-p.j0-n/p.columns)
						if di*di+dj*dj <= radius*radius {
							want = max(want, v)
						}
					}
					require.Equal(t, want, fast.at(i, j), "radius %g, node %d %d", radius, i, j)
				}
			}
		}
	}
}

// The skin laid again from a drape of nearly the same radius is the skin laid from
// the start.
func TestLaidAgainIsAsLaidAtFirst(t *testing.T) {
	c := earlike(0.3)
	options := Options{Step: 0.8, Finest: 0.8}
	first, err := Lay(context.Background(), c, options)
	require.NoError(t, err)
	for _, bridging := range []float64{5, 8, 10, 12} {
		c.BridgingRadius = bridging
		want, err := Lay(context.Background(), c, options)
		require.NoError(t, err)
		again, err := first.Again(context.Background(), bridging)
		require.NoError(t, err)
		t.Logf("bridging radius %g mm: %d iterations, demand %.5f and "+
			"%.5f", bridging, again.Iterations, again.SkinDemand(), want.SkinDemand())
		assert.InEpsilon(t, want.SkinDemand(), again.SkinDemand(), 2e-3)
	}
}

// Whatever is guessed, the least value is found to within the width, from above;
// a good guess takes few tries.
func TestLeastIsFoundFromAboveAndSoonerFromAGuess(t *testing.T) {
	const most, within, root = 8.0, 0.1, 2.7
	tries := map[float64]int{}
	for _, guess := range []float64{0, -3, 0.1, 2.65, 2.75, 5, 7.99, 40, math.NaN(), math.Inf(1)} {
		count := 0
		least, ok, err := Least(most, within, guess, func(v float64) (bool, error) {
			count++
			return v >= root, nil
		})
		require.NoError(t, err)
		require.True(t, ok)
		assert.GreaterOrEqual(t, least, root, "guess %g", guess)
		assert.LessOrEqual(t, least, root+within, "guess %g", guess)
		assert.LessOrEqual(t, count, 14, "guess %g", guess)
		tries[guess] = count
	}
	assert.Equal(t, 8, tries[0], "most, then seven halvings of 8 mm to 0.1 mm")
	assert.LessOrEqual(t, tries[2.65], 4)
	assert.LessOrEqual(t, tries[2.75], 4)
	_, ok, err := Least(most, within, 1, func(float64) (bool, error) { return false, nil })
	require.NoError(t, err)
	assert.False(t, ok, "nothing is enough")
}

// Laid within a window, the skin over a carved groove shows as much of it as laid
// over all of the pocket.
func TestLaidInAWindowIsAsLaidOverAll(t *testing.T) {
	const thickness = 1.5
	g := groove{top: 5, depth: 3, left: 8, right: 8}
	for name, rolls := range map[string][]Roll{
		"": nil, "under a roll": {straight(2, turn(mgl64.Vec2{0, -60}, 0.2), turn(mgl64.Vec2{0, 60}, 0.2))},
	} {
		t.Run(name, func(t *testing.T) { laidInAWindow(t, g, rolls, thickness) })
	}
}

func laidInAWindow(t *testing.T, g groove, rolls []Roll, thickness float64) {
	c := g.caseOf(0.2, 6)
	c.Rolls = rolls
	d, err := Lay(context.Background(), c, Options{Step: 0.8, Finest: 0.8})
	require.NoError(t, err)
	feature := g.feature(0.2)
	feature.Reach = 6
	lo, hi := feature.Region.Bounds()
	window := d.newPart(lo.Sub(mgl64.Vec2{2, 2}), hi.Add(mgl64.Vec2{2, 2}))
	require.Less(t, window.within.columns*window.within.rows, len(d.Heights)*2/3)
	all := d.newPart(d.Grid.Place(0), d.Grid.Place(len(d.Heights)-1))
	require.Equal(t, nodes{0, 0, d.Grid.Columns, d.Grid.Rows}, all.within)
	for _, aside := range []float64{0.5, 1, 1.7} {
		var shown [2]float64
		for n, p := range []*part{window, all} {
			drape, err := p.lay(context.Background(), &carvedFrame{Frame: c.Frame, region: feature.Region, aside: aside})
			require.NoError(t, err)
			shown[n], err = drape.Shown(context.Background(), thickness, feature)
			require.NoError(t, err)
		}
		t.Logf("carved by %g mm on either side: %.3f mm show, %.3f mm laid over all", aside, shown[0], shown[1])
		assert.InDelta(t, shown[1], shown[0], 0.02)
	}
}
