package rib

import (
	"context"
	"math"
	"slices"
	"testing"

	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
)

// What a person with a calliper and a flexible rule would measure, taken from
// the mesh alone.

// planOf returns a plan with that cartilage, and a unit of the ribs if any are
// named.
func planOf(c units.Cartilage, ribs ...int) *units.Plan {
	if c.Age == 0 {
		c.Age = units.ChildAge
	}
	plan := &units.Plan{Practice: units.Practice{Cartilage: c}}
	if len(ribs) > 0 {
		plan.Units = []*units.Unit{{Name: "base", Ribs: ribs}}
	}
	return plan
}

// blanksOf returns the blanks by name.
func blanksOf(t testing.TB, plan *units.Plan) map[string]Blank {
	t.Helper()
	blanks, findings, err := Blanks(plan)
	require.NoError(t, err)
	require.Empty(t, findings)
	named := map[string]Blank{}
	for _, b := range blanks {
		named[b.Name] = b
	}
	return named
}

// meshOf contours a blank.
func meshOf(t testing.TB, b Blank, step float64) *mesh.Mesh {
	t.Helper()
	m, err := contour.Of(context.Background(), b.Solid, contour.Options{Step: step})
	require.NoError(t, err)
	return m
}

// testStep is coarse, so that the tests are quick: what is measured lies
// between many samples.
const testStep = 0.6

// segment is a piece of a mesh's cut, the solid on its left as seen against the
// plane's normal.
type segment [2]mgl64.Vec3

// cut returns the mesh's cut by a plane.
func cut(m *mesh.Mesh, at, normal mgl64.Vec3) []segment {
	side := make([]float64, len(m.Vertices))
	for i, v := range m.Vertices {
		side[i] = v.Sub(at).Dot(normal)
	}
	var segments []segment
	for _, triangle := range m.Triangles {
		var s segment
		ends := 0
		for k := range 3 {
			i, j := triangle[k], triangle[(k+1)%3]
			if (side[i] > 0) == (side[j] > 0) {
				continue
			}
			p := m.Vertices[i].Add(m.Vertices[j].Sub(m.Vertices[i]).Mul(side[i] / (side[i] - side[j])))
			if side[i] > 0 {
				s[0] = p
			} else {
				s[1] = p
			}
			ends++
		}
		if ends == 2 {
			segments = append(segments, s)
		}
	}
	return segments
}

// sectionOf returns area, centroid and extent across of an upright section, of
// those of its pieces that lie within reach of the place.
func sectionOf(m *mesh.Mesh, at mgl64.Vec3, tangent mgl64.Vec2, reach float64) (area float64, centroid mgl64.Vec3,
	height float64) {
	across := mgl64.Vec2{-tangent[1], tangent[0]}
	low, high := math.Inf(1), math.Inf(-1)
	var moment mgl64.Vec2
	for _, s := range cut(m, at, tangent.Vec3(0)) {
		if s[0].Sub(at).Len() > reach {
			continue
		}
		var p [2]mgl64.Vec2
		for k := range s {
			d := s[k].Sub(at)
			p[k] = mgl64.Vec2{d.Vec2().Dot(across), d[2]}
			low, high = math.Min(low, p[k][0]), math.Max(high, p[k][0])
		}
		cross := p[0][0]*p[1][1] - p[1][0]*p[0][1]
		area += cross / 2
		moment = moment.Add(p[0].Add(p[1]).Mul(cross / 6))
	}
	moment = moment.Mul(1 / area)
	return math.Abs(area), at.Add(across.Mul(moment[0]).Vec3(moment[1])), high - low
}

// middleLine returns the centroids of sections square to the line through
// themselves, and the length of that line from end to end: begun with sections
// square to x, which are put right three times.
func middleLine(m *mesh.Mesh) ([]mgl64.Vec3, []mgl64.Vec2, float64) {
	const stations = 60
	lo, hi := m.Bounds()
	points, tangents := make([]mgl64.Vec3, stations), make([]mgl64.Vec2, stations)
	reach := hi.Sub(lo).Len()
	for i := range points {
		x := lo[0] + (hi[0]-lo[0])*(0.1+0.8*float64(i)/(stations-1))
		points[i], tangents[i] = mgl64.Vec3{x, 0, 0}, mgl64.Vec2{1, 0}
	}
	for range 4 {
		for i := range points {
			_, points[i], _ = sectionOf(m, points[i], tangents[i], reach)
		}
		for i := range tangents {
			tangents[i] = points[min(i+1, stations-1)].Sub(points[max(i-1, 0)]).Vec2().Normalize()
		}
		reach = (hi[1] - lo[1]) / 1.5
	}
	length := 0.0
	for i := range stations - 1 {
		length += points[i+1].Sub(points[i]).Len()
	}
	return points, tangents, length + toEnd(m, points, -1) + toEnd(m, points, 1)
}

