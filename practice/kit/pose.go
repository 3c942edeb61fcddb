package kit

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"earframe/field"
	"earframe/internal/workers"
	"earframe/mesh"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Pose is how a piece lies on the bed.
type Pose struct {
	Text     string     // in words
	Tilt     float64    // of its lateral side from upward
	Overhang float64    // of faces that hang over more than a printer bridges
	Supports bool       // whether it needs them
	Rests    float64    // area of the hull's face that it lies on
	turn     mgl64.Mat3 // from the framework's coordinates
}

const (
	// overhangDegrees from the vertical a face may lean over without supports:
	// what public rules of design for prints call self-supporting.
	overhangDegrees = 45

	// leastSupport is the area, mm², of overhanging faces below which a print is
	// held to bridge them: a strip two lines of a nozzle wide and some
	// millimetres long.
	leastSupport = 4.0

	// bridged is how far over the bed, mm, an overhang counts as bridged beyond
	// the depth of letters and seats: a first layer.
	bridged = 0.15

	// standMargin is how far inside its resting face, mm, the middle of mass must
	// stand over for a piece not to tip.
	standMargin = 0.3
)

// pose finds how the piece lies best: on its underside where that is level, else
// on the face of its hull that it stands on with the least overhang.
func (p *Print) pose(ctx context.Context, plan *units.Plan) (Pose, error) {
	floor := bridged + math.Max(math.Max(plan.Engrave.Depth, plan.Printer.EngraveDepth), plan.Practice.Kit.Clearance)
	if p.Unit.Rise.Profile == nil {
		pose := Pose{Text: "flat side down", turn: mgl64.Ident3()}
		pose.Overhang, pose.Rests = overhang(p.Mesh, pose.turn, floor)
		pose.Supports = pose.Overhang > leastSupport
		return pose, nil
	}
	var best Pose
	resting, err := rests(ctx, p.Mesh)
	for i, r := range resting {
		pose := Pose{turn: r.turn(), Rests: r.area}
		pose.Overhang, _ = overhang(p.Mesh, pose.turn, floor)
		// A square millimetre of resting face is worth one of overhang: what stands
		// on next to nothing comes off the bed.
		if i == 0 || pose.Overhang-pose.Rests < best.Overhang-best.Rests {
			best = pose
		}
	}
	up := best.turn.Mul3x1(mgl64.Vec3{0, 0, 1})[2]
	best.Tilt = math.Acos(math.Min(math.Max(up, -1), 1)) * 180 / math.Pi
	switch {
	case best.Tilt < 1:
		best.Text = "flat side down"
	case best.Tilt > 179:
		best.Text = "turned over, its lateral side down"
	case best.Tilt > 90:
		best.Text = fmt.Sprintf("turned over, its lateral side down, tilted by %.0f degrees", 180-best.Tilt)
	default:
		best.Text = fmt.Sprintf("underside down, tilted by %.0f degrees", best.Tilt)
	}
	best.Supports = best.Overhang > leastSupport
	return best, err
}

// overhang returns the area of faces that hang over, seen from above, mm²,
// higher than floor over the bed, and the area that lies on it.
func overhang(m *mesh.Mesh, turn mgl64.Mat3, floor float64) (hangs, rests float64) {
	down := turn.Transpose().Mul3x1(mgl64.Vec3{0, 0, -1})
	lowest := math.Inf(-1)
	for _, v := range m.Vertices {
		lowest = math.Max(lowest, v.Dot(down))
	}
	steep := math.Sin(overhangDegrees * math.Pi / 180)
	const onBed = 0.02 // mm
	for _, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		twice := b.Sub(a).Cross(c.Sub(a))
		facing := twice.Dot(down)
		if facing <= steep*twice.Len() {
			continue
		}
		switch over := lowest - a.Add(b).Add(c).Mul(1.0/3).Dot(down); {
		case over > floor:
			hangs += facing / 2
		case over < onBed:
			rests += facing / 2
		}
	}
	return hangs, rests
}

// lieDown turns the mesh as it lies on the bed. Quarter turns and turning over
// are exact; after any other turn vertices are rounded to what a file stores,
// and should that make faces cross, the turned solid is contoured anew.
func (p *Print) lieDown(ctx context.Context, plan *units.Plan) error {
	p.Printed, p.OnBed = turned(p.Mesh, p.Pose.turn), p.Verdict
	var err error
	if p.Printed != p.Mesh {
		if p.OnBed, err = mesh.JudgeContext(ctx, p.Printed); err != nil {
			return err
		}
	}
	if !p.OnBed.Sound() {
		if p.Printed, p.OnBed, err = p.surface(ctx, turnedField{p.Solid, p.Pose.turn}, plan); err != nil {
			return fmt.Errorf("kit: %s as it is printed: %w", p.Name, err)
		}
	}
	lo, hi := p.Printed.Bounds()
	p.Footprint = [2]float64{hi[0] - lo[0], hi[1] - lo[1]}
	p.Height = hi[2] - lo[2]
	return nil
}

