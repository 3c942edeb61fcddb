package verdict

import (
	"fmt"

	"earframe/units"
)

// State is how a question is answered.
type State string

// The states, from the best to the worst; Unknown lies beside them.
const (
	Good    State = "good"
	Mind    State = "to mind"   // a warning
	Stop    State = "stop"      // an error: what was made should not be used as it is
	Unknown State = "not known" // the case or its drawing does not give what it takes
)

// Sign returns the sign that stands for the state where words are few.
func (s State) Sign() string {
	switch s {
	case Good:
		return "✓"
	case Mind:
		return "!"
	case Stop:
		return "✗"
	}
	return "?"
}

// Verdict is the answer to one question.
type Verdict struct {
	Question units.Question
	State    State
	Says     string // one sentence with the number that matters, without full stop
}

// judge answers a question with a sentence, which tells of the faults of the rules
// named. Where the worst finding is of another rule, its fault is told besides.
func judge(about units.Question, findings []units.Finding, says string, tells ...string) Verdict {
	v := Verdict{Question: about, State: Good, Says: says}
	worst := worstOf(about, findings)
	switch {
	case worst == nil:
		return v
	case worst.Severity == units.Error:
		v.State = Stop
	default:
		v.State = Mind
	}
	for _, rule := range tells {
		if worst.Rule == rule {
			return v
		}
	}
	fault := worst.Fault()
	if where := worst.Where(); where != "" {
		fault = where + ": " + fault
	}
	if v.Says == "" {
		v.Says = fault
	} else {
		v.Says += "; " + fault
	}
	return v
}

// unknown answers a question that no number is known for: by its worst finding, or
// by saying why.
func unknown(about units.Question, findings []units.Finding, why string) Verdict {
	if v := judge(about, findings, ""); v.State != Good {
		return v
	}
	return Verdict{Question: about, State: Unknown, Says: why}
}

// worstOf returns the first of the worst findings about a question, notes left out;
// nil if there is none.
func worstOf(about units.Question, findings []units.Finding) *units.Finding {
	var worst *units.Finding
	for i := range findings {
		f := &findings[i]
		rule, _ := units.RuleOf(f.Rule)
		if rule.Question != about || f.Severity == units.Note {
			continue
		}
		if worst == nil || f.Severity == units.Error && worst.Severity != units.Error {
			worst = f
		}
	}
	return worst
}

// drawing answers whether the drawing was read as it is meant: only where something
// is to be minded, for else there is nothing to say.
func drawing(findings []units.Finding) []Verdict {
	v := judge(units.AboutDrawing, findings, "")
	if v.State == Good {
		return nil
	}
	return []Verdict{v}
}

// many writes a number of things.
func many(n int, one, more string) string {
	if n == 1 {
		return "one " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}
