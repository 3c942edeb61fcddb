package centreline

import (
	"errors"
	"fmt"
	"math"

	"earframe/field"
	"earframe/template"

	"github.com/go-gl/mathgl/mgl64"
)

// ErrNotStrip is the reason why an outline has no centreline.
var ErrNotStrip = errors.New("not one strip with two ends")

// Line is the middle of a strip, such as the helix from its crus to its
// tail: the points that are equally far from both long sides.
type Line struct {
	Points []mgl64.Vec2 // evenly spaced from the first end to the other, both on the outline, mm
	width  []float64    // across the strip at each point

	longest float64 // of the edges between the points
}

// New finds the centreline of an outline.
//
// The two points of the outline that are farthest apart on a way inside it
// divide it into two long sides; the sides are paired along their length, and
// the middles of the pairs are moved until they are equally far from both. A
// blunt end is then found again as the place where the centreline, continued,
// leaves the outline. Which end comes first is the caller's to say: see
// Reversed.
//
// It is an error, ErrNotStrip, if the outline has holes, branches, or is not at
// least twice as long as it is wide.
func New(outline template.Outline) (*Line, error) {
	if len(outline.Holes) > 0 {
		return nil, fmt.Errorf("outline %s has a hole: %w", outline.ID, ErrNotStrip)
	}
	region, err := template.Region(outline)
	if err != nil {
		return nil, err
	}
	perimeter := LengthOf(outline.Outer, true)
	area := math.Abs(outline.Outer.Area())
	width := 2 * area / perimeter // of a long strip: its mean width
	switch {
	case !(width > perimeter*narrowest):
		return nil, fmt.Errorf("outline %s encloses next to nothing: %w", outline.ID, ErrNotStrip)
	case perimeter*perimeter < roundest*area:
		return nil, fmt.Errorf("outline %s is not twice as long as it is wide: %w", outline.ID, ErrNotStrip)
	}
	spacing := math.Max(width/ringDivisions, perimeter/maxRingPoints)
	ring := subdivide(outline.Outer, spacing)
	lo, hi := region.Bounds()
	box := (hi[0] - lo[0]) * (hi[1] - lo[1])
	first, last := findTips(region, ring, math.Max(width/gridDivisions, math.Sqrt(box/maxGridCells)))
	if first == last {
		return nil, fmt.Errorf("outline %s has no way from one end to another: %w", outline.ID, ErrNotStrip)
	}
	line := middleOf(sides(ring, first, last))
	for range endRounds {
		a, okA := continueEnd(region, line)
		b, okB := continueEnd(region, backward(line))
		if !okA || !okB {
			break
		}
		marked, i := insertPoint(ring, a)
		marked, j := insertPoint(marked, b)
		if j <= i {
			i++
		}
		if i == j {
			break
		}
		line = middleOf(sides(marked, i%len(marked), j))
	}
	c := &Line{Points: line, longest: longestEdge(line)}
	c.measureWidth(outline.Outer)
	if err := c.strip(outline.ID, region, ring, area); err != nil {
		return nil, err
	}
	return c, nil
}

// How finely an outline is looked at, and how often its ends are found again:
// the second round corrects what the first, still drawn to a corner of a blunt
// end, left over.
const (
	narrowest     = 1e-4
	roundest      = 17 // of perimeter² / area: 18 for a bar of two squares, 16 for a square
	ringDivisions = 12
	gridDivisions = 6
	maxRingPoints = 3000
	maxGridCells  = 20000
	endRounds     = 2

	// branchReach is how many times half the width the outline may be away from
	// the line: 1 along the sides, somewhat more at a slanted end.
	branchReach = 1.8

	// mostAmiss is how far length times width may be from the area: more than
	// the round or slanted ends of a strip three times as long as wide make.
	mostAmiss = 0.3
)

// strip checks that the line stands for the outline: it is long, its length times
// its width is the area, and no part of the outline is far from it, as the end
// of a branch would be.
func (c *Line) strip(id string, region *field.Region, ring []mgl64.Vec2, area float64) error {
	length, across := c.Length(), 0.0
	for i := 1; i < len(c.Points); i++ {
		across += (c.width[i] + c.width[i-1]) / 2 * c.Points[i].Sub(c.Points[i-1]).Len()
	}
	mean := area / length
	if !(length > 2*mean) || !(math.Abs(across-area) < mostAmiss*area) {
		return fmt.Errorf("outline %s has no even middle line: %w", id, ErrNotStrip)
	}
	widest := 0.0
	for _, p := range c.Points {
		widest = math.Max(widest, -region.Distance(p))
	}
	for _, p := range ring {
		if _, away := c.Nearest(p); away > branchReach*widest {
			return fmt.Errorf("outline %s branches at x %.1f, y %.1f mm: %w", id, p[0], p[1], ErrNotStrip)
		}
	}
	return nil
}