// turned returns the mesh turned about the origin, its coordinates rounded to
// numbers that a float32 holds.
func turned(m *mesh.Mesh, turn mgl64.Mat3) *mesh.Mesh {
	if turn == mgl64.Ident3() {
		return m
	}
	to := &mesh.Mesh{Vertices: make([]mgl64.Vec3, len(m.Vertices)), Triangles: m.Triangles}
	for i, v := range m.Vertices {
		w := turn.Mul3x1(v)
		for k := range w {
			to.Vertices[i][k] = float64(float32(w[k]))
		}
	}
	return to
}

// turnedField is a solid turned about the origin.
type turnedField struct {
	field.Field
	turn mgl64.Mat3
}

// boxUnder returns the box around a box turned.
func boxUnder(turn mgl64.Mat3, box field.Box) field.Box {
	centre := turn.Mul3x1(box.Centre())
	half := box.Max.Sub(box.Min).Mul(0.5)
	var reach mgl64.Vec3
	for row := range 3 {
		for column := range 3 {
			reach[row] += math.Abs(turn.At(row, column)) * half[column]
		}
	}
	return field.Box{Min: centre.Sub(reach), Max: centre.Add(reach)}
}

// Bounds returns a box around the turned box.
func (t turnedField) Bounds() field.Box { return boxUnder(t.turn, t.Field.Bounds()) }

// Range asks the solid about a box around the box turned back.
func (t turnedField) Range(box field.Box) (lo, hi float64) {
	return t.Field.Range(boxUnder(t.turn.Transpose(), box))
}

func (t turnedField) back(points []mgl64.Vec3) []mgl64.Vec3 {
	back := t.turn.Transpose()
	to := make([]mgl64.Vec3, len(points))
	for i, p := range points {
		to[i] = back.Mul3x1(p)
	}
	return to
}

// Distances asks the solid at the points turned back.
func (t turnedField) Distances(points []mgl64.Vec3, out []float64) {
	t.Field.Distances(t.back(points), out)
}

// Gradients turns the solid's gradients.
func (t turnedField) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	t.Field.Gradients(t.back(points), out, gradient)
	for i, g := range gradient[:len(points)] {
		gradient[i] = t.turn.Mul3x1(g)
	}
}

// rest is a face of a mesh's convex hull that it can stand on.
type rest struct {
	normal mgl64.Vec3 // outward
	area   float64    // of what is on the face, mm²
}

// turn returns the rotation that lays the face down.
func (r rest) turn() mgl64.Mat3 {
	const level = 1e-6 // radians: rounding of a level face
	switch {
	case r.normal[2] < -1+level*level:
		return mgl64.Ident3()
	case r.normal[2] > 1-level*level:
		return mgl64.Mat3FromCols(mgl64.Vec3{1, 0, 0}, mgl64.Vec3{0, -1, 0}, mgl64.Vec3{0, 0, -1})
	}
	return mgl64.QuatBetweenVectors(r.normal, mgl64.Vec3{0, 0, -1}).Mat4().Mat3()
}

// mostRests bounds the poses looked at, the broadest faces first.
const mostRests = 24

// rests returns the faces of the hull that the mesh stands on without tipping,
// the broadest first; the broadest of all if there is none.
func rests(ctx context.Context, m *mesh.Mesh) ([]rest, error) {
	points, err := extremes(ctx, m)
	if err != nil {
		return nil, err
	}
	faces := hullOf(points)
	for _, z := range []float64{-1, 1} { // as drawn, and turned over
		f := hullFace{normal: mgl64.Vec3{0, 0, z}, offset: math.Inf(-1)}
		for _, p := range points {
			f.offset = math.Max(f.offset, z*p[2])
		}
		faces = append([]hullFace{f}, faces...)
	}
	var all []rest
	var apart []hullFace // no two of which are one
	for _, f := range faces {
		if !slices.ContainsFunc(all, func(o rest) bool { return o.normal.Dot(f.normal) > sameFace }) {
			all, apart = append(all, rest{normal: f.normal}), append(apart, f)
		}
	}
	middle := middleOfMass(m)
	err = workers.Bands(ctx, "resting faces", len(all), facesABand, func(from, to int) error {
		for i := from; i < to; i++ {
			all[i].area = standing(m.Vertices, middle, apart[i])
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(all, func(a, b rest) int { return cmp.Compare(b.area, a.area) })
	if len(all) > mostRests {
		all = all[:mostRests]
	}
	stable := slices.DeleteFunc(slices.Clone(all), func(r rest) bool { return r.area == 0 })
	if len(stable) == 0 {
		return all[:1], nil
	}
	return stable, nil
}

// facesABand is how many faces of a hull one core looks at at a time.
const facesABand = 20

// sameFace is the cosine of half a degree: faces of the hull nearer to one
// another are one.
var sameFace = math.Cos(0.5 * math.Pi / 180)

// middleOfMass returns the centre of the volume, mm.
func middleOfMass(m *mesh.Mesh) mgl64.Vec3 {
	var sum mgl64.Vec3
	volume := 0.0
	for _, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		v := a.Dot(b.Cross(c))
		volume += v
		sum = sum.Add(a.Add(b).Add(c).Mul(v / 4))
	}
	return sum.Mul(1 / volume)
}
