package tree

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Passage says whether a ray leaves the solid through a triangle or enters it.
type Passage bool

// The two ways through a triangle: the way its front looks, and against it.
const (
	Leaving  Passage = false
	Entering Passage = true
)

// FirstHit returns the nearest triangle but one through which the ray leaves or
// enters the solid, and how far it is; hit is -1, and the length reach, where
// there is none within reach.
func (tree *Tree) FirstHit(
	from, along mgl64.Vec3, except int32, way Passage, reach float64,
) (length float64, hit int32) {
	length, hit = reach, -1
	if len(tree.triangles) == 0 {
		return length, hit
	}
	ray := boxRay{}
	for k := range 3 {
		ray.from[k], ray.perUnit[k] = from[k], 1/along[k]
	}
	type pending struct {
		level, index int
		enters       float64
	}
	stack := make([]pending, 0, 64)
	top := len(tree.levels) - 1
	if enters := ray.enters(&tree.levels[top][0]); enters < length {
		stack = append(stack, pending{top, 0, enters})
	}
	for len(stack) > 0 {
		node := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if node.enters >= length {
			continue
		}
		if node.level == 0 {
			for first, end := tree.leaf(node.index); first < end; first++ {
				if i := tree.triangles[first]; i != except {
					if at := tree.rayMeets(i, from, along, way); at < length || (at == length && hit >= 0 && i < hit) {
						length, hit = at, i
					}
				}
			}
			continue
		}
		below := tree.levels[node.level-1]
		children := [2]pending{{node.level - 1, 2 * node.index, math.Inf(1)}, {node.level - 1, 2*node.index + 1, math.Inf(1)}}
		for c := range children {
			if children[c].index < len(below) {
				children[c].enters = ray.enters(&below[children[c].index])
			}
		}
		if children[0].enters < children[1].enters { // the nearer is looked at first
			children[0], children[1] = children[1], children[0]
		}
		for _, child := range children {
			if child.enters < length {
				stack = append(stack, child)
			}
		}
	}
	return length, hit
}

// boxRay is a ray made ready for boxes.
type boxRay struct{ from, perUnit [3]float64 }

// enters returns how far along the ray the box begins, or +Inf where the ray
// passes it by.
func (r *boxRay) enters(b *Box) float64 {
	near, far := 0.0, math.Inf(1)
	for k := range 3 {
		one, two := (float64(b.Low[k])-r.from[k])*r.perUnit[k], (float64(b.High[k])-r.from[k])*r.perUnit[k]
		if one > two {
			one, two = two, one
		}
		if one > near { // false where 0 × Inf: the ray runs along the side
			near = one
		}
		if two < far {
			far = two
		}
	}
	if near > far {
		return math.Inf(1)
	}
	return near
}

// rayMeets returns how far along the ray it leaves or enters through the
// triangle, or +Inf (Möller and Trumbore, "Fast, minimum storage ray/triangle intersection",
// 1997).
func (tree *Tree) rayMeets(i int32, from, along mgl64.Vec3, way Passage) float64 {
	t := tree.corners[i]
	a := tree.vertices[t[0]]
	ab, ac := tree.vertices[t[1]].Sub(a), tree.vertices[t[2]].Sub(a)
	if way == Entering {
		ab, ac = ac, ab
	}
	across := along.Cross(ac)
	det := ab.Dot(across)
	if !(det < 0) { // edge-on, or passed the other way
		return math.Inf(1)
	}
	toFrom := from.Sub(a)
	u := toFrom.Dot(across)
	other := toFrom.Cross(ab)
	v := along.Dot(other)
	if u > 0 || v > 0 || u+v < det {
		return math.Inf(1)
	}
	if at := ac.Dot(other) / det; at > 0 {
		return at
	}
	return math.Inf(1)
}
