package verdict

import (
	"slices"

	"earframe/units"
)

// Task is one thing to do: a finding in one line, or several that ask for the same.
type Task struct {
	Severity units.Severity
	Question units.Question
	Where    []string // units or places, each once; none: the whole
	Do       string   // what is wrong and what to do
	Count    int      // findings that ask for it
}

// ToDo returns what there is to do about findings: errors before warnings, of one
// severity in the order of questions, and what is the same in several places once.
// Notes ask for nothing and are left out.
func ToDo(findings []units.Finding) []Task {
	var tasks []Task
	for _, severity := range []units.Severity{units.Error, units.Warning} {
		for _, about := range units.Questions() {
			tasks = append(tasks, tasksOf(findings, severity, about)...)
		}
	}
	return tasks
}

func tasksOf(findings []units.Finding, severity units.Severity, about units.Question) []Task {
	var tasks []Task
	for _, f := range findings {
		if rule, _ := units.RuleOf(f.Rule); f.Severity != severity || rule.Question != about {
			continue
		}
		do, where := f.Short(), f.Where()
		n := slices.IndexFunc(tasks, func(t Task) bool { return t.Do == do })
		if n < 0 {
			tasks, n = append(tasks, Task{Severity: severity, Question: about, Do: do}), len(tasks)
		}
		t := &tasks[n]
		t.Count++
		if where != "" && !slices.Contains(t.Where, where) {
			t.Where = append(t.Where, where)
		}
	}
	return tasks
}
