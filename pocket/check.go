package pocket

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"earframe/anatomy"
	"earframe/assemble"
	"earframe/field"
	"earframe/internal/kept"
	"earframe/internal/workers"
	"earframe/membrane"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Options says how closely to look. Zero values mean the defaults.
type Options struct {
	Step      float64 // of the drape's first grid, mm; default 0.4
	MapStep   float64 // of the depth map, mm; default 0.2
	ModelStep float64 // width of the skin's model's triangles where it is smooth, mm; default 0.6
	NoAdvice  bool    // findings without the advice that has to be worked out: ask for it with Result.Advise

	Kept *kept.Store // of what was made earlier; nil makes all anew
}

const (
	defaultMapStep   = 0.2
	defaultModelStep = 0.6
)

// Result is the skin laid over a framework.
type Result struct {
	Plan     *units.Plan
	Field    field.Field        // the joined framework, without fillets along its seams
	Outline  template.Outline   // the pocket's edge
	Depth    *assemble.DepthMap // of the framework over the bed
	Drape    *membrane.Drape
	Skin     *membrane.Skin  // nil if the skin has no thickness
	Measures Measures        // all that was found, in numbers
	Findings []units.Finding // and in words

	solids    []units.Solid
	edge      *field.Region
	places    *anatomy.Places
	bolsters  []anatomy.Bolster // those that are laid
	misplaced []units.Finding   // and of those that have no place
	released  *membrane.Drape   // the skin without bolsters; nil without any
	drained   *membrane.Drape   // and under them without suction
	options   Options
	questions []question // advice that is still to be worked out

	trying sync.Mutex
	tried  *trial // nil before
}

// Check lays the skin over the plan's framework. What merely ought to be looked
// at is a finding in the record; a framework that does not fit into the pocket,
// values that cannot be used and a drape that did not settle are errors, of
// package membrane's kinds where it found them.
func Check(ctx context.Context, plan *units.Plan, options Options) (*Result, error) {
	if options.MapStep == 0 {
		options.MapStep = defaultMapStep
	}
	if options.ModelStep == 0 {
		options.ModelStep = defaultModelStep
	}
	r := &Result{Plan: plan, options: options}
	if err := r.find(ctx); err != nil {
		return nil, err
	}
	var err error
	if r.Measures, err = r.measure(ctx); err != nil {
		return nil, err
	}
	r.Findings = r.findings()
	if options.NoAdvice {
		return r, nil
	}
	err = workers.Jobs(ctx, 2, nil,
		func(ctx context.Context) (err error) {
			r.Measures.Bridging.States, err = r.otherStates(ctx)
			return err
		},
		func(ctx context.Context) (err error) { r.Findings, err = r.Advise(ctx); return err })
	return r, err
}

// find does the measuring.
func (r *Result) find(ctx context.Context) error {
	var err error
	if r.solids, err = r.Plan.Solids(ctx); err != nil {
		return err
	}
	if len(r.solids) == 0 {
		return errors.New("the pocket check: the plan has no units; draw at least a base frame")
	}
	fields := make([]field.Field, len(r.solids))
	keys := make([]kept.Key, len(r.solids))
	for i, s := range r.solids {
		fields[i], keys[i] = s.Field, s.Key
	}
	r.Field = field.Union(fields...)
	outset := []func() error{
		func() (err error) {
			if r.Outline, err = r.outline(ctx, r.Plan.Pocket.Margin); err != nil {
				return err
			}
			r.edge, err = newRegion(r.Outline)
			return err
		},
		func() (err error) {
			r.Depth, err = r.mapDepth(ctx, keys)
			return err
		},
		func() (err error) {
			r.places, err = anatomy.Of(r.Plan)
			return err
		},
	}
	if err := workers.Each(ctx, "pocket: outset", len(outset), func(n int) error { return outset[n]() }); err != nil {
		return err
	}
	r.placeBolsters()
	return r.lay(ctx, keys)
}

func (r *Result) laid() membrane.Case {
	return membrane.Case{
		Frame:          assemble.NewTop(r.Field, r.Depth.Bed),
		Pocket:         r.edge,
		BridgingRadius: r.Plan.Pocket.BridgingRadius, // counts only where it is given
		Rolls:          r.rolls(),
	}
}

func (r *Result) drapeOptions() membrane.Options { return membrane.Options{Step: r.options.Step} }

// ErrNoPocket says that the template draws neither the ear nor the pocket.
var ErrNoPocket = errors.New("the template has no outline named ear or pocket, so that there is no pocket to lay the " +
	"framework in: " +
	"draw the outline of the ear, or of the pocket itself, and name it")

// Refusal says in a finding why the skin could not be laid, for those who go on
// without it: an error, or a note where no pocket is drawn at all.
func Refusal(err error) units.Finding {
	f := units.Finding{
		Rule: "skin-not-laid", Severity: units.Error, Message: err.Error(),
		Advice: "Nothing is known of depth, skin and relief until then.",
	}
	var outside *membrane.FrameOutsideError
	switch {
	case errors.Is(err, ErrNoPocket):
		f.Rule, f.Severity = "no-pocket-drawn", units.Note
	case errors.As(err, &outside):
		f.Rule = "frame-outside-pocket"
		f.At = &mgl64.Vec3{outside.Where[0], outside.Where[1], 0}
		f.Value, f.Measure = outside.By, "mm"
	}
	return f
}

// pocketOutline returns the pocket's edge: the outline drawn as such, else the
// ear's widened by the margin, mm. Of several outlines the largest counts.
func pocketOutline(ctx context.Context, plan *units.Plan, margin float64) (template.Outline, error) {
	if drawn, ok := largest(plan.Sheet.Part("pocket")); ok {
		return template.Outline{ID: drawn.ID, Part: drawn.Part, Outer: drawn.Outer}, nil
	}
	ear, ok := largest(plan.Sheet.Part("ear"))
	if !ok {
		return template.Outline{}, ErrNoPocket
	}
	ear.Holes = nil
	widened, err := template.Offset(ctx, ear, margin)
	if err != nil {
		return template.Outline{}, fmt.Errorf("the pocket: the ear's outline cannot be widened by %g mm: %w", margin, err)
	}
	edge, ok := largest(widened)
	if !ok {
		return template.Outline{}, fmt.Errorf("the pocket: nothing is left of the ear's outline widened by %g mm", margin)
	}
	return edge, nil
}

func largest(outlines []template.Outline) (found template.Outline, ok bool) {
	most := 0.0
	for _, o := range outlines {
		if area := o.Outer.Area(); area > most {
			most, found, ok = area, o, true
		}
	}
	return found, ok
}

// drawn reports whether the pocket's edge is drawn in the template.
func (r *Result) drawn() bool { return r.Outline.Part == "pocket" }

// inWords says of an error what can be done about it in the case file.
func (r *Result) inWords(err error) error {
	var outside *membrane.FrameOutsideError
	if !errors.As(err, &outside) {
		return fmt.Errorf("the pocket check: %w", err)
	}
	todo := fmt.Sprintf("give pocket.margin at least %.1f mm (it is %.1f "+
		"mm)", r.Plan.Pocket.Margin+outside.By, r.Plan.Pocket.Margin)
	if r.drawn() {
		todo = "draw the outline " + r.Outline.ID + " wider there"
	}
	return fmt.Errorf("the pocket check: %w; that is %s; %s", err, r.places.Phrase(r.places.At(outside.Where)), todo)
}

func newRegion(outline template.Outline) (*field.Region, error) {
	region, err := template.Region(outline.Filled())
	if err != nil {
		return nil, fmt.Errorf("the pocket's %w", err)
	}
	return region, nil
}
