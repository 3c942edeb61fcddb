package record

import (
	"earframe/pocket"
	"earframe/units"
)

// Variation is pocket.Variation, as vary.json holds it.
type Variation struct {
	Caution string         `json:"caution"`
	Case    string         `json:"case"`
	Path    string         `json:"path"`
	Unit    string         `json:"unit,omitempty"`
	Side    units.Side     `json:"side"`
	Rows    []VariationRow `json:"rows"`
}

// VariationRow is pocket.VariationRow.
type VariationRow struct {
	Value   float64     `json:"value"`
	Problem string      `json:"problem,omitempty"`
	Peak    float64     `json:"peak_depth_mm"`
	Outside float64     `json:"skin_outside_mm"`
	Demand  float64     `json:"skin_demand"`
	Sliding float64     `json:"sliding_stretch"`
	Dead    float64     `json:"dead_space_mm3"`
	Kept    []KeptShare `json:"relief_kept"`
}

// KeptShare is pocket.KeptShare.
type KeptShare struct {
	Name string  `json:"name"`
	Kept float64 `json:"kept"`
}

// NewVariation takes down what became of the check at each value.
func NewVariation(v *pocket.Variation) *Variation {
	return &Variation{
		Caution: pocket.Caution, Case: v.Case, Path: v.Path, Unit: v.Unit, Side: v.Side,
		Rows: each(v.Rows, func(row pocket.VariationRow) VariationRow {
			return VariationRow{
				Value: row.Value, Problem: row.Problem, Peak: row.Peak, Outside: row.Outside,
				Demand: row.Demand, Sliding: row.Sliding, Dead: row.Dead,
				Kept: each(row.Kept, func(k pocket.KeptShare) KeptShare { return KeptShare(k) }),
			}
		}),
	}
}
