package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"earframe/pocket"
	"earframe/publish"
	"earframe/report"
	"earframe/report/record"
	"earframe/template"
	"earframe/units"
	"earframe/units/casefile"
)

// variation is what --vary asks for.
type variation struct {
	path   string
	values []float64
}

// mostValues bounds how often the skin is laid for one variation.
const mostValues = 200

// parseVariation reads PATH=FROM:TO:STEP.
func parseVariation(text string) (variation, error) {
	wrong := func(what string) (variation, error) {
		return variation{}, fmt.Errorf("--vary %s: %s; expected PATH=FROM:TO:STEP, such as skin.lateral=1.0:3.0:0.5", text, what)
	}
	path, span, ok := strings.Cut(text, "=")
	if !ok || path == "" {
		return wrong("no value is named")
	}
	words := strings.Split(span, ":")
	if len(words) != 3 {
		return wrong(fmt.Sprintf("%d numbers, 3 are needed", len(words)))
	}
	var numbers [3]float64
	for i, word := range words {
		v, err := strconv.ParseFloat(strings.TrimSpace(word), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return wrong(strconv.Quote(word) + " is not a number")
		}
		numbers[i] = v
	}
	from, to, step := numbers[0], numbers[1], numbers[2]
	if !(step > 0) || to < from {
		return wrong("the step must be above 0 and TO not below FROM")
	}
	const slack = 1e-9 // of a step: rounding must not lose the last value
	count := math.Floor((to-from)/step+slack) + 1
	if count > mostValues {
		return wrong(fmt.Sprintf("%.0f values, at most %d are worked out", count, mostValues))
	}
	v := variation{path: path}
	for i := range int(count) {
		// Rounded to what was written, so that 1.0 + 2 · 0.1 is 1.2.
		exact := from + float64(i)*step
		written, err := strconv.ParseFloat(strconv.FormatFloat(exact, 'g', 12, 64), 64)
		if err != nil {
			return wrong(err.Error())
		}
		v.values = append(v.values, written)
	}
	return v, nil
}

// varyPocket checks the case once for every value.
func varyPocket(ctx context.Context, s streams, path string, o pocketOptions) error {
	v, err := parseVariation(o.vary)
	if err != nil {
		return err
	}
	c, err := casefile.Read(path)
	if err != nil {
		return err
	}
	plan, err := units.Load(ctx, path) // the case as it is must be good
	if err != nil {
		return err
	}
	if err := variable(plan, v.path); err != nil {
		return err
	}
	result := &pocket.Variation{Case: plan.ID, Path: v.path, Side: plan.Side, Rows: []pocket.VariationRow{}}
	for _, value := range v.values {
		row, unit, err := varied(ctx, c, v.path, value)
		if err != nil {
			return err
		}
		result.Unit = unit
		result.Rows = append(result.Rows, row)
	}
	if err := writeVariation(ctx, result, o.out); err != nil {
		return err
	}
	if o.json {
		data, err := record.NewVariation(result).JSON()
		if err != nil {
			return err
		}
		_, err = s.out.Write(data)
		return errors.Join(err, variationFindings(result))
	}
	sayVariation(s.out, result)
	fmt.Fprintf(s.out, "Wrote vary.csv, vary.json and views/pocket-vary.png to %s\n%s\n%s\n", o.out, caution, pocket.Caution)
	return variationFindings(result)
}

// variationFindings is an error if some value gave no result.
func variationFindings(v *pocket.Variation) error {
	for _, row := range v.Rows {
		if row.Problem != "" {
			return errFindings
		}
	}
	return nil
}

