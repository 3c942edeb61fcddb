package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"earframe/engine"
	"earframe/pocket"
	"earframe/publish"
	"earframe/report/record"
	"earframe/report/verdict"
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
		return variation{}, fmt.Errorf("--vary %s: %s; expected PATH=FROM:TO:STEP, such as "+
			"skin.lateral=1.0:3.0:0.5", text, what)
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
	e := engine.New(engine.KeepUsual)
	c, err := e.Read(path)
	if err != nil {
		return err
	}
	out, err := publish.NewFolder(o.out, engine.VariationMakes...)
	if err != nil {
		return err
	}
	defer out.Discard()
	bar := newBar(s.err, "varying "+v.path)
	defer bar.clear()
	result, err := e.Vary(ctx, c, v.path, v.values, bar.tell)
	if err != nil {
		return fmt.Errorf("--vary %w", err)
	}
	if err := engine.WriteVariation(ctx, result, out); err != nil {
		return err
	}
	bar.clear()
	if o.json {
		err = sayJSON(s.out, record.NewVariation(result).JSON)
	} else {
		sayVariation(s.out, result, o.all)
		fmt.Fprintln(s.out, strings.Join(brief{
			wrote:    "Wrote vary.csv, vary.json and views/pocket-vary.png to " + o.out,
			cautions: []string{engine.Caution, pocket.Caution},
		}.end(widthOf(s.out)), "\n"))
	}
	return errors.Join(err, variationFindings(result))
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

// mostRows is how many values the table shows, evenly chosen, unless all are asked for.
const mostRows = 25

// shownRows returns the rows that the table shows, the first and the last among them.
func shownRows(rows []pocket.VariationRow, all bool) []pocket.VariationRow {
	if all || len(rows) <= mostRows {
		return rows
	}
	var shown []pocket.VariationRow
	for i := range mostRows {
		shown = append(shown, rows[i*(len(rows)-1)/(mostRows-1)])
	}
	return shown
}

// sayVaried says in a line what the first and the last value that gave a result differ in.
func sayVaried(w io.Writer, v *pocket.Variation) {
	done := slices.DeleteFunc(slices.Clone(v.Rows), func(row pocket.VariationRow) bool { return row.Problem != "" })
	if len(done) == 0 {
		return
	}
	state, a, b := verdict.Good, done[0], done[len(done)-1]
	says := fmt.Sprintf("from %g to %g the frame is %.1f to %.1f mm deep and stretches the skin %.2f to %.2f times",
		a.Value, b.Value, a.Peak, b.Peak, a.Sliding, b.Sliding)
	if len(a.Kept) > 0 && len(b.Kept) > 0 {
		says += fmt.Sprintf("; of what shows least, %.0f to %.0f %% shows", 100*leastKept(a), 100*leastKept(b))
	}
	if failed := len(v.Rows) - len(done); failed > 0 {
		state = verdict.Stop
		says += fmt.Sprintf("; %d of %d values gave no result", failed, len(v.Rows))
	}
	lead := fmt.Sprintf("%s %s  ", state.Sign(), state)
	fmt.Fprintf(w, "%s\n\n", strings.Join(wrapped(lead, indent(lead), says, widthOf(w)), "\n"))
}

// leastKept returns the share that shows of the groove or ridge that shows least.
func leastKept(row pocket.VariationRow) float64 {
	return slices.MinFunc(row.Kept, func(a, b pocket.KeptShare) int { return cmp.Compare(a.Kept, b.Kept) }).Kept
}

// sayVariation says the verdict and prints the table.
func sayVariation(w io.Writer, v *pocket.Variation, all bool) {
	sayVaried(w, v)
	rows := shownRows(v.Rows, all)
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
	for _, row := range rows {
		if row.Problem != "" {
			fmt.Fprintf(w, "%*g %s\n", width, row.Value, row.Problem)
			continue
		}
		fmt.Fprintf(w, "%*g %9.2f %11.2f %8.3f %8.3f "+
			"%9.2f", width, row.Value, row.Peak, row.Outside, row.Demand, row.Sliding, row.Dead/1000)
		for _, name := range names {
			kept, _ := row.KeptOf(name)
			fmt.Fprintf(w, " %*.0f %%", max(len(name), 6)-2, 100*kept)
		}
		fmt.Fprintln(w)
	}
	if len(rows) < len(v.Rows) {
		fmt.Fprintf(w, "%d of %d values; the others: --%s, or vary.csv\n", len(rows), len(v.Rows), allFlag)
	}
	fmt.Fprintln(w)
}
