package practice

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"
	"earframe/practice/budget"
	"earframe/practice/mould"
	"earframe/practice/rib"
	"earframe/template"
	"earframe/units"
)

// Blank is a rib blank with its surface.
type Blank struct {
	rib.Blank
	Mesh    *mesh.Mesh
	Verdict mesh.Verdict
}

// blankStep is the step, mm, at which a blank is sampled whose mould needs a
// finer one: it is round all over, with radii of several millimetres.
const blankStep = 0.4

// planBlanks says which blanks there are.
func (m *maker) planBlanks() error {
	blanks, found, err := rib.Blanks(m.plan)
	if err != nil {
		return err
	}
	m.found = found
	for _, b := range blanks {
		m.Blanks = append(m.Blanks, Blank{Blank: b})
	}
	return nil
}

// makeBlank makes the surface of blank i, and its mould, at the same step.
func (m *maker) makeBlank(ctx context.Context, i int) error {
	b := &m.Blanks[i]
	step, raw, err := mould.ChooseStep(ctx, b.Solid)
	if err == nil && raw == nil {
		raw, err = contour.Of(ctx, b.Solid, contour.Options{Step: blankStep})
	}
	if err == nil {
		b.Mesh, b.Verdict, err = simplify.Judged(ctx, raw, simplify.Options{Tolerance: m.plan.Tolerance})
	}
	if err != nil {
		return fmt.Errorf("%s: %w", b.Name, err)
	}
	part := mould.Part{Name: b.Name, Label: b.Label, Solid: b.Solid, Mesh: b.Mesh}
	made, err := m.cast(ctx, part, step)
	m.casts[len(m.Framework.Pieces)+i] = []cast{made}
	return err
}

// castUnit makes the mould of unit i, or of each of its pieces, without letters: a cast
// is to be carved.
func (m *maker) castUnit(ctx context.Context, i int) error {
	if err := m.settle(ctx); err != nil {
		return err
	}
	solids, err := m.Carved.Plan.Solids(ctx)
	if err != nil {
		return err
	}
	for k := range m.Carved.Pieces {
		p := &m.Carved.Pieces[k]
		if p.Unit.Of().Name != m.Framework.Pieces[i].Name() {
			continue
		}
		part := mould.Part{Name: p.Name(), Label: p.Unit.Label, Solid: p.Solid, Mesh: p.Mesh}
		if plain := solids[k].Field; plain != part.Solid {
			part.Solid, part.Mesh = plain, nil
		}
		made, err := m.cast(ctx, part, 0)
		if err != nil {
			return err
		}
		m.casts[i] = append(m.casts[i], made)
	}
	return nil
}

// cast makes the mould of a part. One that cannot be made as the case asks is
// left out and said: the rest of the set is of use without it. The step is in
// mm, 0 for the mould to choose.
func (m *maker) cast(ctx context.Context, part mould.Part, step float64) (cast, error) {
	options := mould.OptionsOf(m.plan)
	options.Step = step
	made, err := mould.Make(ctx, part, options)
	if errors.Is(err, mould.ErrDraft) || errors.Is(err, mould.ErrNoFlatFace) || errors.Is(err, mould.ErrLoose) {
		why, advice, _ := strings.Cut(strings.TrimPrefix(err.Error(), "mould of "+part.Name+": "), "; ")
		if advice != "" {
			advice = strings.ToUpper(advice[:1]) + advice[1:]
		}
		return cast{refusal: &units.Finding{
			Rule: "mould-not-made", Severity: units.Error, Unit: part.Name,
			Message: "no mould was made: " + why, Advice: advice,
		}}, nil
	}
	return cast{mould: made}, err
}

// stocks returns the blanks as pieces to cut units from.
func stocks(blanks []Blank) []budget.Stock {
	var pieces []budget.Stock
	for _, b := range blanks {
		pieces = append(pieces, budget.Stock{
			Name: b.Name, Label: b.Label, Ribs: b.Ribs, Outline: b.Outline,
			Each: b.Each, Length: b.Length, Height: b.Height, Thickness: b.Thickness,
			Slab: func(height float64) ([]template.Outline, error) { return b.Slab(height), nil },
		})
	}
	return pieces
}
