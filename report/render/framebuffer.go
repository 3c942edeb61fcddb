package render

import (
	"context"
	"image"
	"image/color"
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/internal/workers"
)

// bandRows is the height of the bands of rows that workers take. It is fixed,
// so that nothing drawn depends on the number of workers.
const bandRows = 32

// samples is how many samples a pixel has along each of its sides.
const samples = 2

// Marks of an empty sample.
const (
	noFace = int32(-1)
	farOff = float32(-math.MaxFloat32)
)

// Framebuffer is what the camera sees, sample by sample: the nearest face, its height
// toward the viewer in millimetres, and the unit shading normal in camera axes,
// never turned away from the viewer.
type Framebuffer struct {
	width, height int     // in samples
	pitch         float32 // millimetres between samples
	face          []int32
	depth         []float32
	normal        [][3]float32
	cue           *cue
}

// NewFramebuffer returns one for drawings of so many pixels.
func NewFramebuffer(width, height int) *Framebuffer {
	width, height = width*samples, height*samples
	n := width * height
	p := &Framebuffer{width: width, height: height,
		face: make([]int32, n), depth: make([]float32, n), normal: make([][3]float32, n)}
	p.cue = newCue(p)
	return p
}

// Shot is one way of drawing a scene.
type Shot struct {
	Scene      *Scene
	Camera     Camera
	Framing    Framing
	Shifts     []mgl64.Vec3 // an object each, in millimetres
	Colors     []color.RGBA // an object each
	Paper, Ink color.RGBA   // what is behind the objects, and what edges are drawn with
}

// Draw draws the shot, shaded and with its edges drawn, into the picture with its
// upper left corner at the given place. ctx ends the work early with its error.
func (p *Framebuffer) Draw(ctx context.Context, shot *Shot, into *image.RGBA, at image.Point) error {
	if err := p.rasterise(ctx, shot.Scene, shot.Camera, shot.Framing, shot.Shifts); err != nil {
		return err
	}
	lamps := studio(shot.Camera)
	if err := p.cue.measure(ctx, p, lamps.toKey); err != nil {
		return err
	}
	return p.shade(ctx, shot, lamps, into, at)
}

// Framing places camera millimetres on the framebuffer: sample x = originX + scale·right,
// sample y = originY − scale·up.
type Framing struct {
	originX, originY float64
	scale            float64 // samples per millimetre
}

// Centre frames a scene, each object moved by its shift, in the middle of the
// drawing at a scale in pixels per millimetre.
func (p *Framebuffer) Centre(s *Scene, c Camera, shifts []mgl64.Vec3, scale float64) Framing {
	lo, hi := c.Extent(s, shifts)
	scale *= samples
	return Framing{scale: scale,
		originX: float64(p.width)/2 - scale*(lo[0]+hi[0])/2,
		originY: float64(p.height)/2 + scale*(lo[1]+hi[1])/2,
	}
}

// Left returns the framing so many pixels further to the left.
func (f Framing) Left(pixels int) Framing {
	f.originX -= float64(samples * pixels)
	return f
}

// Pixel returns where in the drawing a point given in camera axes falls.
func (f Framing) Pixel(seen mgl64.Vec3) (x, y float64) {
	return (f.originX + f.scale*seen[0]) / samples, (f.originY - f.scale*seen[1]) / samples
}

// Sees reports whether nothing in the framebuffer hides a point given in camera axes.
func (p *Framebuffer) Sees(f Framing, seen mgl64.Vec3) bool {
	x := int(math.Round(f.originX + f.scale*seen[0]))
	y := int(math.Round(f.originY - f.scale*seen[1]))
	if x < 0 || y < 0 || x >= p.width || y >= p.height {
		return true
	}
	const skin = 0.3 // mm; a point on the surface itself is seen
	return p.face[y*p.width+x] == noFace || float64(p.depth[y*p.width+x]) < seen[2]+skin
}

