package pocket

import (
	"encoding/csv"
	"io"
	"strconv"

	"earframe/units"
)

// Variation is what becomes of the check when one value of the case changes.
type Variation struct {
	Case string
	Path string // of the value, as in the case file: skin.lateral
	Unit string
	Side units.Side
	Rows []VariationRow
}

// VariationRow is the check at one value.
type VariationRow struct {
	Value   float64
	Problem string // why there is no result
	Peak    float64
	Outside float64
	Demand  float64
	Sliding float64
	Dead    float64
	Kept    []KeptShare
}

// KeptShare is the share of a groove or ridge that shows.
type KeptShare struct {
	Name string
	Kept float64
}

// Row takes down one value's result.
func (r *Result) Row(value float64) VariationRow {
	record := r.Measures
	row := VariationRow{
		Value: value, Peak: record.Depth.Peak.Height, Outside: record.Depth.Outside,
		Demand: record.Demand.Ratio, Sliding: record.Demand.Sliding, Dead: record.Dead.Volume,
	}
	for _, g := range record.Relief {
		row.Kept = append(row.Kept, KeptShare{g.Name, g.Kept})
	}
	return row
}

// Names returns the grooves and ridges measured at any value, in their order.
func (v *Variation) Names() []string {
	var names []string
	seen := map[string]bool{}
	for _, row := range v.Rows {
		for _, k := range row.Kept {
			if !seen[k.Name] {
				seen[k.Name] = true
				names = append(names, k.Name)
			}
		}
	}
	return names
}

// KeptOf returns the share of a feature that shows, and whether it was measured.
func (row VariationRow) KeptOf(name string) (kept float64, ok bool) {
	for _, k := range row.Kept {
		if k.Name == name {
			return k.Kept, true
		}
	}
	return 0, false
}

// WriteCSV writes a line for every value; what was not measured is left empty.
func (v *Variation) WriteCSV(w io.Writer) error {
	names := v.Names()
	head := []string{v.Path, "peak_depth_mm", "skin_outside_mm", "skin_demand", "sliding_stretch", "dead_space_mm3"}
	for _, name := range names {
		head = append(head, name+" kept")
	}
	out := csv.NewWriter(w)
	lines := [][]string{append(head, "problem")}
	for _, row := range v.Rows {
		line := []string{number(row.Value)}
		measured := []float64{row.Peak, row.Outside, row.Demand, row.Sliding, row.Dead}
		for _, m := range measured {
			if row.Problem != "" {
				line = append(line, "")
				continue
			}
			line = append(line, number(m))
		}
		for _, name := range names {
			kept, ok := row.KeptOf(name)
			if !ok {
				line = append(line, "")
				continue
			}
			line = append(line, number(kept))
		}
		lines = append(lines, append(line, row.Problem))
	}
	return out.WriteAll(lines)
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
