package budget

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/template"
)

// star returns a ring about the origin that does not cross itself.
func star(corners int, radius func() float64) template.Ring {
	ring := make(template.Ring, corners)
	for i := range ring {
		r := radius()
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(corners))
		ring[i] = mgl64.Vec2{r * cos, r * sin}
	}
	return ring
}

// slowDistance is the obvious way: all edges for the distance, crossings of a
// ray for the sign.
func slowDistance(ring template.Ring, p mgl64.Vec2) float64 {
	least, inside := math.Inf(1), false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		x, y := b[0]-a[0], b[1]-a[1]
		px, py := p[0]-a[0], p[1]-a[1]
		s := min(max((px*x+py*y)/(x*x+y*y), 0), 1)
		least = min(least, (px-s*x)*(px-s*x)+(py-s*y)*(py-s*y))
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			inside = !inside
		}
	}
	if inside {
		return -math.Sqrt(least)
	}
	return math.Sqrt(least)
}

// slow tells the spare at a pose by points along the unit's edge, slowStep mm
// apart; it gives up below the least asked for.
type slow struct {
	points []mgl64.Vec2 // of the unit's edge
	stock  template.Ring
	block  template.Ring // to keep off; nil for none
}

const slowStep = 0.15

func newSlow(unit, stock, block template.Ring) slow {
	s := slow{stock: stock, block: block}
	for i, a := range unit {
		along := unit[(i+1)%len(unit)].Sub(a)
		n := math.Ceil(along.Len() / slowStep)
		for k := 0.0; k < n; k++ {
			s.points = append(s.points, a.Add(along.Mul(k/n)))
		}
	}
	return s
}

func (s slow) spare(x, y, turn, least float64) float64 {
	sin, cos := math.Sincos(turn)
	spare := math.Inf(1)
	for i := range s.points {
		p := s.points[i*7%len(s.points)] // far apart first: soon below the least
		if len(s.points)%7 == 0 {
			p = s.points[i]
		}
		q := mgl64.Vec2{cos*p[0] - sin*p[1] + x, sin*p[0] + cos*p[1] + y}
		spare = min(spare, -slowDistance(s.stock, q))
		if s.block != nil {
			spare = min(spare, slowDistance(s.block, q))
		}
		if spare <= least {
			return spare
		}
	}
	return spare
}

// The best of a lattice over place and turn is nowhere better than the best
// found, and that is better than the lattice's by no more than the way from its
// place to the nearest lattice point.
func TestNoPlaceOfALatticeIsBetterThanTheOneFound(t *testing.T) {
	const (
		step  = 0.7
		turns = 26
		seed  = 20240511
	)
	random := rand.New(rand.NewPCG(seed, 1))
	fits := 0
	for n := range 50 {
		stock := star(5+random.IntN(5), func() float64 { return 4 + 3*random.Float64() })
		unit := star(3+random.IntN(5), func() float64 { return 2.5 + 4.5*random.Float64() })
		var block template.Ring
		if n%2 == 1 { // a small block that cannot lie within the unit unseen: its corners are looked at by both
			block = star(4, func() float64 { return 0.7 })
			for i := range block {
				block[i] = block[i].Add(mgl64.Vec2{3, 1})
			}
		}
		s, err := newShape(template.Outline{ID: "unit", Outer: unit})
		require.NoError(t, err)
		r := roomIn(t, template.Outline{ID: "stock", Outer: stock}, 0)
		if block != nil {
			o, err := newObstacle([][]mgl64.Vec2{block}, 0)
			require.NoError(t, err)
			r.taken = append(r.taken, o)
		}
		found, err := place(context.Background(), s, r, best())
		require.NoError(t, err)
		about := slices.Clone(unit)
		for i := range about {
			about[i] = about[i].Sub(s.centre)
		}
		judge := newSlow(about, stock, block)
		lattice := math.Inf(-1)
		for x := -7.0; x <= 7; x += step {
			for y := -7.0; y <= 7; y += step {
				for k := range turns {
					turn := 2 * math.Pi * float64(k) / turns
					spare := judge.spare(x, y, turn, lattice)
					if block != nil && spare > lattice {
						spare = min(spare, s.around(r, pose{x, y, turn}))
					}
					lattice = max(lattice, spare)
				}
			}
		}
		way := step/math.Sqrt2 + s.reach*math.Pi/turns
		assert.LessOrEqual(t, lattice, found.upper+slowStep/2, "seed %d, case %d: the lattice has a better place", seed,
			n)
		assert.LessOrEqual(t, found.spare, lattice+way+edgeTolerance,
			"seed %d, case %d: better than the lattice allows", seed, n)
		at := judge.spare(found.at.x, found.at.y, found.at.turn, math.Inf(-1))
		assert.LessOrEqual(t, found.spare, at+edgeTolerance, "seed %d, case %d: the place has not the spare told", seed,
			n)
		assert.GreaterOrEqual(t, found.spare, found.upper-spareTolerance-1e-9)
		if found.spare > 0 {
			fits++
		}
	}
	assert.Greater(t, fits, 10, "units that fit are among them")
	assert.Less(t, fits, 40, "and units that do not")
}

