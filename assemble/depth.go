package assemble

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"

	"earframe/field"
	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// DepthMap is the top and the underside of a framework over the bed on a regular
// grid, taken from the field itself: exact up to rounding where units are prisms
// and recesses, on slopes and rounded edges as on flats, and to a hundredth of a
// millimetre where a notch has clearance. Row 0 is the most inferior one, column
// 0 the one at the lowest x.
type DepthMap struct {
	Origin        mgl64.Vec2 // place of the first value, mm
	Step          float64    // between values, mm
	Columns, Rows int
	Top           []float64 // mm over the bed, row by row; NaN where there is no framework
	Underside     []float64 // of the lowest unit there, mm over the bed; NaN likewise
	Bed           float64   // height of the bed in the units' coordinates, mm
}

// mostDepths bounds the grid, so that a wrong step is an error and not an
// exhausted memory: 20 million places take 320 MB.
const mostDepths = 20e6

// Depth maps a framework's field at the step, mm. The bed is put at the lowest
// underside that the grid finds. ctx ends the work early with its error; it is
// an error if the step is not positive or the grid would be too large, and
// ErrNoFramework if nothing is found.
func Depth(ctx context.Context, f field.Field, step float64) (*DepthMap, error) {
	m, err := newDepthMap(f, step)
	if err != nil {
		return nil, err
	}
	plumbs := sync.Pool{New: func() any { return field.NewPlumb(f) }}
	err = workers.Bands(ctx, "depth map", m.Rows, depthRows, func(from, to int) error {
		plumb := plumbs.Get().(*field.Plumb)
		defer plumbs.Put(plumb)
		for row := from; row < to; row++ {
			m.fill(plumb, row)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return m, m.layOnBed()
}

// depthRows is how many rows of a map are handed to a core at a time: a fiftieth
// of an ear at the default step.
const depthRows = 8

// newDepthMap covers the field's bounds with a grid at whole multiples of the
// step, so that maps at different steps share places.
func newDepthMap(f field.Field, step float64) (*DepthMap, error) {
	if !(step > 0) || math.IsInf(step, 0) {
		return nil, fmt.Errorf("assemble: a depth map's step is %g mm; a positive one is expected", step)
	}
	bounds := f.Bounds()
	m := &DepthMap{Step: step}
	var count [2]float64
	for k := range count {
		first, last := math.Floor(bounds.Min[k]/step), math.Ceil(bounds.Max[k]/step)
		m.Origin[k], count[k] = first*step, last-first+1
	}
	if !(count[0] >= 1 && count[1] >= 1 && count[0]*count[1] <= mostDepths) {
		return nil, fmt.Errorf("assemble: a depth map of %g × %g values; at most %g are made: take a coarser step than %g mm",
			count[0], count[1], float64(mostDepths), step)
	}
	m.Columns, m.Rows = int(count[0]), int(count[1])
	m.Top, m.Underside = make([]float64, m.Columns*m.Rows), make([]float64, m.Columns*m.Rows)
	return m, nil
}

func (m *DepthMap) fill(plumb *field.Plumb, row int) {
	for column := range m.Columns {
		k := row*m.Columns + column
		p := m.Place(k)
		m.Top[k], m.Underside[k] = math.NaN(), math.NaN()
		if spans := plumb.Spans(p[0], p[1]); len(spans) > 0 {
			m.Underside[k], m.Top[k] = spans[0].Low, spans[len(spans)-1].High
		}
	}
}

// ErrNoFramework says that a map holds no framework.
var ErrNoFramework = errors.New("assemble: no framework lies on the grid; a finer step or a larger unit is needed")

// layOnBed counts heights from the lowest underside.
func (m *DepthMap) layOnBed() error {
	m.Bed = math.Inf(1)
	for _, z := range m.Underside {
		if z < m.Bed { // never for NaN
			m.Bed = z
		}
	}
	if math.IsInf(m.Bed, 1) {
		return ErrNoFramework
	}
	for k := range m.Top {
		m.Top[k] -= m.Bed
		m.Underside[k] -= m.Bed
	}
	return nil
}

// Place returns where value k lies, mm.
func (m *DepthMap) Place(k int) mgl64.Vec2 {
	return mgl64.Vec2{
		m.Origin[0] + float64(k%m.Columns)*m.Step,
		m.Origin[1] + float64(k/m.Columns)*m.Step,
	}
}

// Highest returns the largest height over the bed, mm, and where it is.
func (m *DepthMap) Highest() (height float64, at mgl64.Vec2) {
	height = math.Inf(-1)
	for k, z := range m.Top {
		if z > height {
			height, at = z, m.Place(k)
		}
	}
	return height, at
}

// Top is the height of a framework over the bed at any place: what skin laid
// over it rests on. It is safe for concurrent use.
type Top struct {
	field  field.Field
	bed    float64
	plumbs sync.Pool
}

// NewTop returns the top of a field over a bed at the height, mm.
func NewTop(f field.Field, bed float64) *Top {
	return &Top{field: f, bed: bed, plumbs: sync.Pool{New: func() any { return field.NewPlumb(f) }}}
}

// Bounds returns a rectangle outside of which there is no framework, mm.
func (t *Top) Bounds() (lo, hi mgl64.Vec2) {
	bounds := t.field.Bounds()
	return bounds.Min.Vec2(), bounds.Max.Vec2()
}

// Heights writes the height over the bed at points[i], mm, to out[i]; 0 where
// there is no framework.
func (t *Top) Heights(points []mgl64.Vec2, out []float64) {
	plumb := t.plumbs.Get().(*field.Plumb)
	defer t.plumbs.Put(plumb)
	for i, p := range points {
		out[i] = 0
		if spans := plumb.Spans(p[0], p[1]); len(spans) > 0 {
			out[i] = spans[len(spans)-1].High - t.bed
		}
	}
}
