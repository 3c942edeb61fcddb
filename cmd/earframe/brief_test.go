package main

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"earframe/report/record"
	"earframe/report/verdict"
	"earframe/units"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// requireBrief reads a printed report back: no more lines and columns than a plain
// terminal shows, every verdict with its sign, word and sentence, what to do from the
// worst on, and how much is left for --all.
func requireBrief(t *testing.T, said string, verdicts []record.Answer, todo []record.Task, findings []record.Finding) {
	t.Helper()
	lines := strings.Split(strings.TrimSuffix(said, "\n"), "\n")
	assert.LessOrEqual(t, len(lines), mostLines, said)
	for _, line := range lines {
		if strings.ContainsRune(line, ' ') && !strings.Contains(line, "/") { // a path is not broken
			assert.LessOrEqual(t, utf8.RuneCountInString(line), usualWidth, line)
		}
	}
	flat := strings.Join(strings.Fields(said), " ")
	require.NotEmpty(t, verdicts)
	for _, v := range verdicts {
		assert.Contains(t, flat, fmt.Sprintf("%s %s %s %s", v.State.Sign(), v.Question, v.State, v.Says))
	}
	last := 0
	shown := 0
	for _, task := range todo {
		if at := strings.Index(flat, task.Do); at >= 0 {
			assert.GreaterOrEqual(t, at, last, "worst first: %s", task.Do)
			last, shown = at, shown+1
		}
	}
	if shown < len(todo) {
		assert.Contains(t, flat, "and more: "+counted(todo[shown:]))
	}
	errors := 0
	notes := 0
	for _, f := range findings {
		switch f.Severity {
		case units.Error:
			errors++
		case units.Note:
			notes++
		}
	}
	assert.Contains(t, flat, "The rest: "+count(notes, "note"))
	assert.Equal(t, errors > 0, strings.Contains(said, "✗ "), "an error stops, and nothing else does")
	worst := map[units.Question]verdict.State{}
	for _, task := range todo {
		if worst[task.Question] == "" { // the first of a question is its worst
			worst[task.Question] = map[units.Severity]verdict.State{
				units.Error: verdict.Stop, units.Warning: verdict.Mind,
			}[task.Severity]
		}
	}
	for _, v := range verdicts {
		if state, found := worst[v.Question]; found {
			assert.Equal(t, state, v.State, v.Question)
		} else {
			assert.Contains(t, []verdict.State{verdict.Good, verdict.Unknown}, v.State, v.Question)
		}
		delete(worst, v.Question)
	}
	assert.Empty(t, worst, "something is to be done about a question that has no verdict")
}

// requireAll holds what --all says against the record: every finding in full, and
// every default that no source is known for.
func requireAll(t *testing.T, said string, findings []record.Finding, unsourced []string) {
	t.Helper()
	for _, f := range findings {
		assert.Contains(t, said, f.String())
	}
	for _, path := range unsourced {
		assert.Regexp(t, `[ ,]`+regexp.QuoteMeta(path)+`(,|\n)`, said)
	}
	assert.NotContains(t, said, "  and more: ")
}

// saysOf returns the sentence of a question's verdict.
func saysOf(t *testing.T, verdicts []record.Answer, about units.Question) string {
	t.Helper()
	for _, v := range verdicts {
		if v.Question == about {
			return v.Says
		}
	}
	require.Fail(t, "no verdict", "%s", about)
	return ""
}

// manyTasks is a report with more to do than there is room for.
func manyTasks(n int) brief {
	b := brief{
		title: "a case, left ear", record: "record.json", wrote: "Wrote nothing.", cautions: []string{"Mind."},
		verdicts: []record.Answer{{Question: units.AboutSound, State: verdict.Stop, Says: "nothing holds"}},
		rest:     func(io.Writer) {},
	}
	for i := range n {
		severity := units.Error
		if i >= n/2 {
			severity = units.Warning
		}
		b.todo = append(b.todo, record.Task{
			Severity: severity, Question: units.AboutSound, Where: []string{"base", "helix"}, Count: 3,
			Do: fmt.Sprintf("fault number %d takes so many words that they do not go into one line of a terminal: do it", i),
		})
	}
	return b
}

func TestAReportGoesOntoOneScreenHoweverMuchThereIsToDo(t *testing.T) {
	for n := range 60 {
		b := manyTasks(n)
		for _, width := range []int{leastWidth, usualWidth} {
			lines := b.lines(false, width)
			require.LessOrEqual(t, len(lines), mostLines)
			for _, line := range lines {
				require.LessOrEqual(t, utf8.RuneCountInString(line), width, line)
			}
			said := strings.Join(strings.Fields(strings.Join(lines, "\n")), " ")
			shown := strings.Count(said, "fault number")
			for i := range shown {
				assert.Contains(t, said, fmt.Sprintf("base, helix: fault number %d takes", i), "the worst are not left out")
			}
			if shown < n {
				assert.Greater(t, len(lines), mostLines-4, "room is used")
				assert.Contains(t, said, counted(b.todo[shown:]))
			}
		}
		var all bytes.Buffer
		b.say(&all, true)
		assert.Equal(t, n, strings.Count(all.String(), "fault number"))
		assert.Equal(t, n, strings.Count(strings.Join(strings.Fields(all.String()), " "), "do it (3 places)"))
	}
}

func TestWordsAreWrappedAtSpacesAlone(t *testing.T) {
	assert.Equal(t, []string{"✓ one", "  two", "  threefour"}, wrapped("✓ ", "  ", "one two threefour", 6))
	assert.Equal(t, []string{"one two"}, wrapped("", "", "one  two", 7))
	assert.Equal(t, []string{"✓ mm² mm²"}, wrapped("✓ ", "  ", "mm² mm²", 9), "letters are counted, not bytes")
	assert.Equal(t, []string{""}, wrapped("", "", "", 7))
}
