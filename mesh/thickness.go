package mesh

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"earframe/field"
	"earframe/internal/crossing"
	"earframe/internal/tree"
	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// Wall is a place where the solid was measured from one side to the other.
type Wall struct {
	Thickness float64    // mm, along the inward normal
	At        mgl64.Vec3 // on the surface, mm
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

	// raysAChunk is how many rays one core casts at a time, raysAtOnce how many
	// walls are measured before asking whether others can be thinner.
	raysAChunk = 64
	raysAtOnce = 512
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
	return thinnestWall(ctx, m, nil)
}

// ThinnestWallOn is ThinnestWall for the walls between places on the surface of
// the field, as which m is but for something small that does not count, as
// letters carved into it. Places count as on the field's surface within slack mm,
// and where it faces the same way within 45 degrees.
func ThinnestWallOn(ctx context.Context, m *Mesh, f field.Field, slack float64) (Wall, error) {
	return thinnestWall(ctx, m, func(rays []wallRay) { dropOff(f, slack, rays) })
}

// thinnestWall casts one ray from each start to the nearest way out, which is no
// longer than the wall is thick. Then it measures wall after wall, those with the
// shortest ways first, until no other can be as thin. drop makes the thickness of
// walls that do not count infinite.
func thinnestWall(ctx context.Context, m *Mesh, drop func([]wallRay)) (Wall, error) {
	byPlace, err := tree.New(ctx, m.Vertices, m.Triangles, func(i int) bool {
		return crossing.Usable(m.Vertices, m.Triangles[i])
	})
	if err != nil {
		return Wall{}, err
	}
	starts := wallStarts(m, byPlace)
	if len(starts) == 0 {
		return Wall{}, ErrNoWall
	}
	rays := make([]wallRay, len(starts))
	err = inChunks(ctx, len(rays), func(i int) {
		inward := m.normal(starts[i].triangle).Mul(-1)
		way, _ := byPlace.FirstHit(starts[i].at, inward, starts[i].triangle, tree.Leaving, math.Inf(1))
		rays[i] = wallRay{start: starts[i], inward: inward, order: i, least: way}
	})
	if err != nil {
		return Wall{}, err
	}
	slices.SortFunc(rays, func(a, b wallRay) int {
		return cmp.Or(cmp.Compare(a.least, b.least), cmp.Compare(a.order, b.order))
	})
	spots := int(math.Ceil(leastWallArea * float64(len(rays)) / m.Area()))
	for done := 0; done < len(rays); {
		more := rays[done:min(done+raysAtOnce, len(rays))]
		if err := inChunks(ctx, len(more), func(i int) { more[i].thickness = wallThickness(byPlace, m, more[i].start) }); err != nil {
			return Wall{}, err
		}
		if drop != nil {
			drop(more)
		}
		done += len(more)
		slices.SortFunc(rays[:done], func(a, b wallRay) int {
			return cmp.Or(cmp.Compare(a.thickness, b.thickness), cmp.Compare(a.order, b.order))
		})
		if done > spots && (done == len(rays) || rays[spots].thickness < rays[done].least) {
			break
		}
	}
	if spots >= len(rays) || math.IsInf(rays[spots].thickness, 1) {
		return Wall{}, ErrNoWall
	}
	return Wall{Thickness: rays[spots].thickness, At: rays[spots].start.at}, nil
}

// wallRay is one place to measure at.
type wallRay struct {
	start     wallStart
	inward    mgl64.Vec3
	order     int     // of the start among all
	least     float64 // a wall here is as thick at least, mm
	thickness float64 // mm, +Inf where there is no wall
}

// inChunks calls work(0) … work(count-1) on all cores, some at a time, until ctx
// ends; it returns ctx's error then.
func inChunks(ctx context.Context, count int, work func(i int)) error {
	return workers.Bands(ctx, "walls", count, raysAChunk, func(from, to int) error {
		for i := from; i < to; i++ {
			work(i)
		}
		return nil
	})
}

// dropOff drops the rays of which an end is not on the field's surface.
func dropOff(f field.Field, slack float64, rays []wallRay) {
	var ends, outward []mgl64.Vec3
	var measured []*wallRay
	for i := range rays {
		if r := &rays[i]; !math.IsInf(r.thickness, 1) {
			measured = append(measured, r)
			ends = append(ends, r.start.at, r.start.at.Add(r.inward.Mul(r.thickness)))
			outward = append(outward, r.inward.Mul(-1), r.inward)
		}
	}
	distances, gradients := make([]float64, len(ends)), make([]mgl64.Vec3, len(ends))
	f.Gradients(ends, distances, gradients)
	for i, d := range distances {
		if math.Abs(d) > slack || gradients[i].Dot(outward[i]) < math.Sqrt2/2*gradients[i].Len() {
			measured[i/2].thickness = math.Inf(1)
		}
	}
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
func wallStarts(m *Mesh, byPlace *tree.Tree) []wallStart {
	const stepU, stepV = 0.7548776662466927, 0.5698402909980532 // 1/g, 1/g² of g³ = g + 1
	share := math.Max(m.Area()/wallSamples, leastWallSpacing*leastWallSpacing)
	var starts []wallStart
	gone, u, v := share/2, 0.5, 0.5
	for _, i := range byPlace.Triangles() {
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

// wallThickness returns the length of the ray inwards, or +Inf where it is not
// across a wall. It goes on across crevices, and does not start inside one.
func wallThickness(byPlace *tree.Tree, m *Mesh, start wallStart) float64 {
	inward := m.normal(start.triangle).Mul(-1)
	if _, entered := byPlace.FirstHit(start.at, inward.Mul(-1), start.triangle, tree.Entering, crevice); entered >= 0 {
		return math.Inf(1)
	}
	from, passed, except := start.at, 0.0, start.triangle
	for range crevicesCrossed {
		length, hit := byPlace.FirstHit(from, inward, except, tree.Leaving, math.Inf(1))
		if hit < 0 {
			return math.Inf(1)
		}
		passed += length
		from = from.Add(inward.Mul(length))
		gap, entered := byPlace.FirstHit(from, inward, hit, tree.Entering, crevice)
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
