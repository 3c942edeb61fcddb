package mould

import (
	"math"

	"earframe/field"

	"github.com/go-gl/mathgl/mgl64"
)

// Where the two halves part.
//
// Nothing grips if the parting surface lies above every part of the surface that
// looks down, and beneath every part that looks up. So each piece of the part's
// surface is a bound on the parting surface at its place: a floor or a ceiling;
// upright walls are none. On the silhouette of a round part floor and ceiling
// meet. A plane is taken if one keeps all bounds; else the surface of least
// slope, ∫|∇h|², that keeps them, on a grid: outside the part it has no bounds
// and runs out level, as a stretched membrane does.

const (
	// partingSpacing, mm, is between the parting surface's control heights.
	partingSpacing = 1.0

	// planeSlack, mm, is by how much a plane may miss the silhouette: on a bar of
	// 4 mm radius the undercut is then under 0.01 mm deep.
	planeSlack = 0.1

	// keptOff is the share of a wall's height by which the parting surface keeps
	// from its ends, so that neither half is left with a sliver of the part.
	keptOff = 0.3

	partingSweeps = 4000
	partingDone   = 1e-4 // mm, the largest change in a sweep at which it ends
	overRelaxed   = 1.8  // successive over-relaxation; any number below 2 converges
)

// Parting is the surface between the halves.
type Parting struct {
	Planar  bool
	Lowest  float64 // in the mould
	Highest float64

	surface field.Surface
}

// bounds of the parting surface at one place, mm.
type between struct{ floor, ceiling float64 }

func (b *between) take(s sample) {
	switch {
	case s.normal[2] > upright:
		b.ceiling = math.Min(b.ceiling, s.at[2])
	case s.normal[2] < -upright:
		b.floor = math.Max(b.floor, s.at[2])
	}
}

var unbounded = between{math.Inf(-1), math.Inf(1)}

// partingOf returns the parting surface of a part over its box, grown by border
// mm.
func partingOf(samples []sample, box field.Box, border float64) (Parting, error) {
	all := unbounded
	for _, s := range samples {
		all.take(s)
	}
	if all.floor <= all.ceiling+planeSlack {
		z := (all.floor + all.ceiling) / 2
		return Parting{true, z, z, field.Level(z)}, nil
	}
	g := newPartingGrid(box.Grow(border))
	for _, s := range samples {
		g.bound(s)
	}
	g.relax()
	surface, err := field.NewHeightMap(field.HeightMap{
		Origin: g.origin, Spacing: partingSpacing, Columns: g.nx, Rows: g.ny, Heights: g.height,
	})
	if err != nil {
		return Parting{}, err
	}
	p := Parting{Lowest: math.Inf(1), Highest: math.Inf(-1), surface: surface}
	for _, z := range g.height {
		p.Lowest, p.Highest = math.Min(p.Lowest, z), math.Max(p.Highest, z)
	}
	return p, nil
}

type partingGrid struct {
	origin mgl64.Vec2
	nx, ny int
	bounds []between
	height []float64
}

func newPartingGrid(box field.Box) *partingGrid {
	size := box.Max.Sub(box.Min)
	g := &partingGrid{
		origin: box.Min.Vec2(),
		nx:     int(math.Ceil(size[0]/partingSpacing)) + 1,
		ny:     int(math.Ceil(size[1]/partingSpacing)) + 1,
	}
	g.bounds = make([]between, g.nx*g.ny)
	for i := range g.bounds {
		g.bounds[i] = unbounded
	}
	return g
}

// bound takes a sample's bound at the node nearest to it.
func (g *partingGrid) bound(s sample) {
	x := int(math.Round((s.at[0] - g.origin[0]) / partingSpacing))
	y := int(math.Round((s.at[1] - g.origin[1]) / partingSpacing))
	g.bounds[min(max(y, 0), g.ny-1)*g.nx+min(max(x, 0), g.nx-1)].take(s)
}

// relax finds the membrane by successive over-relaxation, each height drawn back
// between its bounds (Glowinski, "Numerical Methods for Nonlinear Variational
// Problems", 1984).
func (g *partingGrid) relax() {
	g.height = make([]float64, len(g.bounds))
	var sum, count float64
	for i, b := range g.bounds {
		if b.floor > b.ceiling { // the silhouette climbs between neighbouring samples
			middle := (b.floor + b.ceiling) / 2
			b = between{middle, middle}
		} else if wall := b.ceiling - b.floor; !math.IsInf(wall, 0) {
			b = between{b.floor + keptOff*wall, b.ceiling - keptOff*wall}
		}
		g.bounds[i] = b
		if !math.IsInf(b.floor, 0) && !math.IsInf(b.ceiling, 0) {
			sum, count = sum+(b.floor+b.ceiling)/2, count+1
		}
	}
	for i := range g.height {
		g.height[i] = g.bounds[i].hold(sum / math.Max(count, 1))
	}
	for range partingSweeps {
		if g.sweep() < partingDone {
			return
		}
	}
}

func (b between) hold(z float64) float64 { return math.Min(math.Max(z, b.floor), b.ceiling) }

// sweep visits every node once and returns the largest change, mm.
func (g *partingGrid) sweep() (largest float64) {
	for y := range g.ny {
		for x := range g.nx {
			var sum, count float64
			for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				if i, j := x+d[0], y+d[1]; i >= 0 && j >= 0 && i < g.nx && j < g.ny {
					sum, count = sum+g.height[j*g.nx+i], count+1
				}
			}
			k := y*g.nx + x
			old := g.height[k]
			g.height[k] = g.bounds[k].hold(old + overRelaxed*(sum/count-old))
			largest = math.Max(largest, math.Abs(g.height[k]-old))
		}
	}
	return largest
}

// steepest returns the largest slope of the parting surface where the part's
// walls meet it.
func steepest(samples []sample, parting field.Surface) (steep float64) {
	if _, level := parting.(field.Level); level {
		return 0
	}
	for _, s := range samples {
		if math.Abs(s.normal[2]) <= upright {
			_, x, y := parting.Height(s.at[0], s.at[1])
			steep = math.Max(steep, math.Hypot(x, y))
		}
	}
	return steep
}
