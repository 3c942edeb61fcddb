package casefile

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/units/parts"
)

// sampleTexts are case files in several hands.
func sampleTexts(t testing.TB) []string {
	texts := []string{
		string(newCase()), uncommented(), strings.ReplaceAll(uncommented(), "\n", "\r\n"),
		"{case: a, skin: {lateral: 2}, units: [{part: helix, rise: 3}, {part: base, ribs: [6, 7]}]}",
		"case: a \ntemplate: \t\n\nskin:  \n  lateral: 2   # x \n  medial: 1 \nunits: \n  - part: base \n",
		"case: 'a'\nunits:\n- {part: helix, edge: {top: 1}}\n- part: base # plate\n  recesses:\n  - outline: scapha\n    " +
			"depth: 1\n\n# end",
	}
	for _, file := range []string{"../demo/good/case.yaml", filepath.Join(cases, "everything.yaml")} {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		texts = append(texts, string(text))
	}
	return texts
}

// drawEdit draws a path to a number, word or flag and a value that it takes.
func drawEdit(t *rapid.T, c *Case) (path string, value any) {
	k := caseKeys()
	for {
		k = rapid.SampledFrom(k.keys).Draw(t, "key")
		path = join(path, k.name)
		switch {
		case k.name == "units":
			path += "[" + drawLabel(t, c.root.Field("units"), parts.Names()) + "]"
			k = k.item
		case k.name == "recesses":
			path, k = path+"["+rapid.SampledFrom([]string{parts.Scapha, parts.Fossa}).Draw(t, "recess")+"]", k.item
		case path == "cartilage.ribs":
			path, k = path+"["+rapid.SampledFrom([]string{"6", "7", "8", "9"}).Draw(t, "rib")+"]", k.item
		case k.form == sectionForm && k.free != nil:
			return path + ".shape 1", "base"
		case k.form == sectionForm:
		case k.form == numberForm:
			return path, rapid.Float64Range(k.least, k.most).Draw(t, "number")
		case k.form == quantityForm && rapid.Bool().Draw(t, "as a number"):
			return path, rapid.Float64Range(k.least, k.most).Draw(t, "number")
		case k.form == quantityForm:
			return path, rapid.SampledFrom([]string{NoSuction, "118 mmHg", "15.7kPa"}).Draw(t, "quantity")
		case k.form == wholeForm:
			return path, rapid.IntRange(int(k.least), int(k.most)).Draw(t, "whole number")
		case k.form == flagForm:
			return path, rapid.Bool().Draw(t, "flag")
		case k.form == choiceForm:
			return path, rapid.SampledFrom(k.choices).Draw(t, "choice")
		case k.name == "ribs":
			return path, []int{rapid.IntRange(5, 10).Draw(t, "rib")}
		case k.form == listForm:
			return path, []string{"helix"}
		default:
			return path, rapid.SampledFrom([]string{"a", "no", "12", "x-1"}).Draw(t, "words")
		}
	}
}

func drawLabel(t *rapid.T, units *Entry, names []string) string {
	labels := append([]string(nil), names...)
	if units != nil && len(units.Items) > 0 {
		labels = append(labels, fmt.Sprint(rapid.IntRange(1, len(units.Items)).Draw(t, "place")))
	}
	return rapid.SampledFrom(labels).Draw(t, "unit")
}

// mostNewLines: a value four steps down needs as many lines, and an entry's label
// shares one.
const mostNewLines = 6

// entryNames matches the keys that an entry of a list is called by.
var entryNames = regexp.MustCompile(`\]\.(name|part|outline|rib)$`)

