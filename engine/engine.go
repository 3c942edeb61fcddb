package engine

import (
	"bytes"
	"context"

	"earframe/internal/kept"
	"earframe/internal/regular"
	"earframe/template"
	"earframe/units"
	"earframe/units/casefile"
)

// Engine makes answers of cases and keeps what it made. It is safe for
// concurrent use.
type Engine struct{ kept *kept.Store }

// KeepUsual is how many bytes of what it made an engine holds when a case is
// being worked on: some ten states of a framework at the default step.
const KeepUsual = 256 << 20

// New returns an engine that keeps at most so many bytes of what it made; 0 is
// for those who make each thing once.
func New(keep int64) *Engine {
	if keep <= 0 {
		return &Engine{}
	}
	return &Engine{kept: kept.NewStore(keep)}
}

// Read reads the case file at path. All its faults are returned at once, as
// casefile.Errors.
func (e *Engine) Read(path string) (*casefile.Case, error) { return casefile.Read(path) }

// Plan plans a case. The drawing is taken apart anew only if it, or what the case
// says of how to read it, has changed. Faults of the case come as casefile.Errors,
// those of the drawing as template.Faults.
func (e *Engine) Plan(ctx context.Context, c *casefile.Case) (*units.Plan, error) {
	if e.kept == nil {
		return planAnew(ctx, c)
	}
	drawing, err := regular.Read(c.TemplateFile(), mostDrawing)
	if err != nil { // what is wrong is said by the drawing's own reader
		return planAnew(ctx, c)
	}
	key := kept.KeyOf("sheet", c.TemplateFile(), drawing, c.TemplateOptions().Key())
	sheet, err := kept.Get(ctx, e.kept, key, sheetBytes, func(ctx context.Context) (*template.Sheet, error) {
		return template.ReadFrom(ctx, bytes.NewReader(drawing), c.TemplateFile(), c.TemplateOptions())
	})
	if err != nil {
		return nil, err
	}
	key = kept.KeyOf("plan", key, c.File, c.Text())
	return kept.Get(ctx, e.kept, key, planBytes, func(ctx context.Context) (*units.Plan, error) {
		return units.NewPlanKept(ctx, c, sheet, e.kept)
	})
}

// planAnew plans a case without a look at what is kept.
func planAnew(ctx context.Context, c *casefile.Case) (*units.Plan, error) {
	sheet, err := units.ReadSheet(ctx, c)
	if err != nil {
		return nil, err
	}
	return units.NewPlan(ctx, c, sheet)
}

// mostDrawing is the size up to which a drawing is looked at here: no reader takes
// a larger one.
const mostDrawing = 64 << 20

// What a drawing taken apart and a plan with its solids hold, about: points, and
// the trees over their edges.
const (
	bytesPerPoint = 200
	plansPerSheet = 4
)

func sheetBytes(s *template.Sheet) int64 {
	points := 0
	for _, o := range s.Outlines {
		for _, ring := range o.Rings() {
			points += len(ring)
		}
	}
	return bytesPerPoint * int64(points)
}

func planBytes(p *units.Plan) int64 { return plansPerSheet * sheetBytes(p.Sheet) }
