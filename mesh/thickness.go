package mesh

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
)

// Wall is a place where the solid was measured from one side to the other.
type Wall struct {
	Thickness float64    `json:"thickness"` // mm, along the inward normal
	At        mgl64.Vec3 `json:"at"`        // on the surface, mm
}

// ErrNoWall says that no place of the surface has another across from it.
var ErrNoWall = errors.New("mesh: no two sides of the solid face away from one another within 30 degrees, so that it has no wall to measure")

const (
	// wallSamples is how many rays ThinnestWall casts at most; the spacing
	// between them is the square root of area over wallSamples, yet not under
	// leastWallSpacing.
	wallSamples      = 8000
	leastWallSpacing = 0.05 // mm

	// leastWallArea is how much of the surface, mm², must be as thin for it to
	// count as a wall.
	leastWallArea = 0.2

	// raysAChunk is how many rays one core casts at a time.
	raysAChunk = 512
)

// wallTilt is how far the two sides of a wall may be from parallel: the angle
// between one's normal and the other's, turned about. At edges and rounded rims
// the surface is met at larger angles, and no thickness is read there; a wedge
// sharper than this counts as a wall all the way to its edge.
const wallTilt = 30 * math.Pi / 180

// ThinnestWall measures the solid square to its surface: from points spread
// evenly over the surface it looks inward along the normal to the first
// triangle across, and reads a thickness where that triangle faces away within
// 30 degrees. So plates, ribs, tubes and tapering tongues are walls, while the
// thin material along any edge that is blunter than 30 degrees, sharp or
// rounded, is not.
//
// The points are at most 8,000, spaced evenly by area and not closer than
// 0.05 mm: on a surface of 800 mm² one in each 0.1 mm², so that a thin place
// smaller than about half a millimetre across may be missed. What is returned is the
// thickness that 0.2 mm² of the surface have or go below: a single ray at the
// feather edge of a notch is no wall. The thickness is a ray's
// length; between sides tilted by an angle it is longer than the distance
// between them by at most 1/cos of that angle (15 percent at 30 degrees).
//
// The mesh has to be closed and wound outwards; the answer is the same on any
// number of cores. ErrNoWall is returned where nothing was read; ctx ends the
// work early with its error.
func ThinnestWall(ctx context.Context, m *Mesh) (Wall, error) {
	tree, err := newBoxTree(ctx, m, m.usableTriangle)
	if err != nil {
		return Wall{}, err
	}
	starts := wallStarts(m, tree)
	if len(starts) == 0 {
		return Wall{}, ErrNoWall
	}
	chunks := (len(starts) + raysAChunk - 1) / raysAChunk
	walls := make([]Wall, len(starts))
	err = parallel(ctx, chunks, func(chunk int) {
		for i := chunk * raysAChunk; i < min((chunk+1)*raysAChunk, len(starts)); i++ {
			walls[i] = Wall{Thickness: tree.thickness(m, starts[i]), At: starts[i].at}
		}
	})
	if err != nil {
		return Wall{}, err
	}
	slices.SortStableFunc(walls, func(a, b Wall) int { return cmp.Compare(a.Thickness, b.Thickness) })
	spots := int(math.Ceil(leastWallArea * float64(len(starts)) / m.Area()))
	if spots >= len(walls) || math.IsInf(walls[spots].Thickness, 1) {
		return Wall{}, ErrNoWall
	}
	return walls[spots], nil
}

// wallStart is a point of the surface to measure from.
type wallStart struct {
	triangle int32
	at       mgl64.Vec3
}

// wallStarts spreads points over the surface: along the order of the tree, one
// each time another equal share of the area has gone by. Inside a triangle they
// follow an additive recurrence that fills the unit square evenly (Roberts,
// "The unreasonable effectiveness of quasirandom sequences", 2018).
func wallStarts(m *Mesh, tree *boxTree) []wallStart {
	const stepU, stepV = 0.7548776662466927, 0.5698402909980532 // 1/g, 1/g² of g³ = g + 1
	share := math.Max(m.Area()/wallSamples, leastWallSpacing*leastWallSpacing)
	var starts []wallStart
	gone, u, v := share/2, 0.5, 0.5
	for _, i := range tree.triangles {
		t := m.Triangles[i]
		a := m.Vertices[t[0]]
		ab, ac := m.Vertices[t[1]].Sub(a), m.Vertices[t[2]].Sub(a)
		for gone += ab.Cross(ac).Len() / 2; gone >= share && len(starts) < 2*wallSamples; gone -= share {
			_, u = math.Modf(u + stepU)
			_, v = math.Modf(v + stepV)
			alongB, alongC := u, v
			if u+v > 1 {
				alongB, alongC = 1-u, 1-v
			}
			starts = append(starts, wallStart{i, a.Add(ab.Mul(alongB)).Add(ac.Mul(alongC))})
		}
	}
	return starts
}

// crevice is the width in mm below which a gap between two surfaces is none: no
// printer leaves it open, and a surface may be folded by as much.
const crevice = 0.05

// crevicesCrossed bounds how many of them one ray goes across.
const crevicesCrossed = 16

// thickness returns the length of the ray inwards, or +Inf where it is not
// across a wall. It goes on across crevices, and does not start inside one.
func (tree *boxTree) thickness(m *Mesh, start wallStart) float64 {
	inward := m.normal(start.triangle).Mul(-1)
	if _, entered := tree.firstHit(m, start.at, inward.Mul(-1), start.triangle, entering, crevice); entered >= 0 {
		return math.Inf(1)
	}
	from, passed, except := start.at, 0.0, start.triangle
	for range crevicesCrossed {
		length, hit := tree.firstHit(m, from, inward, except, leaving, math.Inf(1))
		if hit < 0 {
			return math.Inf(1)
		}
		passed += length
		from = from.Add(inward.Mul(length))
		gap, entered := tree.firstHit(m, from, inward, hit, entering, crevice)
		if entered < 0 {
			if m.normal(hit).Dot(inward) < math.Cos(wallTilt) {
				return math.Inf(1)
			}
			return passed
		}
		passed += gap
		from, except = from.Add(inward.Mul(gap)), entered
	}
	return math.Inf(1)
}

// normal returns the unit normal of a triangle that has area.
func (m *Mesh) normal(i int32) mgl64.Vec3 {
	t := m.Triangles[i]
	a := m.Vertices[t[0]]
	return m.Vertices[t[1]].Sub(a).Cross(m.Vertices[t[2]].Sub(a)).Normalize()
}

// passage says whether a ray leaves the solid through a triangle or enters it.
type passage bool

const (
	leaving  passage = false
	entering passage = true
)

// firstHit returns the nearest triangle but one through which the ray leaves or
// enters the solid, and how far it is; hit is -1, and the length reach, where
// there is none within reach.
func (tree *boxTree) firstHit(m *Mesh, from, along mgl64.Vec3, except int32, way passage, reach float64) (length float64, hit int32) {
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
					if at := m.rayMeets(i, from, along, way); at < length || (at == length && hit >= 0 && i < hit) {
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
func (r *boxRay) enters(b *triBox) float64 {
	near, far := 0.0, math.Inf(1)
	for k := range 3 {
		one, two := (float64(b.low[k])-r.from[k])*r.perUnit[k], (float64(b.high[k])-r.from[k])*r.perUnit[k]
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
func (m *Mesh) rayMeets(i int32, from, along mgl64.Vec3, way passage) float64 {
	t := m.Triangles[i]
	a := m.Vertices[t[0]]
	ab, ac := m.Vertices[t[1]].Sub(a), m.Vertices[t[2]].Sub(a)
	if way == entering {
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
