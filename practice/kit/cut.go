package kit

import (
	"fmt"
	"math"

	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Cut is where a piece too large for the bed is cut in two.
type Cut struct {
	Axis  string  `json:"axis"`     // x or y: what the cut is square to, as the piece lies on the bed
	At    float64 `json:"at_mm"`    // from the piece's lowest corner there
	Parts int     `json:"parts"`    // that it makes
	Fits  bool    `json:"fits_bed"` // whether they then fit
}

// tooLarge says that a piece does not fit the bed and where it could be cut.
func (k *Kit) tooLarge(p *Piece) units.Finding {
	size := p.Footprint
	axis, names := 0, [2]string{"x", "y"}
	if size[1] > size[0] {
		axis = 1
	}
	cut := &Cut{Axis: names[axis], At: size[axis] / 2, Parts: 2}
	half := size
	half[axis] /= 2
	long, short := math.Max(half[0], half[1]), math.Min(half[0], half[1])
	cut.Fits = long <= math.Max(k.Bed[0], k.Bed[1]) && short <= math.Min(k.Bed[0], k.Bed[1])
	p.Cut = cut
	at := mgl64.Vec3{}
	return units.Finding{
		Severity: units.Error, Unit: p.Unit.Name, At: &at,
		Message: fmt.Sprintf("its print of %.1f × %.1f mm does not fit a bed of %g × %g mm", size[0], size[1], k.Bed[0], k.Bed[1]),
		Value:   math.Max(size[0], size[1]), Limit: math.Max(k.Bed[0], k.Bed[1]), Measure: "mm",
		Advice: "Give kit.bed the size of a larger printer.",
	}
}