// varied checks the case with one value changed, and returns the value's unit. A
// value that the case file cannot hold is an error; a framework that does not fit
// into its pocket is a row that says so.
func varied(ctx context.Context, c *casefile.Case, path string, value float64) (pocket.VariationRow, string, error) {
	row := pocket.VariationRow{Value: value}
	changed, err := c.With(path, value)
	if err != nil {
		return row, "", fmt.Errorf("--vary %s, at %g: %s", path, value, withoutPlaces(err))
	}
	plan, err := planOf(ctx, changed)
	if ctx.Err() != nil {
		return row, "", ctx.Err()
	}
	if err != nil {
		return row, "", fmt.Errorf("--vary %s, at %g: %s", path, value, withoutPlaces(err))
	}
	unit, used := "", false
	for _, v := range plan.Values {
		if v.Path == path {
			unit, used = v.Unit, true
		}
	}
	if !used {
		return row, "", fmt.Errorf("--vary %s: the plan has no such value; record.json lists all of them under inputs", path)
	}
	result, err := pocket.Check(ctx, plan, pocket.Options{NoAdvice: true})
	if err != nil {
		if ctx.Err() != nil {
			return row, unit, ctx.Err()
		}
		row.Problem = err.Error()
		return row, unit, nil
	}
	return result.Row(value), unit, nil
}

// variable refuses to vary what is not a single value, such as a profile.
func variable(plan *units.Plan, path string) error {
	for _, v := range plan.Values {
		switch v.Value.(type) {
		case float64, string, bool:
		default:
			if v.Path == path {
				return fmt.Errorf("--vary %s: it is not a single number", path)
			}
		}
	}
	return nil
}

// planOf plans a case with a template of its own.
func planOf(ctx context.Context, c *casefile.Case) (*units.Plan, error) {
	sheet, err := template.Read(ctx, c.TemplateFile(), c.TemplateOptions())
	if err != nil {
		return nil, err
	}
	return units.NewPlan(ctx, c, sheet)
}

// withoutPlaces says case faults without lines: those are of the changed text,
// which the user does not see.
func withoutPlaces(err error) string {
	var faults casefile.Errors
	if !errors.As(err, &faults) {
		return err.Error()
	}
	var said []string
	for _, f := range faults {
		said = append(said, strings.TrimSuffix(fmt.Sprintf("%s: %s. %s", f.Key, f.Problem, f.Advice), ". "))
	}
	return strings.Join(said, "; ")
}

func writeVariation(ctx context.Context, v *pocket.Variation, dir string) error {
	to, err := publish.NewFolder(dir)
	if err != nil {
		return err
	}
	defer to.Discard()
	data, err := record.NewVariation(v).JSON()
	if err != nil {
		return err
	}
	if err := publish.WriteBytes(ctx, to, "vary.json", data); err != nil {
		return err
	}
	if err := to.Write(ctx, "vary.csv", v.WriteCSV, nil); err != nil {
		return err
	}
	picture, err := report.PocketVariation(v)
	if err != nil {
		return err
	}
	if err := picture.Write(ctx, to, "views"); err != nil {
		return err
	}
	_, err = to.Conclude(ctx, nil)
	return err
}

// sayVariation prints the table.
func sayVariation(w io.Writer, v *pocket.Variation) {
	names := v.Names()
	subject := v.Path
	if v.Unit != "" {
		subject += ", " + v.Unit
	}
	width := max(len(subject), 8)
	fmt.Fprintf(w, "%*s %9s %11s %8s %8s %9s", width, subject, "depth, mm", "outside, mm", "demand", "stretch", "dead, ml")
	for _, name := range names {
		fmt.Fprintf(w, " %*s", max(len(name), 6), name)
	}
	fmt.Fprintln(w)
	for _, row := range v.Rows {
		if row.Problem != "" {
			fmt.Fprintf(w, "%*g %s\n", width, row.Value, row.Problem)
			continue
		}
		fmt.Fprintf(w, "%*g %9.2f %11.2f %8.3f %8.3f %9.2f", width, row.Value, row.Peak, row.Outside, row.Demand, row.Sliding, row.Dead/1000)
		for _, name := range names {
			kept, _ := row.KeptOf(name)
			fmt.Fprintf(w, " %*.0f %%", max(len(name), 6)-2, 100*kept)
		}
		fmt.Fprintln(w)
	}
	fmt.Fprintln(w)
}
