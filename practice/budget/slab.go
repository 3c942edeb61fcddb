package budget

import (
	"fmt"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
	"earframe/template"
)

// slab is what a piece offers to units of one height.
type slab struct {
	outer  *known
	holes  []*obstacle
	margin float64 // to be kept to its edge, mm
	none   bool    // whether the piece is nowhere that thick
}

// slab returns the piece's slab of the height. Where the piece is nowhere that
// thick, it is one at the middle of the piece that holds nothing.
func (t *table) slab(p *piece, height float64) (*slab, error) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if s, made := p.slabs[height]; made {
		return s, nil
	}
	s := &slab{margin: t.margin}
	outlines := []template.Outline{p.stock.Outline}
	if p.stock.Slab == nil {
		s.margin += p.stock.inset(height)
	} else {
		var err error
		if outlines, err = p.stock.Slab(height); err != nil {
			return nil, fmt.Errorf("piece %s, a slab of %g mm: %w", p.stock.Name, height, err)
		}
		if len(outlines) == 0 {
			outlines, s.none = []template.Outline{speck(p.shape.centre)}, true
		}
	}
	var outer [][]mgl64.Vec2
	for _, o := range outlines {
		outer = append(outer, o.Outer)
		holes, err := holesOf(o, s.margin)
		if err != nil {
			return nil, fmt.Errorf("piece %s, a slab of %g mm: %w", p.stock.Name, height, err)
		}
		s.holes = append(s.holes, holes...)
	}
	region, err := field.NewRegion(outer...)
	if err != nil {
		return nil, fmt.Errorf("piece %s, a slab of %g mm: %w", p.stock.Name, height, err)
	}
	s.outer = newKnown(region)
	p.slabs[height] = s
	return s, nil
}

// heightSpare returns the piece's thickness beyond a slab of the height, mm;
// where slabs are given, 0 if the piece is that thick somewhere only.
func (t *table) heightSpare(p *piece, height float64) (float64, error) {
	spare := p.stock.Thickness - height
	if p.stock.Slab == nil || spare >= 0 {
		return spare, nil
	}
	s, err := t.slab(p, height)
	if err != nil || s.none {
		return spare, err
	}
	return 0, nil
}

// speck returns a triangle that no unit fits in.
func speck(at mgl64.Vec2) template.Outline {
	return template.Outline{ID: "speck", Outer: template.Ring{
		at.Add(mgl64.Vec2{-speckSize, -speckSize}), at.Add(mgl64.Vec2{speckSize, -speckSize}),
		at.Add(mgl64.Vec2{0, speckSize}),
	}}
}

// speckSize is far below anything carved, mm.
const speckSize = 0.01
