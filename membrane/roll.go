package membrane

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Rolls. A bolster is a soft roll laid on the skin along a line and tied down until
// the skin under it rests on the frame or the bed. The skin's deep surface then lies
// under the roll swollen by the skin's thickness. At every place of its line the roll
// is a ball of that swollen radius that comes straight down until it meets the frame:
// the floor in a wide groove, the walls in a narrow one:
//
//	      ╭───╮                      ╭─────╮
//	█    │  •  │    █            █  │   •   │  █
//	█     ╲___╱     █            █   ╲_____╱   █
//	█_______________█            █_____________█
//
// Its lower side is the frame closed by that ball along the line (Serra 1982, Image
// Analysis and Mathematical Morphology, from memory), nowhere below the frame, so
// that there is always room for the skin between the two.
//
// Limits: skin is not squeezed thinner; a roll is as stiff as a ball across its line
// and bends along it by at most rollSlope.

// Roll is a bolster on the skin.
type Roll struct {
	Line   []mgl64.Vec2 // its axis seen from outside, mm
	Radius float64      // of the roll and the skin under it, mm
}

// rollSlope is how steeply a roll may rise or fall along its line; ours, no source.
const rollSlope = 1

// rollSpacing is how far apart a roll is looked at along its line, in steps of the
// lattice: its side is met to (rollSpacing·step)²/(8·radius), 2 µm on the default grid.
const rollSpacing = 0.5

// check reports what a roll cannot be laid with.
func (r Roll) check() error {
	if !(r.Radius > 0) || math.IsInf(r.Radius, 0) {
		return &ValueError{"radius of a roll with the skin under it", r.Radius, "a positive number of millimetres"}
	}
	if len(r.Line) < 2 {
		return &EmptyError{fmt.Sprintf("a roll's line has %d points: expected at least 2", len(r.Line))}
	}
	for _, p := range r.Line {
		for _, v := range p {
			if math.IsNaN(v) || math.Abs(v) > maxPlace {
				return &ValueError{"place on a roll's line", v, "a place in millimetres, at most 1e6 from 0"}
			}
		}
	}
	return nil
}

// Length returns the length of the roll's line, mm.
func (r Roll) Length() float64 {
	length := 0.0
	for n := 1; n < len(r.Line); n++ {
		length += r.Line[n].Sub(r.Line[n-1]).Len()
	}
	return length
}

// spaced returns places along the line, evenly and at most the spacing apart, from
// one end to the other.
func (r Roll) spaced(spacing float64) []mgl64.Vec2 {
	length := r.Length()
	parts := max(1, int(math.Ceil(length/spacing)))
	places := make([]mgl64.Vec2, 0, parts+1)
	n, before := 1, 0.0
	for part := range parts + 1 {
		at := length * float64(part) / float64(parts)
		for n < len(r.Line)-1 && before+r.Line[n].Sub(r.Line[n-1]).Len() < at {
			before += r.Line[n].Sub(r.Line[n-1]).Len()
			n++
		}
		way := r.Line[n].Sub(r.Line[n-1])
		share := 0.0
		if way.Len() > 0 {
			share = min((at-before)/way.Len(), 1)
		}
		places = append(places, r.Line[n-1].Add(way.Mul(share)))
	}
	return places
}

// layingRoll is a roll as it lies over the frame of a lattice.
type layingRoll struct {
	radius float64
	places []mgl64.Vec2
	axis   []float64 // height of its axis at the places, mm
}

// press lays the rolls on the frame and takes down what they leave to each node.
func (l *lattice) press(frame Frame, rolls []Roll) {
	l.upper = make([]float64, len(l.lower))
	for k := range l.upper {
		l.upper[k] = math.Inf(1)
	}
	l.rolls = make([]layingRoll, len(rolls))
	for n, roll := range rolls {
		laid := &l.rolls[n]
		*laid = layingRoll{roll.Radius, roll.spaced(rollSpacing * l.step), nil}
		laid.axis = make([]float64, len(laid.places))
		for i, at := range laid.places {
			if l.whole != nil && !l.holds(at, roll.Radius) {
				laid.axis[i] = l.whole.rolls[n].axis[i]
				continue
			}
			laid.axis[i] = max(heightOf(frame, at), 0) + roll.Radius
			l.eachWithin(at, roll.Radius, func(k int, above float64) {
				laid.axis[i] = max(laid.axis[i], l.lower[k]+above)
			})
		}
		laid.straighten()
		for i, at := range laid.places {
			l.eachWithin(at, roll.Radius, func(k int, above float64) {
				l.upper[k] = min(l.upper[k], laid.axis[i]-above)
			})
		}
	}
	for k, height := range l.lower {
		l.upper[k] = max(l.upper[k], height)
	}
}

