package record

import (
	"slices"

	"earframe/practice"
	"earframe/publish"
	"earframe/report/verdict"
	"earframe/units"
)

// Practice is everything that went into a practice set and came out of it, in the
// form it is stored in practice.json.
type Practice struct {
	Caution  []string          `json:"caution"`
	Case     string            `json:"case"`
	Side     units.Side        `json:"side"`
	Verdicts []Answer          `json:"verdicts"` // one a question
	ToDo     []Task            `json:"to_do"`    // worst first
	Inputs   []Value           `json:"inputs"`   // every value with where it came from
	Blanks   []Blank           `json:"blanks"`
	Moulds   []*Mould          `json:"moulds"`
	Mix      []Mix             `json:"mix"` // one a mould, and all of them in the last row
	Kit      *Kit              `json:"kit"`
	Wiring   *Wiring           `json:"wiring"`
	Budget   *Budget           `json:"cartilage_budget"`
	Findings []Finding         `json:"findings"`
	Files    []publish.File    `json:"files,omitempty"`
	Versions map[string]string `json:"versions"`
}

// NewPractice takes down the practice set. The cautions stand on top of it.
func NewPractice(s *practice.Set, cautions ...string) *Practice {
	plan := s.Framework.Plan
	return &Practice{
		Verdicts: answers(verdict.OfPractice(s)), ToDo: tasks(s.Framework.Findings, s.Findings),
		Caution: cautions, Case: plan.ID, Side: plan.Side, Inputs: values(slices.Concat(plan.Values, s.Values)),
		Blanks: each(s.Blanks, blank), Moulds: each(s.Moulds, mouldOf), Mix: each(s.Mix, mix), Kit: kitOf(s.Kit),
		Wiring: wiring(s.Wiring), Budget: budgetOf(s.Budget),
		Findings: findings(slices.Concat(s.Framework.Findings, s.Findings)), Versions: Versions(),
	}
}
