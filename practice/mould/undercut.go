package mould

import (
	"fmt"

	"earframe/field"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Undercut is a place where a piece of the mould reaches over the cast, so that
// it cannot be pulled off along z without giving way.
type Undercut struct {
	Piece string     // of the mould that holds the cast there
	Area  float64    // of the cast's surface that the piece grips from behind
	Depth float64    // how far the piece reaches in, square to the pull; to undercutStep
	At    mgl64.Vec3 // where it reaches in farthest, in the part's own coordinates
}

// What counts as an undercut.
const (
	// undercutStep, mm, is between the lines on which undercuts are looked for,
	// and so what their depth is known to.
	undercutStep = 0.1

	// mostUndercutLines bounds their number; a larger part is searched more
	// coarsely.
	mostUndercutLines = 500_000

	// seatedGap, mm, is the least height of mould over the cast that counts: less
	// than any printer makes.
	seatedGap = 0.05

	// leastUndercut, mm, is the depth that counts: one line and a half. What is
	// less is lost in the roughness of a printed wall.
	leastUndercut = 1.5 * undercutStep

	// upright is the sine of the angle, 0.1 degrees, within which a wall counts
	// as parallel to the pull.
	upright = 0.0017
)

// gripped is the cast in one piece of the mould: over which columns of it there
// is mould against the pull, and where that mould has its root, beside the cast.
type gripped struct {
	piece         string
	pull          float64 // of the piece: +1 upwards, -1 downwards
	blocked, root []bool
}

// grip looks along the columns at the piece that lies beneath the parting
// surface (pull -1: it is drawn off downwards) or above it (pull +1).
func (c *columns) grip(piece string, pull float64, parting field.Surface) gripped {
	g := gripped{piece, pull, make([]bool, c.nx*c.ny), make([]bool, c.nx*c.ny)}
	over := make([]float64, len(g.blocked)) // middle of the mould over the cast
	for k := range over {
		if c.first[k] < c.first[k+1] {
			over[k], g.blocked[k] = c.over(k, pull, parting)
		}
	}
	for k, blocked := range g.blocked {
		if blocked {
			c.neighbours(k, func(n int) {
				if !g.blocked[n] && !c.within(n, over[k]) && !c.parted(n, over[k], pull, parting) {
					g.root[n] = true
				}
			})
		}
	}
	return g
}

// over returns the middle height of the first mould of the piece over the cast in
// a column, seen against the pull, and whether there is any.
func (c *columns) over(k int, pull float64, parting field.Surface) (middle float64, ok bool) {
	p, spans := c.place(k), c.at(k)
	h, _, _ := parting.Height(p[0], p[1])
	for i, s := range spans {
		// Mirrored in the level zero where the piece lies above the parting surface.
		high, next := s.High, h
		if i+1 < len(spans) {
			next = min(h, spans[i+1].Low)
		}
		if pull > 0 {
			high, next = -s.Low, -h
			if i > 0 {
				next = min(-h, -spans[i-1].High)
			}
		}
		if next-high > seatedGap {
			return -pull * (high + next) / 2, true
		}
	}
	return 0, false
}

// within reports whether the column is inside the cast at the height.
func (c *columns) within(k int, z float64) bool {
	for _, s := range c.at(k) {
		if s.Low < z && z < s.High {
			return true
		}
	}
	return false
}

// parted reports whether the column at the height belongs to the other piece.
func (c *columns) parted(k int, z, pull float64, parting field.Surface) bool {
	p := c.place(k)
	h, _, _ := parting.Height(p[0], p[1])
	return (z-h)*pull < 0
}

// undercuts measures each patch of blocked columns.
func (c *columns) undercuts(g gripped, parting field.Surface, samples []sample) []Undercut {
	number, count := c.patches(g.blocked)
	if count == 0 {
		return nil
	}
	far := c.distances(g.root)
	found := make([]Undercut, count)
	deepest := make([]int, count)
	for k, n := range number {
		if n > 0 && far[k] > found[n-1].Depth {
			found[n-1].Depth, deepest[n-1] = far[k], k
		}
	}
	for _, s := range samples {
		h, _, _ := parting.Height(s.at[0], s.at[1])
		against := s.normal[2]*g.pull < -upright && (s.at[2]-h)*g.pull > simplifyWithin
		k, ok := c.index(s.at.Vec2())
		if !against || !ok {
			continue
		}
		n := number[k]
		if n == 0 { // at the rim the nearest line may just miss it
			c.neighbours(k, func(j int) { n = max(n, number[j]) })
		}
		if n > 0 {
			found[n-1].Area += s.area
		}
	}
	var deep []Undercut
	for i, u := range found {
		if u.Depth >= leastUndercut {
			u.Piece, u.At = g.piece, c.overhang(deepest[i], g.pull)
			deep = append(deep, u)
		}
	}
	return deep
}

// beside returns the samples over the blocked columns or next to one, which are
// all that can be of an undercut.
func (c *columns) beside(blocked []bool, samples []sample) (few []sample) {
	for _, s := range samples {
		k, ok := c.index(s.at.Vec2())
		if !ok {
			continue
		}
		touched := blocked[k]
		if !touched {
			c.neighbours(k, func(n int) { touched = touched || blocked[n] })
		}
		if touched {
			few = append(few, s)
		}
	}
	return few
}

// overhang returns the place in the column on which the piece reaches over the
// cast: the end of the cast that looks along the pull's opposite.
func (c *columns) overhang(k int, pull float64) mgl64.Vec3 {
	p, spans := c.place(k), c.at(k)
	z := spans[0].High
	if pull > 0 {
		z = spans[len(spans)-1].Low
	}
	return mgl64.Vec3{p[0], p[1], z}
}

// undercutFindings says in words what each piece's undercuts mean for the cast.
func (m *Mould) undercutFindings(cast string) (findings []units.Finding) {
	for _, piece := range m.Pieces {
		var area float64
		var worst *Undercut
		for i, u := range m.Undercuts {
			if u.Piece != piece.Name {
				continue
			}
			area += u.Area
			if worst == nil || u.Depth > worst.Depth {
				worst = &m.Undercuts[i]
			}
		}
		if worst == nil {
			continue
		}
		f := units.Finding{
			Unit: m.Name, At: &worst.At, Value: worst.Depth, Measure: "mm",
			Message: fmt.Sprintf("the mould's %s piece grips %.1f mm² of the cast from behind, up to %.1f mm deep",
				piece.Name, area, worst.Depth),
		}
		if cast == units.CastRigid {
			f.Rule, f.Severity = "cast-locks-in-mould", units.Error
			f.Message += ": a rigid cast will lock here"
			f.Advice = "Cast it in an elastic material (casting.cast: elastic), or round or thin the unit there"
			if m.Kind == units.MouldOpen {
				f.Advice += fmt.Sprintf(", or take a mould in two parts (casting.mould: %s)", units.MouldTwoPart)
			}
		} else {
			f.Rule, f.Severity = "mould-grips-cast", units.Note
			f.Message += ": fine for an elastic cast, a rigid one would lock here"
		}
		findings = append(findings, f)
	}
	return findings
}
