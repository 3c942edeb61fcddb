package pocket

import (
	"context"

	"earframe/assemble"
	"earframe/internal/kept"
	"earframe/membrane"
)

// What a depth map and a drape hold, about.
const (
	bytesPerDepth = 16  // two heights
	bytesPerNode  = 400 // of a drape: heights, net, cells and what was measured on them
)

// mapDepth maps the framework, or takes the map from what is kept. keys are those of
// its solids.
func (r *Result) mapDepth(ctx context.Context, keys []kept.Key) (*assemble.DepthMap, error) {
	bytes := func(m *assemble.DepthMap) int64 { return bytesPerDepth * int64(len(m.Top)) }
	key := kept.KeyOf("depth", keys, r.options.MapStep)
	return kept.Get(ctx, r.options.Kept, key, bytes, func(ctx context.Context) (*assemble.DepthMap, error) {
		return assemble.Depth(ctx, r.Field, r.options.MapStep)
	})
}

// lay lays the skin, or takes the drape from what is kept.
func (r *Result) lay(ctx context.Context, keys []kept.Key) (err error) {
	var edge []float64
	for _, p := range r.Outline.Outer {
		edge = append(edge, p[0], p[1])
	}
	grid := r.drapeOptions().Step
	key := kept.KeyOf("drape", keys, r.Depth.Bed, edge, r.Plan.Pocket.BridgingRadius, grid)
	bytes := func(d *membrane.Drape) int64 { return bytesPerNode * int64(len(d.Heights)) }
	r.Drape, err = kept.Get(ctx, r.options.Kept, key, bytes, func(ctx context.Context) (*membrane.Drape, error) {
		return membrane.Lay(ctx, r.laid(), r.drapeOptions())
	})
	if err != nil {
		return r.inWords(err)
	}
	thickness := r.Plan.Skin.Lateral
	if thickness <= 0 {
		return nil
	}
	key = kept.KeyOf("skin", key, thickness)
	outside := func(*membrane.Skin) int64 { return bytes(r.Drape) }
	r.Skin, err = kept.Get(ctx, r.options.Kept, key, outside, func(ctx context.Context) (*membrane.Skin, error) {
		return r.Drape.Skin(ctx, thickness)
	})
	return err
}
