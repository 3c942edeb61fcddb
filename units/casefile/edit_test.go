package casefile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func parsed(t testing.TB, text string) *Case {
	t.Helper()
	c, err := Parse("case.yaml", []byte(text))
	require.NoError(t, err)
	return c
}

func TestAValueIsSetWhereItStandsOrWhereItBelongs(t *testing.T) {
	const some = "# a case\ncase: 'a b' # name\nskin: {lateral: 2.0, medial: 1} # both\nunits:\n" +
		"  - part: helix # rim\n    thickness: 4 # mm\n    rise: # heights\n      - {at: 0, height: -1} # crus\n      - " +
		"at: 1\n        height: 2\n" +
		"  - part: antihelix\n    name: fold\n    edge: {top: 1.7}\n# end\n"
	for name, c := range map[string]struct {
		file, path string
		value      any
		want       string // the file's lines that are other than before, with - and +
	}{
		"number in place": {some, "units[helix].thickness", 3.5, "-    thickness: 4 # mm\n+    thickness: 3.5 # " +
			"mm\n"},
		"number in brackets": {some, "skin.lateral", 1.25, "-skin: {lateral: 2.0, medial: 1} # both\n+skin: " +
			"{lateral: 1.25, medial: 1} # both\n"},
		"the same number": {some, "skin.lateral", 2.0, "-skin: {lateral: 2.0, medial: 1} # both\n+skin: " +
			"{lateral: 2, medial: 1} # both\n"},
		"point of a profile": {some, "units[helix].rise[1].height", -2.0, "-      - {at: 0, height: -1} # crus\n+   " +
			"   - {at: 0, height: -2} # crus\n"},
		"point in lines": {some, "units[helix].rise[2].height", 2.5, "-        height: 2\n+        height: 2.5\n"},
		"profile made level": {some, "units[helix].rise", 3.0, "-    rise: # heights\n-      - {at: 0, height: -1} " +
			"# crus\n-      - at: 1\n-        height: 2\n+    rise: 3 # heights\n"},
		"profile " +
			"anew": {some, "units[fold].rise", []any{map[string]any{"height": 1.0, "at": 0.0}, map[string]any{"at": 1.0, "height": 2.0}}, "+    rise: [{at: 0, height: 1}, {at: 1, height: 2}]\n"},
		"quotes are kept":        {some, "case", "b c", "-case: 'a b' # name\n+case: 'b c' # name\n"},
		"words that need quotes": {some, "engrave.text", "yes: 'no'", "+engrave:\n+  text: 'yes: ''no'''\n"},
		"key within a unit":      {some, "units[helix].edge.top", 1.0, "+    edge:\n+      top: 1\n"},
		"key in a unit's brackets": {some, "units[fold].edge.bottom", 0.5, "-    edge: {top: 1.7}\n+    edge: {top: 1.7, " +
			"bottom: 0.5}\n"},
		"unit that is not there": {some, "units[tragus].thickness", 3.0, "+  - part: tragus\n+    thickness: 3\n"},
		"recess of a new unit": {some, "units[base].recesses[scapha].depth", 0.8, "+  - part: base\n+    recesses:\n+ " +
			"     - outline: scapha\n+        depth: 0.8\n"},
		"list":                 {some, "units[helix].ribs", []int{7, 8}, "+    ribs: [7, 8]\n"},
		"flag":                 {some, "template.mirror", true, "+template:\n+  mirror: true\n"},
		"choice":               {some, "pocket.bridging_radius", "none", "+pocket:\n+  bridging_radius: none\n"},
		"suction":              {some, "pocket.suction", "71.4 mmHg", "+pocket:\n+  suction: 71.4 mmHg\n"},
		"suction, as a number": {some, "pocket.suction", 12.5, "+pocket:\n+  suction: 12.5 kPa\n"},
		"measured rib": {some, "cartilage.ribs[8].length", 90.0, "+cartilage:\n+  ribs:\n+    - rib: 8\n+     " +
			" length: 90\n"},
		"rib that is measured": {"case: a\ncartilage:\n  ribs: [{rib: 8, length: " +
			"80}]\n", "cartilage.ribs[8].length", 90.0, "-  ribs: [{rib: 8, length: 80}]\n+  ribs: [{rib: 8, length: 90}]\n"},
		"name of a drawing's shape": {some, "template.names.path1.2", []string{"ear", "base"}, "+template:\n+  names:\n+   " +
			" path1.2: [ear, base]\n"},
		"no end of the last line": {"case: a\nstep: 0.2", "fillet", 1.0, "+fillet: 1"},
		"empty heading":           {"case: a\nskin:\n# x\nstep: 0.2\n", "skin.lateral", 1.0, "+  lateral: 1\n"},
		"empty brackets":          {"case: a\nskin: {}\n", "skin.lateral", 1.0, "-skin: {}\n+skin: {lateral: 1}\n"},
		"empty list": {"case: a\nunits: []\n", "units[base].thickness", 2.0, "-units: []\n+units: [{part: " +
			"base, thickness: 2}]\n"},
		"nothing, in words": {"case: a\nskin: ~ # x\n", "skin.lateral", 1.0, "-skin: ~ # x\n+skin: {lateral: 1} # " +
			"x\n"},
		"all in brackets": {"{case: a, skin: }\n", "skin.lateral", 1.0, "-{case: a, skin: }\n+{case: a, skin: " +
			"{lateral: 1} }\n"},
		"lines of other systems": {"case: a\r\nskin:\r\n    lateral: 2\r\nstep: 0.2\r\n", "skin.medial", 1.0, "+    " +
			"medial: 1\r\n"},
		"dashes at the margin": {"case: a\nunits:\n- part: base\n  ribs: 6\nstep: " +
			"0.2\n", "units[concha].rise", -2.0, "+- part: concha\n+  rise: -2\n"},
		"list in lines": {"case: a\nunits:\n- part: base\n  ribs:\n  - 6\n  - 7\n  thickness: " +
			"3\n", "units[base].ribs", []int{6}, "-  ribs:\n-  - 6\n-  - 7\n+  ribs: [6]\n"},
		"words over lines": {"case: a\nengrave:\n  text: >-\n    A\n    B\nstep: 0.2\n", "engrave.text", "C", "-  " +
			"text: >-\n-    A\n-    B\n+  text: C\n"},
		"mark of an editor": {"\ufeffcase: a\nstep: 0.2\n", "step", 0.3, "-step: 0.2\n+step: 0.3\n"},
		"comments below a section": {"case: a\npocket:\n  depth: 9\n  # margin: 3\n# all\nstep: " +
			"1\n", "pocket.margin", 4.0, "+  margin: 4\n"},
	} {
		t.Run(name, func(t *testing.T) {
			before := parsed(t, c.file)
			after, err := before.With(c.path, c.value)
			require.NoError(t, err)
			assert.Equal(t, c.want, changedLines(c.file, string(after.Text())))
			assert.Equal(t, c.file, string(before.Text()), "a case is never changed")
			if !strings.Contains(c.want, "-") || strings.Contains(c.want, "{}") || strings.Contains(c.want, "[]") {
				back, err := after.Without(c.path)
				require.NoError(t, err)
				assert.Equal(t, c.file, string(back.Text()))
			}
		})
	}
}