// toEnd returns the length of the middle line beyond its last section: the line
// is bent on like the circle through its last, middle and first points.
func toEnd(m *mesh.Mesh, points []mgl64.Vec3, way int) float64 {
	n := len(points)
	centre, radius := circleThrough(points[0].Vec2(), points[n/2].Vec2(), points[n-1].Vec2())
	last := points[n-1]
	if way < 0 {
		last = points[0]
	}
	start := last.Vec2().Sub(centre)
	most := 0.0
	for _, v := range m.Vertices {
		p := v.Vec2().Sub(centre)
		// Seen along the arc, an end is where its flat face is, not its corners.
		if math.Abs(p.Len()-radius) > 1 || math.Abs(v[2]-last[2]) > 1 {
			continue
		}
		angle := math.Atan2(start[0]*p[1]-start[1]*p[0], start.Dot(p)) * float64(way)
		most = math.Max(most, angle*radius)
	}
	return most
}

func circleThrough(a, b, c mgl64.Vec2) (mgl64.Vec2, float64) {
	b, c = b.Sub(a), c.Sub(a)
	d := 2 * (b[0]*c[1] - b[1]*c[0])
	centre := mgl64.Vec2{c[1]*b.Dot(b) - b[1]*c.Dot(c), b[0]*c.Dot(c) - c[0]*b.Dot(b)}.Mul(1 / d)
	return centre.Add(a), centre.Len()
}

// silhouetteArea returns the area of the mesh's shadow on the bed: that of the
// faces that look up, since nothing stands above another thing.
func silhouetteArea(m *mesh.Mesh) float64 {
	area := 0.0
	for _, triangle := range m.Triangles {
		a, b, c := m.Vertices[triangle[0]], m.Vertices[triangle[1]], m.Vertices[triangle[2]]
		area += math.Max(0, b.Sub(a).Cross(c.Sub(a))[2]/2)
	}
	return area
}

// run is a stretch of a line within a solid's silhouette.
type run struct{ from, to mgl64.Vec2 }

func (r run) length() float64 { return r.to.Sub(r.from).Len() }

// runsAlong returns where a line lies within the outline, in its order.
func runsAlong(segments []segment, at, direction mgl64.Vec2) []run {
	across := mgl64.Vec2{-direction[1], direction[0]}
	var crossings []float64
	for _, s := range segments {
		a, b := s[0].Vec2().Sub(at), s[1].Vec2().Sub(at)
		da, db := a.Dot(across), b.Dot(across)
		if (da > 0) != (db > 0) {
			crossings = append(crossings, a.Add(b.Sub(a).Mul(da/(da-db))).Dot(direction))
		}
	}
	slices.Sort(crossings)
	var runs []run
	last := math.Inf(-1)
	for i := 0; i+1 < len(crossings); i += 2 {
		r := run{at.Add(direction.Mul(crossings[i])), at.Add(direction.Mul(crossings[i+1]))}
		if crossings[i]-last > leastGap {
			runs = append(runs, r)
		} else {
			runs[len(runs)-1].to = r.to
		}
		last = crossings[i+1]
	}
	return runs
}

// leastGap, in mm, is a gap that no calliper feels: where a line grazes the
// facets of an edge.
const leastGap = 0.05

// jointOn measures the synchondrosis on the silhouette: its height is the
// shortest line across both ribs through the joint's middle, its width how far that
// line can be moved to both sides before it meets a gap.
func jointOn(m *mesh.Mesh, middle, higher float64) (width, height float64) {
	segments := cut(m, mgl64.Vec3{0, 0, middle}, mgl64.Vec3{0, 0, 1})
	lo, hi := m.Bounds()
	var within []mgl64.Vec2 // the joint, where an upright line meets no gap
	for x := lo[0]; x < hi[0]; x += 0.25 {
		for _, r := range runsAlong(segments, mgl64.Vec2{x, 0}, mgl64.Vec2{0, 1}) {
			if r.length() > 1.5*higher {
				within = append(within, r.from.Add(r.to).Mul(0.5))
			}
		}
	}
	var chord run
	height = math.Inf(1)
	at := within[len(within)/2]
	for degrees := -40.0; degrees <= 40; degrees++ {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		for _, r := range runsAlong(segments, at, mgl64.Vec2{-sin, cos}) {
			if r.length() > 1.5*higher && r.length() < height {
				chord, height = r, r.length()
			}
		}
	}
	up := chord.to.Sub(chord.from).Normalize()
	along := mgl64.Vec2{up[1], -up[0]}
	for _, way := range []float64{-1, 1} {
		for beside := 0.0; ; beside += 0.02 {
			at := chord.from.Add(along.Mul(way * beside))
			if len(runsAlong(segments, at, up)) > 1 {
				width += beside
				break
			}
		}
	}
	return width, height
}
