package membrane

import (
	"context"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Outside is the skin's outside between the nodes of a grid, too: every node
// knows the place of the deep surface whose ball it lies on, and from the places
// of two neighbours the outside is worked out anywhere between them, its normal
// with it.
type Outside struct {
	Grid      Grid
	Thickness float64   // mm; 0 is the deep surface itself
	Heights   []float64 // mm above the bed
	e         *envelope // nil without thickness
}

// Outside returns the outside of skin of the given thickness, mm, on a grid that
// may be finer than the drape's own. It is an error if the thickness is negative
// or no number; ctx ends the work early with its error.
func (d *Drape) Outside(ctx context.Context, grid Grid, thickness float64) (*Outside, error) {
	heights, err := d.HeightsOn(ctx, grid)
	if err != nil || thickness == 0 {
		return &Outside{Grid: grid, Heights: heights}, err
	}
	e := &envelope{Grid: grid, u: heights, more: d.between, radius: thickness}
	e.standOn(d.walls(grid))
	e.net = d
	return e.outside(ctx)
}

// outside returns the outside, every node knowing what carries its ball.
func (e *envelope) outside(ctx context.Context) (*Outside, error) {
	e.carriers = make([]carrier, len(e.u))
	if err := e.raise(ctx); err != nil {
		return nil, err
	}
	return &Outside{e.Grid, e.radius, e.top, e}, nil
}

// sample is a place of the outside, mm from the grid's origin, and that of the
// deep surface on whose ball it lies.
type sample struct{ at, carrier mgl64.Vec3 }

// carrier is where the ball of a node lies: anywhere from one place to another
// on an edge of the deep surface, in grid units and mm, or at one place.
type carrier [2]mgl64.Vec3

// node returns the sample at a grid node.
func (o *Outside) node(k int) sample {
	place := o.Grid.Place(k).Sub(o.Grid.Origin)
	if o.e == nil {
		return sample{at: place.Vec3(o.Heights[k])}
	}
	return o.slide(sample{at: place.Vec3(math.Inf(-1))}, o.e.carriers[k])
}

// normal returns the outward normal at a sample; none without thickness.
func (o *Outside) normal(s sample) mgl64.Vec3 {
	if o.e == nil {
		return mgl64.Vec3{}
	}
	return s.at.Sub(s.carrier).Mul(1 / o.Thickness)
}

// between returns the sample halfway between two in plan. Balls never reach
// above the outside, so the highest of those tried is taken: those of the nodes
// around, moved along their edges, and some along the deep surface between the
// ends' own.
func (o *Outside) between(a, b sample) sample {
	p := a.at.Add(b.at).Mul(0.5).Vec2()
	best := sample{at: p.Vec3(math.Inf(-1))}
	best = o.higher(o.higher(best, a.carrier), b.carrier)
	i, j := int(p[0]/o.Grid.Step), int(p[1]/o.Grid.Step)
	for y := max(j-1, 0); y <= min(j+2, o.Grid.Rows-1); y++ {
		for x := max(i-1, 0); x <= min(i+2, o.Grid.Columns-1); x++ {
			best = o.slide(best, o.e.carriers[y*o.Grid.Columns+x])
		}
	}
	for _, share := range [5]float64{0, 0.25, 0.5, 0.75, 1} {
		best = o.climb(best, a.carrier.Mul(1-share).Add(b.carrier.Mul(share)).Vec2())
	}
	return best
}

// slide offers a carrier's ball where it reaches highest.
func (o *Outside) slide(best sample, c carrier) sample {
	step := o.Grid.Step
	from := mgl64.Vec3{c[0][0] * step, c[0][1] * step, c[0][2]}
	if c[0] == c[1] {
		return o.higher(best, from)
	}
	way := mgl64.Vec3{c[1][0] * step, c[1][1] * step, c[1][2]}.Sub(from)
	off := best.at.Vec2().Sub(from.Vec2())
	length := way.Vec2().Len()
	along := off.Dot(way.Vec2()) / length
	square := o.Thickness*o.Thickness - off.LenSqr() + along*along
	if square < 0 {
		return best
	}
	touch := along + way[2]/way.Len()*math.Sqrt(square)
	return o.higher(best, from.Add(way.Mul(min(max(touch/length, 0), 1))))
}

// climb offers the ball over a place of the deep surface, and those over the
// places where a plane of the slope found there would touch.
func (o *Outside) climb(best sample, q mgl64.Vec2) sample {
	const steps = 3 // on a plane the second arrives
	for range steps {
		carrier, slope, ok := o.e.surfaceAt(q)
		if !ok {
			break
		}
		best = o.higher(best, carrier)
		q = best.at.Vec2().Add(slope.Mul(o.Thickness / math.Sqrt(1+slope.LenSqr())))
	}
	return best
}

// higher returns the sample, raised if the ball carried there is higher.
func (o *Outside) higher(best sample, carrier mgl64.Vec3) sample {
	rest := o.Thickness*o.Thickness - best.at.Vec2().Sub(carrier.Vec2()).LenSqr()
	if rest < 0 {
		return best
	}
	if z := carrier[2] + math.Sqrt(rest); z > best.at[2] {
		return sample{mgl64.Vec3{best.at[0], best.at[1], z}, carrier}
	}
	return best
}

// surfaceAt returns the place of the deep surface at q, mm from the grid's
// origin, its slope, and whether there is surface.
func (e *envelope) surfaceAt(q mgl64.Vec2) (place mgl64.Vec3, slope mgl64.Vec2, ok bool) {
	x, y := q[0]/e.Step, q[1]/e.Step
	if !(x >= 0 && y >= 0 && x <= float64(e.Columns-1) && y <= float64(e.Rows-1)) {
		return mgl64.Vec3{}, mgl64.Vec2{}, false
	}
	i, j := min(int(x), e.Columns-2), min(int(y), e.Rows-2)
	k := j*e.Columns + i
	if !e.present[k] {
		if e.net == nil || !e.walled[k] {
			return mgl64.Vec3{}, mgl64.Vec2{}, false
		}
		height, slope := e.net.wallAt(q.Add(e.Origin))
		return q.Vec3(height), slope, true
	}
	fx, fy := x-float64(i), y-float64(j)
	half := 0
	if e.split(k) && fy > fx || !e.split(k) && fx+fy > 1 {
		half = 1
	}
	slope = e.slopes[k][half]
	// From a corner that both of the cell's cuts share.
	base, dx, dy := e.u[k+1], fx-1, fy
	if half == 1 {
		base, dx, dy = e.u[k+e.Columns], fx, fy-1
	}
	return q.Vec3(base + (dx*slope[0]+dy*slope[1])*e.Step), slope, true
}
