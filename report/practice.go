package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"

	"earframe/mesh"
	"earframe/practice"
	"earframe/practice/budget"
	"earframe/practice/fixation"
	"earframe/practice/kit"
	"earframe/practice/mould"
	"earframe/practice/rib"
	"earframe/units"
)

// PracticeRecord is everything that went into a practice set and came out of
// it, in the form it is stored in practice.json. The same case gives the same
// record: it holds no time and no path.
type PracticeRecord struct {
	Caution  []string          `json:"caution"`
	Case     string            `json:"case"`
	Side     units.Side        `json:"side"`
	Inputs   []units.Value     `json:"inputs"` // every value with where it came from
	Blanks   []BlankRecord     `json:"blanks"`
	Moulds   []*mould.Mould    `json:"moulds"`
	Mix      []mould.Mix       `json:"mix"` // one a mould, and all of them in the last row
	Kit      *kit.Kit          `json:"kit"`
	Wiring   *fixation.Plan    `json:"wiring"`
	Budget   *budget.Budget    `json:"cartilage_budget"`
	Joins    []practice.Join   `json:"joins"` // cuts that the budget had to make, wired besides
	Findings []units.Finding   `json:"findings"`
	Files    []File            `json:"files,omitempty"`
	Versions map[string]string `json:"versions"`
}

// BlankRecord is a rib blank and its surface's measures.
type BlankRecord struct {
	rib.Blank
	Surface Solid `json:"surface"`
}

// NewPracticeRecord takes down the practice set. The cautions stand on top of it.
func NewPracticeRecord(s *practice.Set, cautions ...string) *PracticeRecord {
	plan := s.Framework.Plan
	r := &PracticeRecord{
		Caution: cautions, Case: plan.ID, Side: plan.Side, Inputs: slices.Concat(plan.Values, s.Values),
		Moulds: s.Moulds, Mix: s.Mix, Kit: s.Kit, Wiring: s.Wiring, Budget: s.Budget, Joins: s.Joins,
		Findings: slices.Concat(s.Framework.Findings, s.Findings), Versions: versions(),
	}
	for _, b := range s.Blanks {
		r.Blanks = append(r.Blanks, BlankRecord{b.Blank, solidOf(b.Verdict, nil)})
	}
	return r
}

// solidOf returns the measures of a judged mesh.
func solidOf(v mesh.Verdict, thinnest *mesh.Wall) Solid {
	return Solid{
		Volume: v.Volume, Area: v.Area, Low: v.Low, High: v.High, Size: v.High.Sub(v.Low),
		Thinnest:  thinnest,
		Triangles: v.Triangles, Shells: len(v.Shells), Cavities: v.Cavities, Soundness: sound,
	}
}

// JSON returns the record as indented JSON. A measure that is not a number
// cannot be stored and is an error.
func (r *PracticeRecord) JSON() ([]byte, error) { return recordJSON(r) }

func recordJSON(record any) ([]byte, error) {
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(record); err != nil {
		return nil, fmt.Errorf("report: the record cannot be stored: %w", err)
	}
	return out.Bytes(), nil
}
