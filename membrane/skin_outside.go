package membrane

import (
	"context"
	"math"

	"earframe/internal/tree"

	"github.com/go-gl/mathgl/mgl64"
)

// Outside is the skin's outside at any place: the top of a ball of the skin's
// thickness, and which place of the deep surface carries it.
type Outside struct {
	Grid      Grid    // of the cells that a mesh is made of
	Thickness float64 // mm; 0 is the deep surface itself
	height    func(p mgl64.Vec2) float64
	net       *net
	tree      *tree.Tree // of the net
}

// Outside returns the outside of skin of the given thickness, mm, to be meshed in
// cells of a step, mm, from a surround, mm, about where it is raised from untouched
// skin. It is an error if the thickness is negative or no number; ctx ends the work
// early with its error.
func (d *Drape) Outside(ctx context.Context, thickness, step, surround float64) (*Outside, error) {
	if thickness != 0 {
		if err := checkRadius(thickness, step); err != nil {
			return nil, err
		}
	}
	o := &Outside{Thickness: thickness, height: d.Height, net: d.net(ctx)}
	lo, hi := o.net.bounds()
	lo, hi = lo.Sub(mgl64.Vec2{surround, surround}), hi.Add(mgl64.Vec2{surround, surround})
	o.Grid = Grid{Origin: lo, Step: step, Columns: int(math.Ceil((hi[0]-lo[0])/step)) + 1,
		Rows: int(math.Ceil((hi[1]-lo[1])/step)) + 1}
	return o, o.plant(ctx)
}

// plant makes the tree of the net.
func (o *Outside) plant(ctx context.Context) (err error) {
	o.tree, err = tree.New(ctx, o.net.vertices, o.net.triangles, func(int) bool { return true })
	return err
}

// sample is a place of the outside, mm, and that of the deep surface on whose ball
// it lies.
type sample struct{ at, carrier mgl64.Vec3 }

// normal returns the outward normal at a sample; none without thickness.
func (o *Outside) normal(s sample) mgl64.Vec3 {
	if o.Thickness == 0 {
		return mgl64.Vec3{}
	}
	return s.at.Sub(s.carrier).Mul(1 / o.Thickness)
}

// The outside is found from below. While some of the deep surface is nearer than
// the thickness, the ball about the nearest of it reaches higher; where the
// surface is smooth, what is still missing shrinks like a square.
const (
	outsideMost  = 100   // balls; each lifts by more than outsideAlike
	outsideNear  = 1e-4  // mm by which it has to be nearer
	outsideAlike = 0.005 // mm; what would come next is less than a hundredth of that
)

// at returns the outside at p, trying first what carries samples near by.
func (o *Outside) at(p mgl64.Vec2, near ...sample) sample {
	if o.Thickness == 0 {
		return sample{at: p.Vec3(o.height(p))}
	}
	best := o.higher(sample{at: p.Vec3(math.Inf(-1))}, p.Vec3(o.net.floor(p)))
	for _, s := range near {
		best = o.higher(best, s.carrier)
	}
	if len(near) == 2 {
		var done bool
		if best, done = o.between(best, near[0], near[1]); done {
			return best
		}
	}
	for range outsideMost {
		carrier, _, ok := o.tree.Nearest(best.at, o.Thickness-outsideNear)
		if !ok {
			break
		}
		was := best.at[2]
		if best = o.higher(best, carrier); best.at[2] <= was+outsideAlike {
			break
		}
	}
	return best
}

const (
	// outsideEven is the cosine of the turn, 8°, up to which samples say what lies
	// between them.
	outsideEven = 0.99
	// outsideSlack is how much higher than the outside, mm, it may be guessed.
	outsideSlack = 0.02
)

// between raises the sample half-way between two others by the ball nearest to where
// the cubic with their slopes has it, and reports whether that place was near enough
// to the outside for nothing else to come higher.
func (o *Outside) between(best, a, b sample) (sample, bool) {
	n, m, d := o.normal(a), o.normal(b), b.at.Sub(a.at).Vec2()
	z := (a.at[2]+b.at[2])/2 + (m.Vec2().Dot(d)/m[2]-n.Vec2().Dot(d)/n[2])/8
	if n.Dot(m) < outsideEven {
		return best, false
	}
	carrier, _, ok := o.tree.Nearest(best.at.Vec2().Vec3(z), o.Thickness+outsideSlack)
	if ok {
		best = o.higher(best, carrier)
	}
	return best, math.Abs(best.at[2]-z) <= outsideAlike
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