func TestAnEditChangesItsOwnLinesAlone(t *testing.T) {
	texts := sampleTexts(t)
	rapid.Check(t, func(t *rapid.T) {
		before, err := Parse("case.yaml", []byte(rapid.SampledFrom(texts).Draw(t, "text")))
		require.NoError(t, err)
		path, value := drawEdit(t, before)
		after, err := before.With(path, value)
		if err != nil { // names must stay, and lists are no numbers
			var faults Errors
			require.ErrorAs(t, err, &faults)
			return
		}
		where, err := before.find(path)
		require.NoError(t, err)
		if len(where.missing) > 0 {
			back, err := after.Without(path)
			require.NoError(t, err)
			require.Equal(t, string(before.Text()), string(back.Text()))
			added := changedLines(string(before.Text()), string(after.Text()))
			require.LessOrEqual(t, strings.Count(added, "\n"), mostNewLines, added)
		}
		if entryNames.MatchString(path) {
			return // the entry is called otherwise now, and the path another's
		}
		again, err := after.With(path, value)
		require.NoError(t, err)
		require.Equal(t, string(after.Text()), string(again.Text()), "the same once more changes nothing")

		// Read by the names of its places, nothing but the value is another.
		is, was := after.root.values(""), before.root.values("")
		for _, values := range []map[string]string{is, was} {
			maps.DeleteFunc(values, func(at, _ string) bool { return where.holds(at) })
		}
		require.Equal(t, was, is)
		entry, err := after.find(path)
		require.NoError(t, err)
		require.Empty(t, entry.missing, "it is there")
		kept := 0
		for line := range strings.Lines(string(after.Text())) {
			if strings.Contains(string(before.Text()), strings.TrimRight(line, "\r\n")) {
				kept++
			}
		}
		require.GreaterOrEqual(t, kept, strings.Count(string(after.Text()), "\n")-mostNewLines)
	})
}

// Edits one after the other, and back in another order, leave what was given.
func TestEditsTakenBackLeaveWhatWasGiven(t *testing.T) {
	texts := sampleTexts(t)
	rapid.Check(t, func(t *rapid.T) {
		c, err := Parse("case.yaml", []byte(rapid.SampledFrom(texts).Draw(t, "text")))
		require.NoError(t, err)
		given := c.root.values("")
		var added []string
		for range rapid.IntRange(1, 6).Draw(t, "edits") {
			path, value := drawEdit(t, c)
			where, err := c.find(path)
			if err != nil || len(where.missing) == 0 || strings.HasPrefix(path, "units") || strings.HasPrefix(path, "cartilage.ribs") {
				continue // what brings an entry with it leaves that
			}
			if other, err := c.With(path, value); err == nil {
				c, added = other, append(added, path)
			}
		}
		for _, path := range rapid.Permutation(added).Draw(t, "order") {
			c, err = c.Without(path)
			require.NoError(t, err, path)
		}
		require.Equal(t, given, c.root.values(""))
	})
}

// FuzzWith looks for a text or path that brings the editor down, or an edit that
// does not read back.
func FuzzWith(f *testing.F) {
	const short = 2000 // bytes: the fuzzer is slow to make longer ones smaller
	for _, text := range sampleTexts(f) {
		if len(text) < short {
			f.Add(text, "units[helix].edge.top", 1.0)
		}
	}
	f.Add("case: a\ntemplate: {names: {12: base}}\n", "skin.lateral", 1.5)
	f.Add("? case\n: a\n", "step", 0.3)
	f.Add("case: a\ntemplate: ", "skin.lateral", 1.5)
	f.Add("case: a # é\nskin: {lateral:\n 2}\n", "skin.lateral", 0.3)
	f.Fuzz(func(t *testing.T, text, path string, value float64) {
		c, err := Parse("case.yaml", []byte(text))
		if err != nil {
			return
		}
		after, err := c.With(path, value)
		if err != nil {
			return
		}
		if entryNames.MatchString(path) {
			return // the entry is called otherwise now, and the path another's
		}
		again, err := after.With(path, value)
		require.NoError(t, err, "%q", after.text)
		require.Equal(t, string(after.text), string(again.text))
		_, _ = after.Without(path)
	})
}
