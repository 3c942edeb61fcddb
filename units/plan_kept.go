package units

import (
	"context"

	"earframe/internal/kept"
	"earframe/template"
	"earframe/units/centreline"
)

// What takes long in planning hangs on few things: an outline's centreline on the
// outline, an allowance on the outline and its width. A planner with a store works
// them out once. What is kept is never changed.

// bytesPerPoint is what a point of an outline holds, about, with what is worked
// out of it.
const bytesPerPoint = 64

func outlineBytes(outlines []template.Outline) int64 {
	points := 0
	for _, o := range outlines {
		for _, ring := range o.Rings() {
			points += len(ring)
		}
	}
	return bytesPerPoint * int64(points)
}

// named is the key of outlines with what they are called.
func named(outlines ...template.Outline) kept.Key {
	parts := []any{outlinesKey(outlines)}
	for _, o := range outlines {
		parts = append(parts, o.ID, o.Part)
	}
	return kept.KeyOf(parts...)
}

// middle is an outline's centreline, or why it has none.
type middle struct {
	line *centreline.Line
	err  error
}

func (p *planner) centreline(ctx context.Context, o template.Outline) (*centreline.Line, error) {
	bytes := func(middle) int64 { return outlineBytes([]template.Outline{o}) }
	made, err := kept.Get(ctx, p.kept, kept.KeyOf("centreline", named(o)), bytes, func(context.Context) (middle, error) {
		line, err := centreline.New(o)
		return middle{line, err}, nil
	})
	if err != nil {
		return nil, err
	}
	return made.line, made.err
}

func (p *planner) takeOff(ctx context.Context, o template.Outline) (template.Allowance, error) {
	bytes := func(a template.Allowance) int64 { return outlineBytes(a.Outlines) }
	key := kept.KeyOf("allowance", named(o), p.Skin.Lateral)
	return kept.Get(ctx, p.kept, key, bytes, func(ctx context.Context) (template.Allowance, error) {
		return template.TakeOff(ctx, o, p.Skin.Lateral)
	})
}

func (p *planner) widen(ctx context.Context, o template.Outline) ([]template.Outline, error) {
	key := kept.KeyOf("widened", named(o), p.Skin.Lateral)
	return kept.Get(ctx, p.kept, key, outlineBytes, func(ctx context.Context) ([]template.Outline, error) {
		return template.Offset(ctx, o, p.Skin.Lateral)
	})
}

func (p *planner) join(ctx context.Context, outlines []template.Outline) ([]template.Outline, error) {
	key := kept.KeyOf("joined", named(outlines...))
	return kept.Get(ctx, p.kept, key, outlineBytes, func(ctx context.Context) ([]template.Outline, error) {
		return template.Join(ctx, outlines)
	})
}
