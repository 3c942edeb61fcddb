package record

import (
	"earframe/report/verdict"
	"earframe/units"
)

// Answer is verdict.Verdict.
type Answer struct {
	Question units.Question `json:"question"`
	State    verdict.State  `json:"state"`
	Says     string         `json:"says"`
}

// Task is verdict.Task.
type Task struct {
	Severity units.Severity `json:"severity"`
	Question units.Question `json:"question"`
	Where    []string       `json:"where,omitempty"`
	Do       string         `json:"do"`
	Count    int            `json:"count"`
}

func answers(of []verdict.Verdict) []Answer {
	return each(of, func(v verdict.Verdict) Answer { return Answer(v) })
}

// tasks returns what there is to do about findings: an empty list for nothing.
func tasks(findings ...[]units.Finding) []Task {
	all := []units.Finding{}
	for _, f := range findings {
		all = append(all, f...)
	}
	return append([]Task{}, each(verdict.ToDo(all), func(t verdict.Task) Task { return Task(t) })...)
}
