package fixation

import (
	"math"
	"slices"

	"earframe/units/centreline"

	"github.com/go-gl/mathgl/mgl64"
)

// blunt is the share of a fork's distance from the border by which a line must
// stick out of the circle around it to be a limb. A square corner sticks out by
// √2 - 1 = 0.41 of it.
const blunt = 0.5

// prune takes away lines that only run into a corner of the patch, and draws
// forks together that are nearer than half the spacing: no fixation would stand
// between them.
func (g *graph) prune(spacing float64) {
	for {
		degree := g.degrees()
		before := len(g.lines)
		g.lines = slices.DeleteFunc(g.lines, func(l line) bool {
			tip, fork := l.from, l.to
			if tip >= 0 && degree[tip] > 1 {
				tip, fork = fork, tip
			}
			if tip < 0 || degree[tip] != 1 || degree[fork] < 3 {
				return false
			}
			out := centreline.LengthOf(l.points, false) + g.knots[tip].depth - g.knots[fork].depth
			return out < math.Max(spacing/2, blunt*g.knots[fork].depth)
		})
		if len(g.lines) == before && !g.contract(spacing/2) {
			return
		}
		g.join()
	}
}

func (g *graph) degrees() []int {
	degree := make([]int, len(g.knots))
	for _, l := range g.lines {
		for _, k := range []int{l.from, l.to} {
			if k >= 0 {
				degree[k]++
			}
		}
	}
	return degree
}

// contract draws the two forks of the first line that is shorter than least
// together in its middle; it reports whether there was one.
func (g *graph) contract(least float64) bool {
	degree := g.degrees()
	for i, l := range g.lines {
		if l.from < 0 || l.from == l.to || degree[l.from] < 3 || degree[l.to] < 3 || centreline.LengthOf(l.points,
			false) >= least {
			continue
		}
		middle := l.points[len(l.points)/2]
		g.knots[l.from] = knot{middle, math.Max(g.knots[l.from].depth, g.knots[l.to].depth)}
		g.lines = slices.Delete(g.lines, i, i+1)
		for j := range g.lines {
			m := &g.lines[j]
			if m.from == l.from || m.from == l.to {
				m.from = l.from
				m.points = append([]mgl64.Vec2{middle}, m.points...)
			}
			if m.to == l.from || m.to == l.to {
				m.to = l.from
				m.points = append(m.points, middle)
			}
		}
		return true
	}
	return false
}

// join makes one line of two that meet in a knot of no others, and a ring of a
// line that meets itself there.
func (g *graph) join() {
	for k, d := range g.degrees() {
		if d != 2 {
			continue
		}
		at := slices.IndexFunc(g.lines, func(l line) bool { return l.from == k || l.to == k })
		first := g.lines[at]
		g.lines = slices.Delete(g.lines, at, at+1)
		if first.from == first.to {
			g.lines = append(g.lines, line{-1, -1, first.points[:len(first.points)-1]})
			continue
		}
		if first.from == k {
			first = first.backward()
		}
		at = slices.IndexFunc(g.lines, func(l line) bool { return l.from == k || l.to == k })
		second := g.lines[at]
		g.lines = slices.Delete(g.lines, at, at+1)
		if second.to == k {
			second = second.backward()
		}
		g.lines = append(g.lines, line{first.from, second.to, append(slices.Clone(first.points), second.points[1:]...)})
	}
}

func (l line) backward() line {
	points := slices.Clone(l.points)
	slices.Reverse(points)
	return line{l.to, l.from, points}
}
