package pocket

import (
	"context"
	"fmt"
	"image/color"
	"math"

	"earframe/membrane"
	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/mesh/simplify"

	"github.com/go-gl/mathgl/mgl64"
)

// The skin's model: the healed ear's outside standing on a plate of untouched
// skin, to be held. The deep surface is read at a finer spacing than it was
// solved on, where rims lie between the nodes of the grid.
const (
	modelStride    = 4    // heights of the outside are read so many times closer than triangles are wide
	modelSurround  = 6.0  // mm of untouched skin around the pocket
	modelPlate     = 2.0  // mm under the bed
	modelTolerance = 0.02 // of simplification, mm
)

// SkinModel returns the skin on its base plate as a closed mesh, judged. z = 0
// is the bed. ctx ends the work early with its error.
func (r *Result) SkinModel(ctx context.Context) (meshfile.Object, error) {
	raw, err := r.skinSolid(ctx)
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

// skinSolid returns what lies between the skin's outside and the plate's underside.
func (r *Result) skinSolid(ctx context.Context) (*mesh.Mesh, error) {
	lo, hi := r.edge.Bounds()
	surround := mgl64.Vec2{modelSurround, modelSurround}
	lo, hi = lo.Sub(surround), hi.Add(surround)
	grid := membrane.Grid{
		Origin: lo, Step: r.options.ModelStep / modelStride,
		Columns: int(math.Ceil((hi[0]-lo[0])/r.options.ModelStep))*modelStride + 1,
		Rows:    int(math.Ceil((hi[1]-lo[1])/r.options.ModelStep))*modelStride + 1,
	}
	outside, err := r.Drape.Outside(ctx, grid, max(r.Plan.Skin.Lateral, 0))
	if err != nil {
		return nil, err
	}
	return outside.Solid(ctx, modelStride, modelPlate)
}
