package template

import (
	"math"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Outlines of one part may be drawn over one another; how deep is told.
func TestOverlapsOfAPartAreTold(t *testing.T) {
	sheet, err := readText(inMillimetres(`
<rect id="antihelix-body" width="20" height="60"/>
<rect id="antihelix-crus" x="15" y="10" width="20" height="10"/>
<rect id="antihelix-bar" x="-5" y="40" width="60" height="10"/>
<rect id="base" width="20" height="20"/><rect id="base-2" x="5" y="5" width="5" height="5"/>
<rect id="helix-a" x="40" width="9" height="9"/><rect id="helix-b" x="48.97" y="2" width="9" height="9"/>
<rect id="concha" x="60" width="9" height="9"/><rect id="concha-2" x="60" width="9.1" height="9.1"/>`), Options{})
	require.NoError(t, err)
	require.Len(t, sheet.Overlaps, 4)
	crossing := func(i int) Overlap {
		o := sheet.Overlaps[i]
		o.Depth = math.Round(o.Depth)
		return o
	}
	inside := func(o Overlap) *Fault {
		require.NotNil(t, o.Inside)
		return o.Inside
	}
	assert.Equal(t, Overlap{Part: "base", ID: "base-2", Over: "base", Depth: 10, Inside: sheet.Overlaps[0].Inside}, crossing(0))
	assert.Equal(t, 6, inside(sheet.Overlaps[0]).Line)
	assert.Equal(t, "ear.svg", inside(sheet.Overlaps[0]).File)
	assert.Contains(t, inside(sheet.Overlaps[0]).Error(), "base-2: lies inside base (line 6)")
	assert.Contains(t, inside(sheet.Overlaps[0]).Error(), "at x 5.000 y 10.000 mm")
	assert.Equal(t, Overlap{Part: "antihelix", ID: "antihelix-crus", Over: "antihelix-body", Depth: 5}, crossing(1))
	assert.Equal(t, Overlap{Part: "antihelix", ID: "antihelix-bar", Over: "antihelix-body", Depth: 10}, crossing(2),
		"no corner of either lies in the other")
	assert.Equal(t, "concha-2", sheet.Overlaps[3].ID)
	assert.Equal(t, "concha", inside(sheet.Overlaps[3]).ID, "the smaller one lies inside")
}

// The depth of an overlap is that of the deepest point of any edge, to 0.01 mm:
// against a plain search along all edges.
func TestDepthsAreThoseOfAPlainSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawn{Outline: Outline{Outer: blob(t).wound(false)}}, drawn{Outline: Outline{Outer: blob(t).wound(false)}}
		shift := mgl64.Vec2{rapid.Float64Range(-9, 9).Draw(t, "x"), rapid.Float64Range(-9, 9).Draw(t, "y")}
		for i := range b.Outer {
			b.Outer[i] = b.Outer[i].Add(shift)
		}
		region, err := Region(b.Outline)
		require.NoError(t, err)
		deepest := 0.0
		for i, p := range a.Outer {
			q := a.Outer[(i+1)%len(a.Outer)]
			for k := range 20 {
				deepest = math.Max(deepest, -region.Distance(p.Add(q.Sub(p).Mul(float64(k)/20))))
			}
		}
		r := sheetReader{drawing: &drawing{effort: effort{ctx: t.Context()}}}
		assert.InDelta(t, deepest, r.deepest(&a, &b), 2*depthFound)
	})
}

// Joined outlines enclose what closed forms say: two rectangles less what they
// share, two circles less their lens (Weisstein, "Circle-Circle Intersection").
// Inward corners are rounded by the reach of the join.
func TestJoinedOverlapsHaveTheAreaOfClosedForms(t *testing.T) {
	const corner = joinReach * joinReach * (1 - math.Pi/4)
	square := func(x, y float64) Outline {
		return Outline{Outer: Ring{{x, y}, {x + 20, y}, {x + 20, y + 20}, {x, y + 20}}}
	}
	for _, shift := range []mgl64.Vec2{{10, 10}, {19.9, 3}, {0.3, 12}, {5, 0}} {
		joined, err := Join(t.Context(), []Outline{square(0, 0), square(shift[0], shift[1])})
		require.NoError(t, err)
		require.Len(t, joined, 1)
		want := 800 - (20-shift[0])*(20-shift[1])
		assert.InDelta(t, want, joined[0].Area(), 2*corner+0.005, "shifted by %v", shift)
	}
	const r = 11.0
	circle := func(x float64) Outline {
		ring := ellipse(r, r, 4000)
		for i := range ring {
			ring[i][0] += x
		}
		return Outline{Outer: ring}
	}
	for _, d := range []float64{0.5, 6, 15, 21.5} {
		joined, err := Join(t.Context(), []Outline{circle(0), circle(d)})
		require.NoError(t, err)
		require.Len(t, joined, 1)
		lens := 2*r*r*math.Acos(d/(2*r)) - d/2*math.Sqrt(4*r*r-d*d)
		// Where the circles meet the notch is as sharp as it may be: it is filled
		// to the width of the reach.
		assert.InDelta(t, 2*math.Pi*r*r-lens, joined[0].Area(), 0.05+1e-4*math.Pi*r*r, "%g mm apart", d)
	}
}

func ringsOf(o Outline) []Ring { return append([]Ring{o.Outer}, o.Holes...) }

// Overlapping blobs of any shape enclose what a raster of winding numbers counts.
func TestJoinedBlobsEncloseWhatARasterCounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := []Outline{{ID: "a", Outer: blob(t).wound(false)}}
		for range rapid.IntRange(1, 3).Draw(t, "more") {
			next := blob(t).wound(false)
			shift := mgl64.Vec2{rapid.Float64Range(-5, 5).Draw(t, "x"), rapid.Float64Range(-5, 5).Draw(t, "y")}
			for i := range next {
				next[i] = next[i].Add(shift)
			}
			parts = append(parts, Outline{ID: "b", Outer: next})
		}
		joined, err := Join(t.Context(), parts)
		require.NoError(t, err)
		require.NotEmpty(t, joined)
		for _, o := range joined {
			meetings(ringsOf(o), func(a, b int) bool { return true }, false, &effort{ctx: t.Context()}, func(m meeting) bool {
				t.Fatalf("the joined outline meets itself at %v", m.at)
				return false
			})
		}
		var lines [][]mgl64.Vec2
		perimeter := 0.0
		lo, hi := mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
		for _, o := range parts {
			lines = append(lines, o.Outer)
			l, h := o.Bounds()
			for k := range lo {
				lo[k], hi[k] = math.Min(lo[k], l[k]), math.Max(hi[k], h[k])
			}
		}
		const cells = 150
		step := hi.Sub(lo).Mul(1.0 / cells)
		counted := 0.0
		for i := range cells * cells {
			p := mgl64.Vec2{lo[0] + (float64(i%cells)+.5)*step[0], lo[1] + (float64(i/cells)+.5)*step[1]}
			if winding, _ := windings(lines, p); winding != 0 {
				counted += step[0] * step[1]
			}
		}
		area := 0.0
		for _, o := range joined {
			area += o.Area()
			perimeter += o.Perimeter()
		}
		// The cells on the edge are counted by their middles: half of them wrongly
		// at the very worst, far fewer by chance.
		assert.InDelta(t, counted, area, 0.1*perimeter*step.Len()+0.1)
	})
}
