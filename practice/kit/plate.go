package kit

import (
	"cmp"
	"context"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"

	"earframe/mesh/meshfile"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// spot is where a piece stands on a plate: the corner of its footprint, mm.
type spot struct {
	piece, plate int
	corner       mgl64.Vec2
}

// layOut places the pieces on plates, turned about the vertical where they fit
// only so.
func (k *Kit) layOut(ctx context.Context, plan *units.Plan) error {
	var fitting []int
	for i := range k.Pieces {
		p := &k.Pieces[i]
		turn, ok := k.fitting(p)
		if !ok {
			continue // there is a finding about it already
		}
		if turn != mgl64.Ident3() {
			p.Pose.turn = turn.Mul3(p.Pose.turn)
			if err := p.lieDown(ctx, plan); err != nil {
				return err
			}
		}
		fitting = append(fitting, i)
	}
	// In the order of assembly, unless the deepest first takes fewer plates.
	spots := k.shelves(fitting)
	deepest := slices.Clone(fitting)
	slices.SortStableFunc(deepest, func(a, b int) int {
		return cmp.Compare(k.Pieces[b].Footprint[1], k.Pieces[a].Footprint[1])
	})
	if other := k.shelves(deepest); plates(other) < plates(spots) {
		spots = other
	}
	k.Plates = make([]Plate, plates(spots))
	for _, s := range spots {
		plate := &k.Plates[s.plate]
		plate.Objects = append(plate.Objects, k.Pieces[s.piece].object(s.corner))
		plate.Pieces = append(plate.Pieces, s.piece)
	}
	return nil
}

// fitting returns the turn about the vertical with which a piece fits the bed:
// none, a quarter, or the first of others that does.
func (k *Kit) fitting(p *Print) (mgl64.Mat3, bool) {
	fits := func(width, depth float64) bool { return width+rounded <= k.Bed[0] && depth+rounded <= k.Bed[1] }
	switch {
	case fits(p.Footprint[0], p.Footprint[1]):
		return mgl64.Ident3(), true
	case fits(p.Footprint[1], p.Footprint[0]):
		return mgl64.Mat3FromCols(mgl64.Vec3{0, 1, 0}, mgl64.Vec3{-1, 0, 0}, mgl64.Vec3{0, 0, 1}), true
	}
	for degrees := 5; degrees < 180; degrees += 5 {
		turn := mgl64.Rotate3DZ(float64(degrees) * math.Pi / 180)
		if lo, hi := turned(p.Printed, turn).Bounds(); fits(hi[0]-lo[0], hi[1]-lo[1]) {
			return turn, true
		}
	}
	return mgl64.Mat3{}, false
}

// rounded is what an offset's rounding to thousandths of a millimetre, which
// 3MF keeps, may cost.
const rounded = 0.001

// shelves fills plates row by row, each as deep as its deepest piece, in the
// order given.
func (k *Kit) shelves(order []int) []spot {
	var spots []spot
	var x, y, deep float64
	plate := 0
	for _, i := range order {
		size := k.Pieces[i].Footprint
		if x > 0 && x+size[0]+rounded > k.Bed[0] {
			x, y, deep = 0, y+deep+k.Gap, 0
		}
		if y > 0 && y+size[1]+rounded > k.Bed[1] {
			x, y, deep = 0, 0, 0
			plate++
		}
		spots = append(spots, spot{i, plate, mgl64.Vec2{x, y}})
		x += size[0] + k.Gap + rounded
		deep = math.Max(deep, size[1]+rounded)
	}
	return spots
}

func plates(spots []spot) int {
	if len(spots) == 0 {
		return 0
	}
	return spots[len(spots)-1].plate + 1
}

// object returns the piece as it goes into a file, its lowest corner put there.
func (p *Print) object(corner mgl64.Vec2) meshfile.Object {
	lo, _ := p.Printed.Bounds()
	up := func(x float64) float64 { return math.Ceil(x*1000) / 1000 }
	verdict := p.OnBed
	part := strings.TrimPrefix(p.Name, p.Unit.Name)
	o := meshfile.Object{
		Name:  fmt.Sprintf("%d-%s", p.Order, p.Unit.Name) + plain.Replace(part),
		Label: fmt.Sprintf("%d %s%s", p.Order, p.Unit.Label, part),
		Color: colourOf(p.Unit), Mesh: p.Printed, Verdict: &verdict,
		Offset: mgl64.Vec3{up(corner[0] - lo[0]), up(corner[1] - lo[1]), up(-lo[2])},
	}
	return o
}

// plain makes a file's word of a part's name.
var plain = strings.NewReplacer(", ", "-", " ", "-")

// colourOf reads a part's colour.
func colourOf(u *units.Unit) color.RGBA {
	c := color.RGBA{A: 255}
	if _, err := fmt.Sscanf(u.Part.Colour(), "#%02x%02x%02x", &c.R, &c.G, &c.B); err != nil {
		return color.RGBA{128, 128, 128, 255}
	}
	return c
}
