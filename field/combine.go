package field

import (
	"math"
	"sync"

	"github.com/go-gl/mathgl/mgl64"
)

// scratch lends out buffers for the second operand of a batch.
type scratch struct {
	distance []float64
	gradient []mgl64.Vec3
}

var scratches = sync.Pool{New: func() any { return new(scratch) }}

// borrow returns buffers for n points; giveBack returns them to the pool.
func borrow(n int) *scratch {
	s := scratches.Get().(*scratch)
	if cap(s.distance) < n {
		s.distance = make([]float64, n)
		s.gradient = make([]mgl64.Vec3, n)
	}
	s.distance, s.gradient = s.distance[:n], s.gradient[:n]
	return s
}

func (s *scratch) giveBack() { scratches.Put(s) }

// union is the least of its fields, each of which it asks only where it can be
// the least.
type union struct {
	fields    []Field
	bounds    Box
	lipschitz float64
}

// Union returns the solid that is any of the fields. Outside it is the exact
// distance if all of them are. It panics on no fields.
func Union(fields ...Field) Field {
	if len(fields) == 1 {
		return fields[0]
	}
	u := &union{fields: fields, bounds: fields[0].Bounds()}
	for _, f := range fields {
		u.bounds = u.bounds.Join(f.Bounds())
		u.lipschitz = max(u.lipschitz, f.Lipschitz())
	}
	return u
}

func (u *union) Bounds() Box        { return u.bounds }
func (u *union) Lipschitz() float64 { return u.lipschitz }

func (u *union) Range(box Box) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(1)
	for _, f := range u.fields {
		l, h := f.Range(box)
		lo, hi = min(lo, l), min(hi, h)
	}
	return lo, hi
}

// near returns the fields that can be the least somewhere among the points.
func (u *union) near(points []mgl64.Vec3) []Field {
	box := BoxOf(points)
	lows := make([]float64, len(u.fields))
	least := math.Inf(1)
	for i, f := range u.fields {
		var high float64
		lows[i], high = f.Range(box)
		least = min(least, high)
	}
	fields := make([]Field, 0, len(u.fields))
	for i, f := range u.fields {
		if lows[i] <= least+rangeSlack {
			fields = append(fields, f)
		}
	}
	return fields
}

// rangeSlack, in mm, allows for the rounding of a Range's two ends, which a
// batch of a single point can turn round.
const rangeSlack = 1e-9

func (u *union) Distances(points []mgl64.Vec3, out []float64) {
	if len(points) == 0 {
		return
	}
	fields := u.near(points)
	fields[0].Distances(points, out)
	if len(fields) == 1 {
		return
	}
	s := borrow(len(points))
	defer s.giveBack()
	for _, f := range fields[1:] {
		f.Distances(points, s.distance)
		for i, d := range s.distance {
			out[i] = min(out[i], d)
		}
	}
}

func (u *union) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	if len(points) == 0 {
		return
	}
	fields := u.near(points)
	fields[0].Gradients(points, out, gradient)
	if len(fields) == 1 {
		return
	}
	s := borrow(len(points))
	defer s.giveBack()
	for _, f := range fields[1:] {
		f.Gradients(points, s.distance, s.gradient)
		for i, d := range s.distance {
			if d < out[i] {
				out[i], gradient[i] = d, s.gradient[i]
			}
		}
	}
}

// Levels returns the level faces of all fields.
func (u *union) Levels() []float64 { return levelsOf(u.fields...) }

func levelsOf(fields ...Field) []float64 {
	var levels []float64
	for _, f := range fields {
		levels = append(levels, f.Levels()...)
	}
	return levels
}

// difference is a without b.
type difference struct{ a, b Field }

// Difference returns the solid that is a and not b.
func Difference(a, b Field) Field { return &difference{a, b} }

func (d *difference) Bounds() Box { return d.a.Bounds() }

func (d *difference) Lipschitz() float64 {
	return max(d.a.Lipschitz(), d.b.Lipschitz())
}

func (d *difference) Range(box Box) (lo, hi float64) {
	aLow, aHigh := d.a.Range(box)
	bLow, bHigh := d.b.Range(box)
	return max(aLow, -bHigh), max(aHigh, -bLow)
}