// rasterise draws the scene, each object moved by its shift, onto the framebuffer. A
// band of rows is drawn by one worker, faces in their order, the first of
// equally near ones winning: so the result is the same on any number of cores.
func (p *Framebuffer) rasterise(ctx context.Context, s *Scene, c Camera, f Framing, shifts []mgl64.Vec3) error {
	p.pitch = float32(1 / f.scale)
	placed := make([]mgl64.Vec3, len(s.points))
	for i, part := range s.spans {
		shift := c.See(shifts[i])
		for k := part.first; k < part.last; k++ {
			q := c.See(s.points[k]).Add(shift)
			placed[k] = mgl64.Vec3{f.originX + f.scale*q[0], f.originY - f.scale*q[1], q[2]}
		}
	}
	start, listed := p.binFaces(s, c, placed)
	return workers.Bands(ctx, "drawing faces", p.height, bandRows, func(first, last int) error {
		band := first / bandRows
		for i := first * p.width; i < last*p.width; i++ {
			p.face[i], p.depth[i] = noFace, farOff
		}
		for _, face := range listed[start[band]:start[band+1]] {
			t := s.faces[face]
			p.drawFace(face, placed[t[0]], placed[t[1]], placed[t[2]], first, last)
		}
		p.addNormals(s, c, placed, first, last)
		return nil
	})
}

// binFaces lists the faces of every band of rows, in their own order, without those
// that their own solid hides.
func (p *Framebuffer) binFaces(s *Scene, c Camera, placed []mgl64.Vec3) (start, listed []int32) {
	bands := (p.height + bandRows - 1) / bandRows
	rangeOf := func(f int, t [3]int32) (int, int) {
		if s.hides(int32(f), c) {
			return 0, -1
		}
		a, b, c := placed[t[0]][1], placed[t[1]][1], placed[t[2]][1]
		first := int(math.Ceil(min(a, b, c) - edgeSlack))
		last := int(math.Floor(max(a, b, c) + edgeSlack))
		return max(0, first), min(p.height-1, last)
	}
	start = make([]int32, bands+1)
	for f, t := range s.faces {
		if first, last := rangeOf(f, t); first <= last {
			for band := first / bandRows; band <= last/bandRows; band++ {
				start[band+1]++
			}
		}
	}
	for band := range bands {
		start[band+1] += start[band]
	}
	listed = make([]int32, start[bands])
	filled := append([]int32(nil), start[:bands]...)
	for f, t := range s.faces {
		if first, last := rangeOf(f, t); first <= last {
			for band := first / bandRows; band <= last/bandRows; band++ {
				listed[filled[band]] = int32(f)
				filled[band]++
			}
		}
	}
	return start, listed
}

// edgeSlack, in samples, widens every face by more than rounding can lose at
// these coordinates (2000 samples × 2⁻⁵², times a handful of steps) so that no
// sample falls between two faces that share an edge.
const edgeSlack = 1e-7