// changedLines returns the lines that one text has and the other has not, those
// taken out first.
func changedLines(before, after string) string {
	a, b := strings.SplitAfter(before, "\n"), strings.SplitAfter(after, "\n")
	if !strings.HasSuffix(before, "\n") { // the last line gets an end
		a[len(a)-1] += "\n"
	}
	for len(a) > 0 && len(b) > 0 && a[0] == b[0] {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && strings.TrimRight(a[len(a)-1], "\n") == strings.TrimRight(b[len(b)-1], "\n") {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	var out strings.Builder
	for _, line := range a {
		if line != "" {
			out.WriteString("-" + line)
		}
	}
	for _, line := range b {
		if line != "" {
			out.WriteString("+" + line)
		}
	}
	return out.String()
}

func TestAValueIsTakenOut(t *testing.T) {
	for name, c := range map[string]struct{ file, path, want string }{
		"line": {"case: a\nskin:\n  lateral: 2 # x\n  medial: 1\n", "skin.lateral", "case: a\nskin:\n  " +
			"medial: 1\n"},
		"last of a section":     {"case: a\nskin:\n  lateral: 2\nstep: 1\n", "skin.lateral", "case: a\nskin:\nstep: 1\n"},
		"last line without end": {"case: a\nstep: 0.2", "step", "case: a"},
		"first in brackets": {"case: a\nskin: {lateral: 2, medial: 1}\n", "skin.lateral", "case: a\nskin: {medial: " +
			"1}\n"},
		"last in brackets": {"case: a\nskin: {lateral: 2, medial: 1}\n", "skin.medial", "case: a\nskin: {lateral: " +
			"2}\n"},
		"only one in brackets": {"case: a\nskin: {lateral: 2}\n", "skin.lateral", "case: a\nskin: {}\n"},
		"beside a dash": {"case: a\nunits:\n  - name: rim\n    part: helix\n", "units[rim].name", "case: " +
			"a\nunits:\n  - part: helix\n"},
		"lines of a list": {"case: a\nunits:\n  - part: helix\n    rise:\n      - {at: 0, height: 1}\n      - {at: " +
			"1, height: 1}\n    ribs: 8\n", "units[helix].rise", "case: a\nunits:\n  - part: helix\n    ribs: 8\n"},
		"unit": {"case: a\nunits:\n  - part: helix\n    ribs: 8\n  - part: " +
			"base\n", "units[helix]", "case: a\nunits:\n  - part: base\n"},
		"unit in brackets": {"case: a\nunits: [{part: helix}, {part: base}]\n", "units[helix]", "case: a\nunits: " +
			"[{part: base}]\n"},
		"section":                {"case: a\nskin:\n  lateral: 2\n  medial: 1\nstep: 1\n", "skin", "case: a\nstep: 1\n"},
		"nothing that was there": {"case: a\nstep: 1\n", "units[helix].thickness", "case: a\nstep: 1\n"},
	} {
		t.Run(name, func(t *testing.T) {
			after, err := parsed(t, c.file).Without(c.path)
			require.NoError(t, err)
			assert.Equal(t, c.want, string(after.Text()))
		})
	}
}

func TestWhatCannotBeSetIsSaid(t *testing.T) {
	const file = "case: a\nunits: [{part: helix, rise: 3, notches: tragus}]\n"
	for path, c := range map[string]struct {
		value any
		want  string
	}{
		"":                            {1.0, "no value is named"},
		"skin":                        {1.0, "it is a section; name a value in it: lateral, medial"},
		"skin.latteral":               {1.0, `"latteral": unknown key. Did you mean lateral?`},
		"skin.lateral":                {7.0, `skin.lateral: found "7", expected a number from 0 to 6 mm`},
		"skin[1]":                     {1.0, "[1]: there is no list to look it up in"},
		"step.at":                     {1.0, "at: there are no keys and values"},
		"units[helix].rise[2].height": {1.0, "there is no list"},
		"units[lobule].thickness":     {1.0, `found "lobule", expected one of base`},
		"units[helix]":                {1.0, "it is a section"},
		"units.helix":                 {1.0, "helix: there are no keys and values"},
		"units[helix.thickness":       {1.0, "such as units[helix] is expected"},
		"side":                        {3.0, `found "3", expected one of left, right`},
		"template.mirror":             {"yes", "expected true or false"},
		"engrave.depth":               {[]float64{1}, "found a list, expected a number"},
		"casting.mix[plaster].share":  {2.0, ""},
	} {
		_, err := parsed(t, file).With(path, c.value)
		if c.want == "" {
			assert.NoError(t, err, path)
			continue
		}
		var faults Errors
		if assert.ErrorAs(t, err, &faults, path) {
			assert.ErrorContains(t, err, c.want, path)
		}
	}
}

func TestACaseIsSavedWholeOrNotAtAll(t *testing.T) {
	path := filepath.Join(t.TempDir(), "case.yaml")
	const text = "# mine\ncase: a\nstep: 0.2\n"
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	c, err := Read(path)
	require.NoError(t, err)
	edited, err := c.With("step", 0.25)
	require.NoError(t, err)
	saved, err := edited.Save(t.Context())
	require.NoError(t, err)
	onDisk, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "# mine\ncase: a\nstep: 0.25\n", string(onDisk))
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "who may read it stays")

	// The one that was read first is no longer what stands there.
	other, err := c.With("step", 0.3)
	require.NoError(t, err)
	_, err = other.Save(t.Context())
	var changed *ChangedError
	require.ErrorAs(t, err, &changed)
	assert.ErrorContains(t, err, "the file was changed since it was read; it was not written over")
	_, err = saved.Save(t.Context())
	assert.NoError(t, err, "what stands there can be saved again")

	fresh, err := Parse(path, []byte(text))
	require.NoError(t, err)
	_, err = fresh.Save(t.Context())
	require.ErrorAs(t, err, &changed)
	assert.ErrorContains(t, err, "there is a file of that name already")
	require.NoError(t, os.Remove(path))
	_, err = saved.Save(t.Context())
	require.ErrorAs(t, err, &changed)
	assert.ErrorContains(t, err, "the file is gone")
	_, err = fresh.Save(t.Context())
	require.NoError(t, err)

	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, left, 1, "nothing unfinished is left behind")
}
