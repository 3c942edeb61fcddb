package membrane

import (
	"context"
	"math"
	"slices"
)

// Suction draws in skin whose tension follows from how far the drape stretches it:
//
//	R = T/p    T = (σ₀ + E·ε)·t    ε = A/(A₀ + A₁) − 1, at least 0
//
// with p the suction, σ₀ the natural tension, E the modulus and t the thickness of
// the skin, A the drape's area, A₀ the pocket's and A₁ what is brought in beyond it.
// Of skin that is as stiff one way as the other, does not change its volume and is
// stretched evenly, E·ε is the rise of the stress for small strains.
//
// More radius is less sag and less area, so that T/p falls as R grows: there is one
// R that agrees with its own drape. It is where t·(σ₀·A + E·(A−A₀−A₁)²/2(A₀+A₁)) +
// p·∫u is least.
type Suction struct {
	Pressure  float64 // p, kPa; 0 for none
	Natural   float64 // σ₀, kPa, above 0
	Modulus   float64 // E, kPa
	Thickness float64 // t, mm
	Extra     float64 // A₁, mm²
}

// leastRadius is the bridging radius, mm, below which skin follows a frame as
// closely as any grid here can tell.
const leastRadius = 0.1

func (s Suction) check() error {
	for _, v := range []struct {
		name  string
		value float64
		good  bool
		want  string
	}{
		{"suction", s.Pressure, s.Pressure >= 0, "0 or a positive number of kilopascals"},
		{"natural tension of the skin", s.Natural, s.Natural > 0, "a positive number of kilopascals"},
		{"modulus of the skin", s.Modulus, s.Modulus >= 0, "0 or a positive number of kilopascals"},
		{"thickness of the skin", s.Thickness, s.Thickness >= 0, "0 or a positive number of millimetres"},
		{"skin brought in", s.Extra, s.Extra >= 0, "0 or a positive number of square millimetres"},
	} {
		if !v.good || math.IsInf(v.value, 0) {
			return &ValueError{v.name, v.value, v.want}
		}
	}
	return nil
}

// Strain returns the strain of the skin's area on a drape.
func (s Suction) Strain(d *Drape) float64 { return max(d.DrapeArea/(d.PocketArea+s.Extra)-1, 0) }

// Tension returns the tension at a strain, N/m.
func (s Suction) Tension(strain float64) float64 { return (s.Natural + s.Modulus*strain) * s.Thickness }

// Radius returns the bridging radius at a strain, mm; +Inf without suction.
func (s Suction) Radius(strain float64) float64 {
	if s.Pressure == 0 {
		return math.Inf(1)
	}
	return max(s.Tension(strain)/s.Pressure, leastRadius)
}

// Balance is how closely the radius that a drape lies by agrees with the tension
// that it finds.
type Balance struct {
	Suction  Suction
	Strain   float64 // of the area
	Tension  float64 // N/m
	Residual float64 // tension over suction less the radius of the drape, mm
	Steps    int     // drapes weighed, on all grids

	slope     float64 // by which tension over suction changes with the radius, at most 0
	low, high float64 // radii with the one that is looked for between them, mm
	next      float64 // radius to be tried next, mm
	radius    float64 // weighed last, mm; 0 before
	answer    float64 // and what tension over suction was, mm
}

const (
	// guessedStrain is the strain of the first drape.
	guessedStrain = 0.2
	// guessedSlope is the slope before two drapes have been weighed.
	guessedSlope = -0.4
	// balanced is how closely the radius is found, as a share of it and in shares of
	// the solver's tolerance.
	balanced = 10
	// mostSteps is how many drapes are weighed on one grid; halving alone comes from
	// the widest bracket to balance in as many.
	mostSteps = 30
)

// AgainUnder lays the skin under another suction, or with another tension, on this
// drape's grid and starting from it, to within the tolerance that Options has. Nodes
// stay drawn to the walls as they are.
func (d *Drape) AgainUnder(ctx context.Context, s Suction, tolerance float64) (*Drape, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	options := d.options
	options.Tolerance = tolerance
	b := &Balance{Suction: s, slope: guessedSlope, next: s.Radius(s.Strain(d))}
	if now := d.BridgingRadius(); !math.IsInf(now, 1) && s.Pressure > 0 {
		if d.Balance != nil {
			b.slope = d.Balance.slope * d.Balance.Suction.Pressure / s.Pressure
		}
		b.next = now + (b.next-now)/(1-b.slope)
	}
	again := &Drape{frame: d.frame, pocket: d.pocket, rolls: d.rolls, options: options, Balance: b}
	return again.restart(ctx, d.l, slices.Clone(d.u))
}

// stepsOn returns how many drapes are weighed at most on a grid that is so many
// times finer than the first that is an answer: on the coarsest ones each, which
// only give a start, as many as bring it nearer.
func stepsOn(level int) int {
	if level < -1 {
		return 1
	}
	return mostSteps
}

// rest lets the skin come to rest on a lattice from the start heights, and under
// suction looks for the radius that agrees with its own drape, weighing so many
// drapes at most.
func (d *Drape) rest(ctx context.Context, l *lattice, start []float64, most int) (*settled, error) {
	b := d.Balance
	b.begin()
	for n, before := 1, (settled{}); ; n++ {
		if b != nil {
			d.pull = 1 / b.next
		}
		answer, err := l.settle(ctx, start, d.pull, l.limits(d.options))
		if answer == nil {
			return nil, err
		}
		d.measure(ctx, l, answer.u)
		answer.iterations += before.iterations
		answer.cycles += before.cycles
		if b == nil {
			return answer, err
		}
		if done := b.weigh(d); done || err != nil || n == most {
			return answer, err
		}
		start, before = answer.u, *answer
	}
}

// begin forgets what another lattice said of the bracket, whose areas differ.
func (b *Balance) begin() {
	if b != nil {
		b.low, b.high, b.radius = 0, math.Inf(1), 0
	}
}

// weigh compares the radius of a drape with its tension over the suction, chooses the
// radius to be tried next, and reports whether they agree.
func (b *Balance) weigh(d *Drape) bool {
	radius := d.BridgingRadius()
	b.Strain = b.Suction.Strain(d)
	b.Tension = b.Suction.Tension(b.Strain)
	b.Steps++
	answer := b.Suction.Radius(b.Strain)
	b.next = radius
	if math.IsInf(answer, 1) {
		return true
	}
	if b.Residual = answer - radius; math.Abs(b.Residual) <= balanced*d.options.Tolerance*radius {
		return true
	}
	// What is looked for lies between the radius and its answer.
	b.low, b.high = max(b.low, min(radius, answer)), min(b.high, max(radius, answer))
	if b.radius > 0 && radius != b.radius {
		b.slope = min((answer-b.answer)/(radius-b.radius), 0)
	}
	b.radius, b.answer = radius, answer
	b.next = radius + b.Residual/(1-b.slope)
	if !(b.next > b.low && b.next < b.high) {
		b.next = (b.low + b.high) / 2
	}
	return false
}