// drawFace draws those rows of a face that lie in [first, last).
func (p *Framebuffer) drawFace(face int32, a, b, c mgl64.Vec3, first, last int) {
	twice := (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
	if twice == 0 {
		return
	}
	stepX := ((b[2]-a[2])*(c[1]-a[1]) - (c[2]-a[2])*(b[1]-a[1])) / twice
	stepY := ((c[2]-a[2])*(b[0]-a[0]) - (b[2]-a[2])*(c[0]-a[0])) / twice
	nearest := float32(max(a[2], b[2], c[2]))
	furthest := float32(min(a[2], b[2], c[2]))
	top := max(first, int(math.Ceil(min(a[1], b[1], c[1])-edgeSlack)))
	bottom := min(last-1, int(math.Floor(max(a[1], b[1], c[1])+edgeSlack)))
	edges := [...]edge{newEdge(a, b), newEdge(b, c), newEdge(c, a)}
	for y := top; y <= bottom; y++ {
		lo, hi := math.Inf(1), math.Inf(-1)
		for k := range edges {
			lo, hi = edges[k].widen(float64(y), lo, hi)
		}
		if lo > hi {
			continue
		}
		from := max(0, int(math.Ceil(lo-edgeSlack)))
		to := min(p.width-1, int(math.Floor(hi+edgeSlack)))
		rowDepth := a[2] + (float64(y)-a[1])*stepY - a[0]*stepX
		for x := from; x <= to; x++ {
			// Kept within the face's own heights: a face seen on edge has a
			// gradient too steep to be trusted off its edges.
			depth := max(furthest, min(nearest, float32(rowDepth+float64(x)*stepX)))
			if i := y*p.width + x; depth > p.depth[i] {
				p.depth[i], p.face[i] = depth, face
			}
		}
	}
}

// edge is one side of a face, from its upper end (on the page) to its lower.
type edge struct {
	upper, lower mgl64.Vec3
	slope        float64 // samples to the right per row
}

func newEdge(p, q mgl64.Vec3) edge {
	if p[1] > q[1] { // one order for both faces of an edge: the same rounding
		p, q = q, p
	}
	if q[1]-p[1] < edgeSlack {
		return edge{upper: p, lower: q}
	}
	return edge{upper: p, lower: q, slope: (q[0] - p[0]) / (q[1] - p[1])}
}

// widen widens the interval lo to hi by where the edge meets the row y.
func (e *edge) widen(y, lo, hi float64) (float64, float64) {
	if y < e.upper[1]-edgeSlack || y > e.lower[1]+edgeSlack {
		return lo, hi
	}
	if e.lower[1]-e.upper[1] < edgeSlack {
		return min(lo, e.upper[0], e.lower[0]), max(hi, e.upper[0], e.lower[0])
	}
	x := e.upper[0] + max(0, min(y, e.lower[1])-e.upper[1])*e.slope
	return min(lo, x), max(hi, x)
}

// planesKept is how many faces' planes are remembered: the next row of samples
// asks for most of them again.
const planesKept = 1024

// addNormals fills in the shading normals of the rows [first, last).
func (p *Framebuffer) addNormals(s *Scene, c Camera, placed []mgl64.Vec3, first, last int) {
	var planes [planesKept]normalPlane
	var of [planesKept]int32
	for k := range of {
		of[k] = noFace
	}
	for y := first; y < last; y++ {
		for x := range p.width {
			i := y*p.width + x
			face := p.face[i]
			if face == noFace {
				continue
			}
			k := face % planesKept
			if of[k] != face {
				of[k], planes[k] = face, s.normalPlane(face, c, placed)
			}
			p.normal[i] = planes[k].at(float64(x), float64(y))
		}
	}
}

// normalPlane is a face's shading normal, in camera axes and turned toward the
// viewer, as a linear function of the sample's place.
type normalPlane struct {
	origin, across, down mgl64.Vec3
	same                 *[3]float32 // the normal where it does not change; nil where it does
}

// flatNormal is a normal that does not change.
func flatNormal(n mgl64.Vec3) normalPlane {
	plane := normalPlane{origin: n}
	same := plane.at(0, 0)
	plane.same = &same
	return plane
}

func (s *Scene) normalPlane(face int32, c Camera, placed []mgl64.Vec3) normalPlane {
	if c.toward.Dot(s.flat[face]) < 0 {
		c = Camera{right: c.right.Mul(-1), up: c.up.Mul(-1), toward: c.toward.Mul(-1)}
	}
	corners := &s.corners[face]
	np := c.See(corners[0])
	if corners[0] == corners[1] && corners[1] == corners[2] { // flat areas are common
		return flatNormal(np)
	}
	t := s.faces[face]
	p, q, r := placed[t[0]], placed[t[1]], placed[t[2]]
	twice := (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0])
	if math.Abs(twice) < edgeSlack {
		return flatNormal(np)
	}
	dq, dr := c.See(corners[1].Sub(corners[0])), c.See(corners[2].Sub(corners[0]))
	across := dq.Mul((r[1] - p[1]) / twice).Sub(dr.Mul((q[1] - p[1]) / twice))
	down := dr.Mul((q[0] - p[0]) / twice).Sub(dq.Mul((r[0] - p[0]) / twice))
	return normalPlane{origin: np.Sub(across.Mul(p[0])).Sub(down.Mul(p[1])), across: across, down: down}
}

func (n *normalPlane) at(x, y float64) [3]float32 {
	if n.same != nil {
		return *n.same
	}
	right := n.origin[0] + n.across[0]*x + n.down[0]*y
	up := n.origin[1] + n.across[1]*x + n.down[1]*y
	toward := n.origin[2] + n.across[2]*x + n.down[2]*y
	toward = max(toward, 0.02) // interpolation may turn it just past the rim
	scale := 1 / math.Sqrt(right*right+up*up+toward*toward)
	return [3]float32{float32(right * scale), float32(up * scale), float32(toward * scale)}
}
