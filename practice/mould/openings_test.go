package mould

import (
	"container/heap"
	"math"
	"slices"
	"testing"

	"earframe/field"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// hills is a level bar with two balls on it, the left one 6 mm, the right one
// 5 mm high over the bar's middle.
func hills(t testing.TB) field.Field {
	return field.Union(
		plate(t, rectangle(t, 40, 6), -2, 2, 0, 0),
		field.Ball(mgl64.Vec3{-14, 0, 0}, 6), field.Ball(mgl64.Vec3{14, 1, 0}, 5))
}

func TestEachHighPointOfTheCavityHasItsVent(t *testing.T) {
	solid := hills(t)
	o := options(t, units.MouldTwoPart)
	o.Step = 0.6
	m := makeOf(t, "hills", solid, o)
	for _, top := range []mgl64.Vec3{{-14, 0, 6}, {14, 1, 5}} {
		want := m.placing.intoMould(top)
		nearest := math.Inf(1)
		for _, v := range m.Vents {
			if v.Reason == forAir {
				nearest = math.Min(nearest, v.At.Sub(want).Len())
			}
		}
		assert.Less(t, nearest, 2*coarse, "a vent at the top of the hill at %v", top)
	}
	require.Len(t, m.Funnels, 1)
	assert.InDelta(t, 0, m.placing.intoPart(m.Funnels[0].At).Vec2().Len(), 2, "the funnel stands in the middle")
}

// Lines through funnel and vents go from the top of the mould into the cavity
// through no mould at all; a line beside them meets the mould.
func TestChannelsLeadFromTheTopIntoTheCavity(t *testing.T) {
	coarser := options(t, units.MouldTwoPart)
	coarser.Step = 0.6
	for name, m := range map[string]*Mould{"hills": makeOf(t, "hills", hills(t), coarser), "arch": archMade(t)} {
		upper := piece(t, m, Upper)
		block := m.Block.Bounds()
		inUpper := func(p mgl64.Vec3) bool {
			out := make([]float64, 1)
			upper.Solid.Distances([]mgl64.Vec3{p}, out)
			return out[0] < 0
		}
		for _, c := range append(append([]Channel(nil), m.Funnels...), m.Vents...) {
			out := make([]float64, 1)
			m.Cavity.Distances([]mgl64.Vec3{c.At.Sub(mgl64.Vec3{0, 0, 0.2})}, out)
			assert.Negative(t, out[0], "%s begins in the cavity of %s", c.Reason, name)
			for z := c.At[2] - 0.2; z < block.Max[2]+0.2; z += 0.1 {
				for i := range 8 {
					sin, cos := math.Sincos(float64(i) * math.Pi / 4)
					r := 0.45 * c.Diameter
					if z < c.At[2] {
						r = 0
					}
					require.False(t, inUpper(mgl64.Vec3{c.At[0] + r*cos, c.At[1] + r*sin, z}),
						"%s of %s is free at height %g", c.Reason, name, z)
				}
			}
			assert.GreaterOrEqual(t, c.Diameter, printer(t, units.Filament).Hole)
			assert.GreaterOrEqual(t, c.Mouth, c.Diameter)
		}
		for i, a := range append(append([]Channel(nil), m.Funnels...), m.Vents...) {
			for _, b := range m.Vents[max(i-len(m.Funnels)+1, 0):] {
				if a.At != b.At {
					assert.Greater(t, a.At.Vec2().Sub(b.At.Vec2()).Len(), (a.Diameter+b.Diameter)/2,
						"two channels stay apart")
				}
			}
		}
	}
}

// No place of a long cavity is farther from air than the reach.
func TestALongCavityHasVentsAllAlong(t *testing.T) {
	bar := plate(t, rectangle(t, 150, 8), 0, 6, 2, 2)
	o := options(t, units.MouldTwoPart)
	o.Step = 1
	m := makeOf(t, "bar", bar, o)
	for x := -74.0; x <= 74; x++ {
		nearest := math.Inf(1)
		for _, c := range append(append([]Channel(nil), m.Funnels...), m.Vents...) {
			nearest = math.Min(nearest, math.Abs(m.placing.intoPart(c.At)[0]-x))
		}
		assert.LessOrEqual(t, nearest, ventReach, "at x = %g", x)
	}
	assert.LessOrEqual(t, len(m.Vents), 8)
}

func TestEachCavityOfAPartInPiecesHasItsFunnel(t *testing.T) {
	two := field.Union(field.Ball(mgl64.Vec3{-10, 0, 0}, 6), field.Ball(mgl64.Vec3{10, 0, 0}, 6))
	o := options(t, units.MouldTwoPart)
	o.Step = 0.6
	m := makeOf(t, "pair", two, o)
	require.Len(t, m.Funnels, 2)
	assert.Negative(t, m.Funnels[0].At[0]*m.Funnels[1].At[0], "one on each side")
}

// The peaks kept are those that stand trapHeight above the way to a higher one:
// compared with flooding from each local maximum in turn.
func TestPeaksStandOverTheirSurroundings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nx, ny := rapid.IntRange(1, 7).Draw(t, "columns"), rapid.IntRange(1, 7).Draw(t, "rows")
		c := &columns{step: 1, nx: nx, ny: ny}
		top := &ceiling{columns: c, part: make([]bool, nx*ny), height: make([]float64, nx*ny)}
		for k := range top.part {
			top.part[k] = rapid.IntRange(0, 4).Draw(t, "part") > 0
			top.height[k] = float64(rapid.IntRange(0, 6).Draw(t, "height")) * 0.15
		}
		peaks := top.peaks()
		for i, k := range peaks {
			higher, level := top.flood(k, top.height[k]-trapHeight+1e-9)
			require.False(t, higher, "a kept peak does not drain to a higher place")
			for _, other := range peaks[i+1:] {
				require.NotContains(t, level, other, "two peaks of one height are two only with a dip between them")
			}
		}
		for k, in := range top.part {
			if !in {
				continue
			}
			if higher, reached := top.flood(k, top.height[k]-trapHeight+1e-9); !higher {
				found := false
				for _, peak := range peaks {
					_, same := reached[peak]
					found = found || same
				}
				require.True(t, found, "a high point is kept, or one of its height that it runs into")
			}
		}
	})
}

// flood goes from k through the part where it is higher than the level; it
// reports whether it reaches a place higher than k, and where it got.
func (t *ceiling) flood(k int, level float64) (higher bool, reached map[int]bool) {
	reached = map[int]bool{k: true}
	for queue := []int{k}; len(queue) > 0; queue = queue[1:] {
		t.neighbours(queue[0], func(n int) {
			if t.part[n] && !reached[n] && t.height[n] > level {
				reached[n] = true
				queue = append(queue, n)
				higher = higher || t.height[n] > t.height[k]
			}
		})
	}
	return higher, reached
}

func TestTheQueueGivesTheShortestFirstAndOfEqualsTheLowerColumn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lengths := rapid.SliceOf(rapid.IntRange(0, 5)).Draw(t, "lengths")
		queue := &ways{}
		for k, length := range slices.Backward(lengths) {
			heap.Push(queue, way{float64(length), k})
		}
		last := way{-1, -1}
		for range lengths {
			next := heap.Pop(queue).(way)
			require.Equal(t, float64(lengths[next.column]), next.length)
			require.True(t, next.length > last.length || next.length == last.length && next.column > last.column)
			last = next
		}
	})
}
