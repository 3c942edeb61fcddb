package sheet

import (
	"fmt"

	"earframe/units"
)

// paper is a size of paper, mm.
type paper struct{ width, height float64 }

// The papers known: ISO 216 A4, and ANSI/ASME Y14.1 size A (letter, 8.5 × 11 in).
var papers = map[string]paper{
	units.A4:     {210, 297},
	units.Letter: {215.9, 279.4},
}

func paperOf(name string) (paper, error) {
	if p, ok := papers[name]; ok {
		return p, nil
	}
	return paper{}, fmt.Errorf("practice.sheets.paper: %q is not known: give %s or %s", name, units.A4, units.Letter)
}

// margin is kept free on every side, mm: common office printers reach to about
// 4 mm of the edge, some to 6 mm only (common practice, no source).
const margin = 10

// rectangle is an upright rectangle on a page, y downward.
type rectangle struct{ left, top, right, bottom float64 }

func (r rectangle) width() float64  { return r.right - r.left }
func (r rectangle) height() float64 { return r.bottom - r.top }

// overlaps reports whether two rectangles share more than an edge.
func (r rectangle) overlaps(o rectangle) bool {
	return r.left < o.right && o.left < r.right && r.top < o.bottom && o.top < r.bottom
}

// printable is the paper within its margin.
func (p paper) printable() rectangle {
	return rectangle{margin, margin, p.width - margin, p.height - margin}
}