func (d *difference) Distances(points []mgl64.Vec3, out []float64) {
	if len(points) == 0 {
		return
	}
	d.a.Distances(points, out)
	if d.outOfReach(points) {
		return
	}
	s := borrow(len(points))
	defer s.giveBack()
	d.b.Distances(points, s.distance)
	for i, b := range s.distance {
		out[i] = max(out[i], -b)
	}
}

// outOfReach reports whether b cannot matter at any of the points.
func (d *difference) outOfReach(points []mgl64.Vec3) bool {
	box := BoxOf(points)
	low, _ := d.b.Range(box)
	least, _ := d.a.Range(box)
	return -low < least-rangeSlack
}

func (d *difference) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	if len(points) == 0 {
		return
	}
	d.a.Gradients(points, out, gradient)
	if d.outOfReach(points) {
		return
	}
	s := borrow(len(points))
	defer s.giveBack()
	d.b.Gradients(points, s.distance, s.gradient)
	for i, b := range s.distance {
		if -b > out[i] {
			out[i], gradient[i] = -b, s.gradient[i].Mul(-1)
		}
	}
}

func (d *difference) Levels() []float64 { return levelsOf(d.a, d.b) }

// intersection is what two fields share.
type intersection struct{ a, b Field }

// Intersection returns the solid that is in both a and b.
func Intersection(a, b Field) Field { return &intersection{a, b} }

func (i *intersection) Bounds() Box {
	a, b := i.a.Bounds(), i.b.Bounds()
	for k := range a.Min {
		a.Min[k] = max(a.Min[k], b.Min[k])
		a.Max[k] = max(a.Min[k], min(a.Max[k], b.Max[k]))
	}
	return a
}

func (i *intersection) Lipschitz() float64 { return max(i.a.Lipschitz(), i.b.Lipschitz()) }

func (i *intersection) Range(box Box) (lo, hi float64) {
	aLow, aHigh := i.a.Range(box)
	bLow, bHigh := i.b.Range(box)
	return max(aLow, bLow), max(aHigh, bHigh)
}

func (i *intersection) Distances(points []mgl64.Vec3, out []float64) {
	s := borrow(len(points))
	defer s.giveBack()
	i.a.Distances(points, out)
	i.b.Distances(points, s.distance)
	for k, b := range s.distance {
		out[k] = max(out[k], b)
	}
}

func (i *intersection) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	s := borrow(len(points))
	defer s.giveBack()
	i.a.Gradients(points, out, gradient)
	i.b.Gradients(points, s.distance, s.gradient)
	for k, b := range s.distance {
		if b > out[k] {
			out[k], gradient[k] = b, s.gradient[k]
		}
	}
}

func (i *intersection) Levels() []float64 { return levelsOf(i.a, i.b) }

// offset is a field with its surface moved outward.
type offset struct {
	field  Field
	radius float64
}

// Offset returns the solid grown by radius mm, or shrunk by a negative one. It
// is the exact dilation by a ball where the field is the exact distance.
func Offset(f Field, radius float64) Field {
	if radius == 0 {
		return f
	}
	return &offset{f, radius}
}

func (o *offset) Bounds() Box {
	return o.field.Bounds().Grow(max(o.radius, 0) * o.field.Lipschitz())
}
func (o *offset) Lipschitz() float64 { return o.field.Lipschitz() }

func (o *offset) Range(box Box) (lo, hi float64) {
	lo, hi = o.field.Range(box)
	return lo - o.radius, hi - o.radius
}

func (o *offset) Distances(points []mgl64.Vec3, out []float64) {
	o.field.Distances(points, out)
	for i := range points {
		out[i] -= o.radius
	}
}

func (o *offset) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	o.field.Gradients(points, out, gradient)
	for i := range points {
		out[i] -= o.radius
	}
}

// Levels returns where the level faces may have moved: which way a face looks
// is not known here, so both ways count.
func (o *offset) Levels() []float64 {
	var levels []float64
	for _, z := range o.field.Levels() {
		levels = append(levels, z-o.radius, z+o.radius)
	}
	return levels
}
