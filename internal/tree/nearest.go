package tree

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Nearest returns the triangles' point nearest to p and how far away it is, mm;
// ok is false if that is not less than most.
func (t *Tree) Nearest(p mgl64.Vec3, most float64) (at mgl64.Vec3, distance float64, ok bool) {
	if len(t.triangles) == 0 {
		return at, most, false
	}
	best := most * most
	type pending struct {
		level, index int
		square       float64
	}
	var stack [64]pending
	top := len(t.levels) - 1
	stack[0] = pending{top, 0, t.levels[top][0].squareTo(p)}
	for held := 1; held > 0; {
		held--
		node := stack[held]
		if node.square >= best {
			continue
		}
		if node.level == 0 {
			for i, end := t.leaf(node.index); i < end; i++ {
				if t.boxes[i].squareTo(p) >= best {
					continue
				}
				c := t.corners[t.triangles[i]]
				q := onTriangle(p, t.vertices[c[0]], t.vertices[c[1]], t.vertices[c[2]])
				if d := q.Sub(p).LenSqr(); d < best {
					best, at, ok = d, q, true
				}
			}
			continue
		}
		below := t.levels[node.level-1]
		near := pending{node.level - 1, 2 * node.index, below[2*node.index].squareTo(p)}
		if 2*node.index+1 < len(below) {
			far := pending{node.level - 1, 2*node.index + 1, below[2*node.index+1].squareTo(p)}
			if far.square < near.square {
				near, far = far, near
			}
			stack[held] = far
			held++
		}
		stack[held] = near
		held++
	}
	return at, math.Sqrt(best), ok
}

// squareTo returns the square of the distance of p from the box, at the most.
func (b *Box) squareTo(p mgl64.Vec3) float64 {
	return beyond(p[0], b.Low[0], b.High[0]) + beyond(p[1], b.Low[1], b.High[1]) + beyond(p[2], b.Low[2], b.High[2])
}

// beyond returns the square of how far x lies outside a range.
func beyond(x float64, low, high float32) float64 {
	if d := float64(low) - x; d > 0 {
		return d * d
	}
	if d := x - float64(high); d > 0 {
		return d * d
	}
	return 0
}

// onTriangle returns the point of the triangle nearest to p (Ericson, Real-Time
// Collision Detection, 2005, 5.1.5).
func onTriangle(p, a, b, c mgl64.Vec3) mgl64.Vec3 {
	ab, ac, ap := b.Sub(a), c.Sub(a), p.Sub(a)
	d1, d2 := ab.Dot(ap), ac.Dot(ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := p.Sub(b)
	d3, d4 := ab.Dot(bp), ac.Dot(bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return a.Add(ab.Mul(d1 / (d1 - d3)))
	}
	cp := p.Sub(c)
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return a.Add(ac.Mul(d2 / (d2 - d6)))
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return b.Add(c.Sub(b).Mul((d4 - d3) / ((d4 - d3) + (d5 - d6))))
	}
	denominator := 1 / (va + vb + vc)
	return a.Add(ab.Mul(vb * denominator)).Add(ac.Mul(vc * denominator))
}

// Within calls do for the triangles whose boxes reach within reach mm of the place
// along every axis, in the order of the leaves; +Inf calls it for all.
func (t *Tree) Within(place mgl64.Vec3, reach float64, do func(triangle int32)) {
	if len(t.triangles) > 0 {
		t.within(len(t.levels)-1, 0, place, reach, do)
	}
}

func (t *Tree) within(level, index int, place mgl64.Vec3, reach float64, do func(triangle int32)) {
	if !t.levels[level][index].reaches(place, reach) {
		return
	}
	if level > 0 {
		t.within(level-1, 2*index, place, reach, do)
		if 2*index+1 < len(t.levels[level-1]) {
			t.within(level-1, 2*index+1, place, reach, do)
		}
		return
	}
	for i, end := t.leaf(index); i < end; i++ {
		if t.boxes[i].reaches(place, reach) {
			do(t.triangles[i])
		}
	}
}

// reaches reports whether the box comes within reach of the place along every axis.
func (b *Box) reaches(place mgl64.Vec3, reach float64) bool {
	for k, x := range place {
		if x < float64(b.Low[k])-reach || x > float64(b.High[k])+reach {
			return false
		}
	}
	return true
}
