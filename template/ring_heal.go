package template

import (
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// mostWindow bounds how many points a hook is looked for in: curves have few
// within the tolerance of themselves.
const mostWindow = 64

// unhooked returns the ring without the loops and spikes that reach no farther
// than tolerance mm from where it meets itself, each replaced by that point, how
// many they were, and how far the farthest reached, mm. What is farther stays. A
// ring of fewer than four points comes back as it is.
//
// The cost grows with the number of points times those within the tolerance of
// one another.
func (r Ring) unhooked(tolerance float64) (healed Ring, hooks int, reach float64) {
	healed = slices.Clone(r)
	// The second pass sees what lies across the ends of the first.
	for range 2 {
		half := len(healed) / 2
		healed = slices.Concat(healed[half:], healed[:half])
		for i := 0; i+3 < len(healed) && len(healed) > 3; {
			size, at, far := hookAfter(healed, i, tolerance)
			if size == 0 {
				i++
				continue
			}
			healed = slices.Replace(healed, i+1, i+1+size, at)
			healed = withoutRepeats(healed)
			hooks, reach = hooks+1, math.Max(reach, far)
			i = max(0, i-1) // what was before may meet what comes after now
		}
	}
	return healed, hooks, reach
}

// hookAfter looks for a hook that leaves edge i of the ring: how many points after
// the edge's first are of it, where it begins and ends, and how far it reaches.
func hookAfter(r Ring, i int, tolerance float64) (size int, at mgl64.Vec2, far float64) {
	e := edge{a: r[i], b: r[i+1], index: i, count: len(r)}
	for j := i + 1; j+1 < len(r) && j-i <= mostWindow; j++ {
		if r[j].Sub(r[i+1]).Len() > 2*tolerance {
			break
		}
		f := edge{a: r[j], b: r[j+1], index: j, count: len(r)}
		p, meet := meet(&e, &f, true)
		if !meet {
			continue
		}
		if j == i+1 { // a spike: the shorter of its sides goes
			p = f.b
			if r[i+1].Sub(e.a).Len() < r[i+1].Sub(f.b).Len() {
				p = e.a
			}
		}
		far = 0
		for _, q := range r[i+1 : j+1] {
			far = math.Max(far, q.Sub(p).Len())
		}
		if far <= tolerance {
			return j - i, p, far
		}
	}
	return 0, at, 0
}

// Healed tells of what was too small to be meant and was taken out of a shape.
type Healed struct {
	ID     string
	Line   int     // of its start tag
	Hooks  int     // loops and spikes where it met itself
	Reach  float64 // mm, of the farthest
	Crumbs int     // pieces that enclose nothing, beside others that do
}

// heal takes out of a shape's rings what is below the tolerance: loops and spikes
// where one meets itself.
func (r *sheetReader) heal(s *shape, rings []Ring) []Ring {
	healed := Healed{ID: s.id, Line: s.element.line}
	for i := range rings {
		ring, hooks, reach := rings[i].unhooked(r.options.Tolerance)
		if hooks > 0 {
			rings[i] = ring
			healed.Hooks, healed.Reach = healed.Hooks+hooks, math.Max(healed.Reach, reach)
		}
	}
	r.note(healed)
	return rings
}

// note keeps what was healed of a shape, once for all that was done to it.
func (r *sheetReader) note(h Healed) {
	if h.Hooks+h.Crumbs == 0 {
		return
	}
	if n := len(r.sheet.Healed); n > 0 && r.sheet.Healed[n-1].ID == h.ID && r.sheet.Healed[n-1].Line == h.Line {
		last := &r.sheet.Healed[n-1]
		last.Hooks, last.Crumbs, last.Reach = last.Hooks+h.Hooks, last.Crumbs+h.Crumbs, math.Max(last.Reach, h.Reach)
		return
	}
	r.sheet.Healed = append(r.sheet.Healed, h)
}
