package membrane

import (
	"context"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Grid is a regular grid of nodes, row by row, node (i, j) at
// Origin + Step·(i, j), mm.
type Grid struct {
	Origin        mgl64.Vec2
	Step          float64
	Columns, Rows int
}

// Place returns where node k lies, mm.
func (g Grid) Place(k int) mgl64.Vec2 {
	return mgl64.Vec2{float64(k % g.Columns), float64(k / g.Columns)}.Mul(g.Step).Add(g.Origin)
}

// Refinement is what one grid said, and how far that is from the grid before.
type Refinement struct {
	Step         float64 // mm
	PeakDepth    float64 // mm
	SkinDemand   float64 // drape area over pocket area
	PeakChange   float64 // share of the value, 1 where there is nothing before
	DemandChange float64 // likewise
	Nodes        int     // in the pocket
	Iterations   int
	Cycles       int // of multigrid, in all iterations
}

// Drape is the skin lying on the framework. Slices run over the grid's nodes.
type Drape struct {
	Grid    Grid
	Heights []float64 // the skin's deep surface above the bed, mm; 0 outside the pocket
	Frame   []float64 // the frame above the bed, mm; 0 where there is none
	Inside  []bool    // the node lies in the pocket
	Contact []bool    // the skin rests on the frame or on the bed

	PocketArea float64 // mm²
	DrapeArea  float64 // mm²

	Energies    []float64    // excess energy before and after every iteration on the finest grid, mm²; of the net, before lifting
	Iterations  int          // on the finest grid
	Residual    float64      // the last correction, mm
	Refinements []Refinement // coarse to fine
	Resolved    bool         // the last refinement changed both numbers by less than asked
	Balance     *Balance     // of tension and suction; nil where the bridging radius was given

	frame   Frame
	pocket  Region
	rolls   []Roll
	pull    float64 // 1/mm
	options Options
	l       *lattice
	u       []float64    // heights of the net at the lattice's nodes, drawn ones at their rims
	facets  []facet      // what lifting changes of the net
	lifted  []mgl64.Vec3 // places lifted onto the frame, mm
	weight  []float64    // flat area of each node's share, mm²
	between []mgl64.Vec3 // places of the drape that the plain grid passes by, mm
}

// Peak is the highest place of a surface.
type Peak struct {
	Height float64    // mm above the bed
	Where  mgl64.Vec2 // mm
}

// measure takes over a net of heights and measures its area.
func (d *Drape) measure(ctx context.Context, l *lattice, u []float64) {
	d.l, d.u = l, u
	d.facets, d.lifted = l.lift(ctx, d.frame, d.u)
	d.PocketArea = l.area
	d.DrapeArea = l.area + l.energy(ctx, d.u, 0) + excessOf(d.facets)
}

// note records what a grid says of the drape measured on it.
func (d *Drape) note(answer *settled) {
	l := d.l
	now := Refinement{Step: l.step, PeakDepth: d.PeakDepth().Height, SkinDemand: d.SkinDemand(), PeakChange: 1,
		DemandChange: 1, Nodes: l.freeNodes(), Iterations: answer.iterations, Cycles: answer.cycles}
	if count := len(d.Refinements); count > 0 {
		before := d.Refinements[count-1]
		now.PeakChange = relativeChange(before.PeakDepth, now.PeakDepth)
		now.DemandChange = relativeChange(before.SkinDemand, now.SkinDemand)
	}
	d.Refinements = append(d.Refinements, now)
}

func relativeChange(before, now float64) float64 {
	if before == now {
		return 0
	}
	return math.Abs(now-before) / max(math.Abs(now), math.Abs(before))
}

// resolved reports whether refinement ends here.
func (d *Drape) resolved(o Options, s span) bool {
	last := d.Refinements[len(d.Refinements)-1]
	d.Resolved = last.PeakChange <= o.Change && last.DemandChange <= o.Change
	tooFine := d.l.step/2 < o.Finest*(1-1e-9) || 4*len(d.u) > maxNodes
	return d.Resolved || tooFine
}

// finish turns the lattice's answer into one on the plain grid.
func (d *Drape) finish(ctx context.Context, answer *settled) {
	l := d.l
	d.Grid = Grid{Origin: l.origin, Step: l.step, Columns: l.columns, Rows: l.rows}
	d.Energies, d.Iterations, d.Residual = answer.energies, answer.iterations, answer.residual
	d.Inside, d.weight = l.free, l.plainLoad()
	d.between = slices.Clone(d.lifted)
	for k := range l.moved {
		if l.hasMoved(k) {
			d.between = append(d.between, l.moved[k].Vec3(d.u[k]))
		}
	}
	d.Heights = make([]float64, len(d.u))
	d.Frame = make([]float64, len(d.u))
	d.Contact = make([]bool, len(d.u))
	overRows(ctx, stageAnswer, l.rows, l.columns, func(from, to int) {
		places := make([]mgl64.Vec2, l.columns)
		for j := from; j < to; j++ {
			start := l.index(0, j)
			for i := range places {
				places[i] = l.place(start + i)
			}
			d.frame.Heights(places, d.Frame[start:start+l.columns])
			for i, p := range places {
				k := start + i
				if !l.free[k] {
					d.Frame[k] = 0
					continue
				}
				d.Frame[k] = max(d.Frame[k], 0)
				d.Heights[k] = max(l.heightAt(p, d.u), d.Frame[k])
				d.Contact[k] = d.Heights[k] <= d.Frame[k]+overTheBed
			}
		}
	})
}

// plainLoad returns each node's share of the pocket's area as if no node had
// been drawn, mm².
func (l *lattice) plainLoad() []float64 {
	plain := make([]float64, len(l.load))
	for k, load := range l.load {
		plain[k] = load
		if l.free[k] && l.surrounded(k) {
			plain[k] = l.step * l.step
		}
	}
	return plain
}

// PeakDepth returns the skin's deep surface at its highest, which is how much
// depth the frame asks of the pocket. Without a frame it is 0, anywhere.
func (d *Drape) PeakDepth() Peak {
	peak := Peak{Height: math.Inf(-1)}
	for k, height := range d.u {
		if d.l.free[k] && height > peak.Height {
			peak = Peak{height, d.l.at(k)}
		}
	}
	for k, height := range d.Heights {
		if d.Inside[k] && height > peak.Height {
			peak = Peak{height, d.l.place(k)}
		}
	}
	if math.IsInf(peak.Height, -1) {
		peak.Height = 0
	}
	return peak
}

// SkinDemand returns the drape's area over the pocket's area, at least 1.
func (d *Drape) SkinDemand() float64 {
	if d.PocketArea == 0 {
		return 1
	}
	return d.DrapeArea / d.PocketArea
}

// BridgingRadius returns the radius at which the skin bridges, mm.
func (d *Drape) BridgingRadius() float64 { return 1 / d.pull }

// SkinMissing returns the skin area asked for beyond the pocket's own and what
// the flaps bring, mm²; negative when skin is left over.
func (d *Drape) SkinMissing(flaps float64) float64 {
	return d.DrapeArea - d.PocketArea - flaps
}

// Room returns how much of the pocket's available depth is left over the
// frame's peak, mm; negative when the frame stands too high. It is an error
// unless the depth is a positive number.
func (d *Drape) Room(depth float64) (float64, error) {
	if !(depth > 0) || math.IsInf(depth, 0) {
		return 0, &ValueError{"depth of the pocket", depth, "a positive number of millimetres"}
	}
	return depth - d.PeakDepth().Height, nil
}

// ContactShares are shares of the pocket's area; they add up to 1.
type ContactShares struct {
	OnFrame, OnBed, Free float64
}

// ContactShares returns where the skin rests.
func (d *Drape) ContactShares() ContactShares {
	var s ContactShares
	total := 0.0
	for k, area := range d.weight {
		total += area
		switch {
		case !d.Inside[k]:
		case !d.Contact[k]:
			s.Free += area
		case d.Frame[k] > overTheBed:
			s.OnFrame += area
		default:
			s.OnBed += area
		}
	}
	if total > 0 {
		s.OnFrame, s.OnBed, s.Free = s.OnFrame/total, s.OnBed/total, s.Free/total
	}
	return s
}
