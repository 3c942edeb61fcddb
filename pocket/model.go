package pocket

import (
	"context"
	"fmt"
	"image/color"

	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/mesh/simplify"
)

// The skin's model: the healed ear's outside standing on a plate of untouched
// skin, to be held.
const (
	modelSurround  = 6.0   // mm of untouched skin around what is raised
	modelPlate     = 2.0   // mm under the bed
	modelTolerance = 0.005 // of simplification, mm: on upright walls more is seen as bands
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
	outside, err := r.Drape.Outside(ctx, max(r.Plan.Skin.Lateral, 0), r.options.ModelStep, modelSurround)
	if err != nil {
		return nil, err
	}
	return outside.Solid(ctx, modelPlate)
}
