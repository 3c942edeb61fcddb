package pocket

import (
	"context"
	"fmt"
	"image/color"
	"math"

	"earframe/field"
	"earframe/membrane"
	"earframe/mesh/contour"
	"earframe/mesh/meshfile"
	"earframe/mesh/simplify"

	"github.com/go-gl/mathgl/mgl64"
)

// The skin's model: the healed ear's outside standing on a plate of untouched
// skin, to be held. The deep surface is read at a finer spacing than it was
// solved on, where rims lie between the nodes of the grid; on those alone steep
// walls would come out as combs.
const (
	spacingShare   = 0.3  // of the contour's step, between heights of the outside
	modelSurround  = 6.0  // mm of untouched skin around the pocket
	modelPlate     = 2.0  // mm under the bed
	modelTolerance = 0.02 // of simplification, mm
)

// SkinModel returns the skin on its base plate as a closed mesh, judged. z = 0
// is the bed. ctx ends the work early with its error.
func (r *Result) SkinModel(ctx context.Context) (meshfile.Object, error) {
	solid, err := r.skinSolid(ctx)
	if err != nil {
		return meshfile.Object{}, fmt.Errorf("the skin's model: %w", err)
	}
	raw, err := contour.Of(ctx, solid, contour.Options{Step: r.options.ModelStep})
	if err != nil {
		return meshfile.Object{}, fmt.Errorf("the skin's model: %w", err)
	}
	simple, verdict, err := simplify.Judged(ctx, raw, simplify.Options{Tolerance: modelTolerance})
	if err != nil {
		return meshfile.Object{}, fmt.Errorf("the skin's model: %w", err)
	}
	return meshfile.Object{
		Name: "skin", Label: "Skin over the frame, on a base plate",
		Color: color.RGBA{R: 0xBB, G: 0xBB, B: 0xBB, A: 255},
		Mesh:  simple, Verdict: &verdict,
	}, nil
}

// skinSolid returns the plate with the skin's outside as its top.
func (r *Result) skinSolid(ctx context.Context) (field.Field, error) {
	lo, hi := r.edge.Bounds()
	surround := mgl64.Vec2{modelSurround, modelSurround}
	lo, hi = lo.Sub(surround), hi.Add(surround)
	spacing := r.options.ModelStep * spacingShare
	grid := membrane.Grid{
		Origin: lo, Step: spacing,
		Columns: int(math.Ceil((hi[0]-lo[0])/spacing)) + 1,
		Rows:    int(math.Ceil((hi[1]-lo[1])/spacing)) + 1,
	}
	heights, err := r.Drape.HeightsOn(ctx, grid)
	if err != nil {
		return nil, err
	}
	if thickness := r.Plan.Skin.Lateral; thickness > 0 {
		if heights, err = membrane.Dilate(ctx, grid, heights, thickness); err != nil {
			return nil, err
		}
	}
	outside, err := field.NewHeightMap(field.HeightMap{
		Origin: lo, Spacing: spacing, Columns: grid.Columns, Rows: grid.Rows, Heights: heights,
	})
	if err != nil {
		return nil, err
	}
	plate, err := field.NewRegion([]mgl64.Vec2{lo, {hi[0], lo[1]}, hi, {lo[0], hi[1]}})
	if err != nil {
		return nil, err
	}
	return field.NewPrism(field.Prism{
		Region: plate, Underside: field.Level(-modelPlate), Thickness: field.Stack(outside, field.Level(modelPlate)),
	})
}