// around returns how far the shape keeps off the corners of what is taken: what
// a unit that encloses it lacks.
func (s *shape) around(r *room, at pose) float64 {
	sin, cos := math.Sincos(at.turn)
	least := math.Inf(1)
	for _, o := range r.taken {
		for _, q := range o.points {
			back := at.back(q, sin, cos)
			ring := make(template.Ring, len(s.outline.Outer))
			for i, p := range s.outline.Outer {
				ring[i] = p.Sub(s.centre)
			}
			least = min(least, slowDistance(ring, back))
		}
	}
	return least
}

// drawRing draws a ring of rapid's choice.
func drawRing(t *rapid.T, name string, least, most float64) template.Ring {
	return star(rapid.IntRange(4, 8).Draw(t, name+" corners"), func() float64 {
		return rapid.Float64Range(least, most).Draw(t, name+" radius")
	})
}

func TestTheSpareDoesNotDependOnHowThePieceLies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stock := drawRing(t, "stock", 5, 8)
		unit := template.Outline{ID: "unit", Outer: drawRing(t, "unit", 1.5, 4)}
		first := placeIn(t, unit, template.Outline{ID: "stock", Outer: stock}, 0.5, best())
		sin, cos := math.Sincos(rapid.Float64Range(0, 2*math.Pi).Draw(t, "turn"))
		x, y := rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y")
		moved := make(template.Ring, len(stock))
		for i, p := range stock {
			moved[i] = pose{x: x, y: y}.move(p, sin, cos)
		}
		second := placeIn(t, unit, template.Outline{ID: "stock", Outer: moved}, 0.5, best())
		require.InDelta(t, first.spare, second.spare, closely)
	})
}

func TestMoreMarginOrKerfLeavesLessToSpare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stock := template.Outline{ID: "stock", Outer: drawRing(t, "stock", 6, 9)}
		s, err := newShape(template.Outline{ID: "unit", Outer: drawRing(t, "unit", 1.5, 3)})
		require.NoError(t, err)
		const tolerance = 0.2 // soon found
		more := rapid.Float64Range(0.1, 1.5).Draw(t, "more")
		spare := func(margin, kerf float64) float64 {
			r := roomIn(t, stock, margin)
			o, err := newObstacle(rectangle(2, 2).Rings(), kerf)
			require.NoError(t, err)
			r.taken = append(r.taken, o)
			found, err := place(context.Background(), s, r,
				goal{floor: math.Inf(-1), enough: math.Inf(1), tolerance: tolerance})
			require.NoError(t, err)
			return found.spare
		}
		plain := spare(0.5, 0.5)
		margin, kerf, both := spare(0.5+more, 0.5), spare(0.5, 0.5+more), spare(0.5+more, 0.5+more)
		require.LessOrEqual(t, margin, plain+tolerance+edgeTolerance)
		require.LessOrEqual(t, kerf, plain+tolerance+edgeTolerance)
		require.InDelta(t, plain-more, both, tolerance+edgeTolerance, "both together are a spare to be kept")
	})
}
