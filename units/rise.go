package units

import (
	"fmt"
	"math"

	"earframe/field"
	"earframe/template"

	"github.com/go-gl/mathgl/mgl64"
	"gonum.org/v1/gonum/interp"
)

// Underside returns the surface of the unit's underside in mm: level, or
// following the profile along the centreline. It is smooth: heights from a
// monotone curve over the nearest place of the centreline, averaged over about
// a millimetre, and carried by a twice differentiable surface.
func (u *Unit) Underside() (field.Surface, error) {
	if u.Whole != nil {
		return u.Whole.Underside()
	}
	return u.undersideShifted(func(z float64) float64 { return z })
}

// undersideShifted returns the underside with every height of it changed.
func (u *Unit) undersideShifted(shift func(z float64) float64) (field.Surface, error) {
	if u.Rise.Profile == nil {
		return field.Level(shift(u.Rise.Height)), nil
	}
	if u.Centreline == nil {
		return nil, fmt.Errorf("unit %s: a profile of %d points but no centreline", u.Name, len(u.Rise.Profile))
	}
	region, err := template.Region(u.Outlines[0])
	if err != nil {
		return nil, fmt.Errorf("unit %s: %w", u.Name, err)
	}
	along, err := u.Rise.curve()
	if err != nil {
		return nil, fmt.Errorf("unit %s: %w", u.Name, err)
	}
	heights := newHeightGrid(region)
	heights.sample(region, func(p mgl64.Vec2) float64 {
		fraction, _ := u.Centreline.Nearest(p)
		return along.Predict(fraction)
	})
	heights.smooth(riseSmoothing)
	heights.spread()
	for i, z := range heights.Heights {
		heights.Heights[i] = shift(z)
	}
	return field.NewHeightMap(heights.HeightMap)
}

// curve returns the profile as a once differentiable curve that overshoots none
// of its points: a monotone piecewise cubic (Fritsch and Butland, "A method for
// constructing local monotone piecewise cubic interpolants", SIAM J. Sci. Stat.
// Comput. 5, 1984). Before the first point and after the last it stays level.
func (r Rise) curve() (*interp.FritschButland, error) {
	at, height := make([]float64, len(r.Profile)), make([]float64, len(r.Profile))
	for i, point := range r.Profile {
		at[i], height[i] = point.At, point.Height
		if i > 0 && !(at[i] > at[i-1]) {
			return nil, fmt.Errorf("profile: at %g comes after at %g, ascending expected", at[i], at[i-1])
		}
	}
	if len(at) < 2 {
		return nil, fmt.Errorf("profile of %d points, at least 2 expected", len(at))
	}
	curve := &interp.FritschButland{}
	return curve, curve.Fit(at, height)
}

// Control heights of a rise: every riseSpacing mm, taken from the centreline
// within riseReach mm of the outline. Every round of smoothing averages over a
// neighbour each way, so that three rounds spread a jump in the nearest place
// (on the inner side of a tight bend) over about a millimetre.
const (
	riseSpacing   = 0.5
	riseReach     = 1.5
	riseMargin    = 3.0
	riseSmoothing = 3
	spreadRounds  = 60
)

// heightGrid is a height map in the making; known marks the heights that were
// taken from the centreline, the others only carry them on.
type heightGrid struct {
	field.HeightMap
	known []bool
}

func newHeightGrid(region *field.Region) *heightGrid {
	lo, hi := region.Bounds()
	margin := mgl64.Vec2{riseMargin, riseMargin}
	size := hi.Sub(lo).Add(margin.Mul(2))
	g := &heightGrid{HeightMap: field.HeightMap{
		Origin: lo.Sub(margin), Spacing: riseSpacing,
		Columns: int(math.Ceil(size[0]/riseSpacing)) + 1,
		Rows:    int(math.Ceil(size[1]/riseSpacing)) + 1,
	}}
	g.Heights = make([]float64, g.Columns*g.Rows)
	g.known = make([]bool, g.Columns*g.Rows)
	return g
}

// sample takes the heights near the region.
func (g *heightGrid) sample(region *field.Region, height func(p mgl64.Vec2) float64) {
	for row := range g.Rows {
		for column := 0; column < g.Columns; {
			i := row*g.Columns + column
			p := g.Origin.Add(mgl64.Vec2{float64(column) * g.Spacing, float64(row) * g.Spacing})
			d := region.Distance(p)
			if d < riseReach {
				g.Heights[i], g.known[i] = height(p), true
			}
			// As far as the region is away, nothing of the row is near it.
			column += max(1, int((d-riseReach)/g.Spacing))
		}
	}
}

// smooth averages every known height with its known neighbours, so that nothing
// leaks in from outside and a level stays exactly level.
func (g *heightGrid) smooth(rounds int) {
	next := make([]float64, len(g.Heights))
	for range rounds {
		for i, z := range g.Heights {
			if !g.known[i] {
				continue
			}
			change, weight := 0.0, 4.0
			g.neighbours(i, func(j int, share float64) {
				if g.known[j] {
					change += share * (g.Heights[j] - z)
					weight += share
				}
			})
			next[i] = z + change/weight
		}
		copy(g.Heights, next)
	}
}

// spread carries the known heights outward, and then evens out what lies
// between, so that the surface has no step where nothing stands on it: a step
// anywhere would slow down every search along the surface.
func (g *heightGrid) spread() {
	filled := append([]bool(nil), g.known...)
	var front []int
	for i, known := range g.known {
		if known {
			front = append(front, i)
		}
	}
	var order []int // from the known heights outward
	for len(front) > 0 {
		var reached []int
		for _, i := range front {
			g.neighbours(i, func(j int, _ float64) {
				if !filled[j] {
					filled[j] = true
					g.Heights[j] = g.Heights[i]
					reached = append(reached, j)
				}
			})
		}
		order = append(order, reached...)
		front = reached
	}
	for range spreadRounds {
		for _, i := range order {
			column, row := i%g.Columns, i/g.Columns
			left, right, below, above := i, i, i, i // the border's own height stands for what is beyond
			if column > 0 {
				left--
			}
			if column < g.Columns-1 {
				right++
			}
			if row > 0 {
				below -= g.Columns
			}
			if row < g.Rows-1 {
				above += g.Columns
			}
			z, h := g.Heights[i], g.Heights
			// The mean of the four, written so that a level stays exactly level.
			h[i] = z + ((h[left]-z)+(h[right]-z)+(h[below]-z)+(h[above]-z))/4
		}
	}
}

// neighbours calls visit with the up to eight neighbours, those across an edge
// with twice the share of those across a corner.
func (g *heightGrid) neighbours(i int, visit func(j int, share float64)) {
	column, row := i%g.Columns, i/g.Columns
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			c, r := column+dx, row+dy
			if dx == 0 && dy == 0 || c < 0 || r < 0 || c >= g.Columns || r >= g.Rows {
				continue
			}
			share := 1.0
			if dx == 0 || dy == 0 {
				share = 2
			}
			visit(r*g.Columns+c, share)
		}
	}
}