// Length returns the developed length in mm.
func (c *Line) Length() float64 { return LengthOf(c.Points, false) }

// Reversed returns the centreline from the other end.
func (c *Line) Reversed() *Line {
	width := make([]float64, len(c.width))
	for i, w := range c.width {
		width[len(width)-1-i] = w
	}
	return &Line{Points: backward(c.Points), width: width, longest: c.longest}
}

// At returns the point at a fraction of the length, 0 to 1.
func (c *Line) At(fraction float64) mgl64.Vec2 {
	i, t := c.locate(fraction)
	return c.Points[i].Mul(1 - t).Add(c.Points[i+1].Mul(t))
}

// WidthAt returns the width in mm across the strip at a fraction of the length.
func (c *Line) WidthAt(fraction float64) float64 {
	i, t := c.locate(fraction)
	return c.width[i]*(1-t) + c.width[i+1]*t
}

func (c *Line) locate(fraction float64) (index int, t float64) {
	u := math.Min(math.Max(fraction, 0), 1) * float64(len(c.Points)-1)
	index = min(int(u), len(c.Points)-2)
	return index, u - float64(index)
}

// Nearest returns the fraction of the length whose point is nearest to p, and
// how far away that is in mm.
func (c *Line) Nearest(p mgl64.Vec2) (fraction, distance float64) {
	i, along, square := nearestEdge(p, c.Points, c.longest, 1, len(c.Points), len(c.Points)/2)
	return (float64(i-1) + along) / float64(len(c.Points)-1), math.Sqrt(square)
}

// LeastRadius returns the least bend radius in mm and the fraction of the
// length where it is. A bend is judged over a piece as long as the strip is
// wide; a straight line has an infinite radius.
func (c *Line) LeastRadius() (radius, at float64) {
	n := len(c.Points)
	spacing := c.Length() / float64(n-1)
	mean := 0.0
	for _, w := range c.width {
		mean += w / float64(n)
	}
	reach := min(max(2, int(math.Round(mean/2/spacing))), (n-1)/2)
	radius, at = math.Inf(1), 0.5
	for i := reach; i < n-reach; i++ {
		if r := BendRadius(c.Points[i-reach : i+reach+1]); r < radius {
			radius, at = r, float64(i)/float64(n-1)
		}
	}
	return radius, at
}

// BendRadius returns the radius of curvature, in the unit of the coordinates, in
// the middle of an odd number of evenly spaced points, five or more; it is
// infinite if they are straight.
func BendRadius(points []mgl64.Vec2) float64 { return 1 / math.Abs(Curvature(points)) }

// Curvature returns the curvature, positive where the points turn to the left, in
// the middle of an odd number of evenly spaced points, five or more. A parabola is
// fitted to each coordinate over all of them (Savitzky and Golay 1964).
func Curvature(points []mgl64.Vec2) float64 {
	half := len(points) / 2
	var s2, s4 float64
	var sum, first, second mgl64.Vec2
	for i, p := range points {
		u := float64(i - half)
		s2 += u * u
		s4 += u * u * u * u
		sum = sum.Add(p)
		first = first.Add(p.Mul(u))
		second = second.Add(p.Mul(u * u))
	}
	n := float64(len(points))
	velocity := first.Mul(1 / s2)
	bend := second.Sub(sum.Mul(s2 / n)).Mul(2 / (s4 - s2*s2/n))
	cross := velocity[0]*bend[1] - velocity[1]*bend[0]
	speed := velocity.Len()
	if !(math.Abs(cross) > 1e-9*speed*speed*speed) {
		return 0 // straight to rounding
	}
	return cross / (speed * speed * speed)
}

// measureWidth casts a ray to both sides of every point, square to the line.
func (c *Line) measureWidth(ring template.Ring) {
	n := len(c.Points)
	c.width = make([]float64, n)
	for i := 1; i < n-1; i++ {
		along := c.Points[i+1].Sub(c.Points[i-1]).Normalize()
		across := mgl64.Vec2{-along[1], along[0]}
		c.width[i] = ring.Ray(c.Points[i], across) + ring.Ray(c.Points[i], across.Mul(-1))
	}
	// At the very ends the ray runs in the outline itself.
	c.width[0], c.width[n-1] = c.width[1], c.width[n-2]
}