// straighten lifts the roll where it would bend more steeply than rolls do.
func (r *layingRoll) straighten() {
	follow := func(from, to int) {
		fall := rollSlope * r.places[to].Sub(r.places[from]).Len()
		r.axis[to] = max(r.axis[to], r.axis[from]-fall)
	}
	for i := 1; i < len(r.axis); i++ {
		follow(i-1, i)
	}
	for i := len(r.axis) - 2; i >= 0; i-- {
		follow(i+1, i)
	}
}

// holds reports whether a disc lies within the lattice.
func (l *lattice) holds(centre mgl64.Vec2, radius float64) bool {
	lo := centre.Sub(l.origin)
	hi := l.place(len(l.lower) - 1).Sub(centre)
	return min(lo[0], lo[1], hi[0], hi[1]) >= radius
}

// eachWithin visits the nodes nearer than the radius to a place, with the height of
// a ball of that radius there over them.
func (l *lattice) eachWithin(centre mgl64.Vec2, radius float64, visit func(k int, above float64)) {
	// Nodes are drawn by less than two steps.
	reach := radius + 2*l.step
	if l.moved == nil {
		reach = radius
	}
	from, to := centre.Sub(l.origin), centre.Sub(l.origin)
	i0, i1 := clampIndex((from[0]-reach)/l.step, l.columns), clampIndex((to[0]+reach)/l.step, l.columns)
	j0, j1 := clampIndex((from[1]-reach)/l.step, l.rows), clampIndex((to[1]+reach)/l.step, l.rows)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			k := l.index(i, j)
			off := l.at(k).Sub(centre)
			if left := radius*radius - off.LenSqr(); left > 0 {
				visit(k, math.Sqrt(left))
			}
		}
	}
}

// Released lays the skin as it would lie without any rolls, starting from this drape
// and to within the tolerance that Options has: under the same suction, if that is
// what the radius follows from, else with the same radius. Nodes stay drawn to the
// walls as they are.
func (d *Drape) Released(ctx context.Context, tolerance float64) (*Drape, error) {
	free := *d.l
	free.press(d.frame, nil)
	released := &Drape{frame: d.frame, pocket: d.pocket, pull: d.pull, options: d.options}
	released.options.Tolerance = tolerance
	if b := d.Balance; b != nil {
		released.Balance = &Balance{Suction: b.Suction, slope: b.slope, next: d.BridgingRadius()}
	}
	return released.restart(ctx, &free, slices.Clone(d.u))
}

// Pressed is what one roll does to the skin.
type Pressed struct {
	Axis    []mgl64.Vec3 // places of its axis along its line, heights over the bed, mm
	Length  float64      // of its line, mm
	Stands  float64      // greatest height of its lower side, less the skin, over the frame or bed under its line, mm
	Where   mgl64.Vec2   // that stands so, mm
	Resting float64      // share of its length along which that height is less than restsWithin

	// Pull is the force with which the skin presses against the roll, over the
	// skin's tension, mm: times N/mm it is N. It is what is left when what the floor
	// carries and suction pulls are taken off.
	Pull float64
}

// restsWithin is how far over frame or bed skin counts as lying on it under a roll,
// mm; ours, no source: a tenth of the skin's thickness.
const restsWithin = 0.2

// Pressed returns what each roll of the case does, in their order.
func (d *Drape) Pressed() []Pressed {
	l := d.l
	pressed := make([]Pressed, len(d.rolls))
	for n, roll := range d.rolls {
		laid, p := &l.rolls[n], &pressed[n]
		p.Length = roll.Length()
		rests := 0
		for i, at := range laid.places {
			p.Axis = append(p.Axis, at.Vec3(laid.axis[i]))
			floor := 0.0
			if d.pocket.Distance(at) < 0 {
				floor = max(heightOf(d.frame, at), 0)
			}
			stands := max(laid.axis[i]-laid.radius-floor, 0)
			if stands < restsWithin {
				rests++
			}
			if i == 0 || stands > p.Stands {
				p.Stands, p.Where = stands, at
			}
		}
		p.Resting = float64(rests) / float64(len(laid.places))
	}
	for k, height := range d.u {
		if !l.moves[k] || height < l.upper[k] {
			continue
		}
		p := &pressed[l.rollOver(k)]
		slope, _ := l.pullAt(d.u, d.pull, k)
		p.Pull -= slope
	}
	for n := range pressed {
		pressed[n].Pull = max(pressed[n].Pull, 0)
	}
	return pressed
}

// rollOver returns which roll comes lowest over node k.
func (l *lattice) rollOver(k int) int {
	lowest, found := math.Inf(1), 0
	at := l.at(k)
	for n, roll := range l.rolls {
		for i, place := range roll.places {
			if left := roll.radius*roll.radius - place.Sub(at).LenSqr(); left > 0 {
				if side := roll.axis[i] - math.Sqrt(left); side < lowest {
					lowest, found = side, n
				}
			}
		}
	}
	return found
}
