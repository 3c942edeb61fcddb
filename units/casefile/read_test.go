package casefile

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/template"
)

func TestFaultsOfACaseFileAreLocatedAndSayWhatToDo(t *testing.T) {
	for name, c := range map[string]struct{ file, want string }{
		"unknown key with its nearest": {
			"case: a\nunits:\n  - part: helix\n    thicknes: 3\n",
			"c.yaml:4:5: units[helix].thicknes: unknown key. Did you mean thickness? Known here: part, name, outlines, " +
				"thickness, rise, edge, recesses, ribs, pieces, notches, clearance",
		},
		"unknown key at the top": {"case: a\nsied: left\n", "c.yaml:2:1: sied: unknown key. Did you mean side? Known " +
			"here: case, side, template,"},
		"unknown key near nothing": {"case: a\nzebra: 1\n", "c.yaml:2:1: zebra: unknown key. Known here:"},
		"words for a number":       {"case: a\nskin: {lateral: thick}\n", `c.yaml:2:17: skin.lateral: found "thick", expected a number from 0 to 6 mm`},
		"a unit beside a number":   {"case: a\nskin:\n  lateral: 2 mm\n", `found "2 mm", expected a number from 0 to 6 mm. Write the number alone; it is taken as mm`},
		"decimal comma":            {"case: a\nstep: 0,2\n", "Write a decimal point instead of the comma"},
		"number in quotes":         {"case: a\nstep: '0.2'\n", `found "0.2", expected a number from 0.05 to 1 mm. Remove the quotes`},
		"hexadecimal":              {"case: a\nstep: 0x1\n", `found "0x1", expected a number`},
		"octal":                    {"case: a\npocket: {margin: 010}\n", `found "010", expected a number`},
		"not a number":             {"case: a\nstep: .nan\n", `c.yaml:2:7: step: found ".nan", expected a number`},
		"infinity":                 {"case: a\nstep: -.inf\n", `found "-.inf", expected a number`},
		"absurdly large":           {"case: a\nunits: [{part: base, thickness: 1e308}]\n", `units[base].thickness: found "1e308", expected a number from 0.2 to 30 mm`},
		"beyond every number":      {"case: a\nstep: 1e999\n", `found "1e999"`},
		"negative thickness":       {"case: a\nunits: [{part: base, thickness: -3}]\n", `found "-3", expected a number from 0.2 to 30 mm`},
		"no value":                 {"case: a\nside:\n", "c.yaml:2:7: side: no value, expected one of left, right"},
		"wrong choice":             {"case: a\nside: lefft\n", `side: found "lefft", expected one of left, right. Did you mean left?`},
		"flag in words":            {"case: a\nengrave: {on: yes}\n", `found "yes", expected true or false`},
		"list for a section":       {"case: a\nskin: [1, 2]\n", "skin: found a list, expected keys and values"},
		"section for a number":     {"case: a\nstep: {a: 1}\n", "step: found keys and values, expected a number"},
		"word for a list":          {"case: a\nunits: helix\n", `units: found "helix", expected a list. Begin each entry with a dash`},
		"word for a rise":          {"case: a\nunits: [{part: helix, rise: high}]\n", `found "high", expected a number from -20 to 30 mm, or a list`},
		"profile of one point": {"case: a\nunits: [{part: helix, rise: [{at: 0, height: " +
			"1}]}]\n", "units[helix].rise: number of entries is 1, expected 2 to 64"},
		"profile point without height": {"case: a\nunits: [{part: helix, rise: [{at: 0}, {at: 1, height: " +
			"1}]}]\n", "units[helix].rise[1].height: missing, expected a number"},
		"rib with a fraction": {"case: a\nunits: [{part: helix, ribs: 8.5}]\n", `found "8.5", expected a whole number from 5 to 10`},
		"given twice": {"case: a\nstep: 0.2\nstep: 0.3\n", "c.yaml:3:1: step: given twice, first on line " +
			"2. Remove one"},
		"a mix of too many": {"case: a\ncasting: {mix: [" + strings.Repeat("{name: a, share: "+
			"1}, ", 9) + "]}\n", "casting.mix: number of entries is 9, expected 1 to 8"},
		"a name no sheet can show": {"case: a\ncasting: {mix: [{name: 硅, share: 1}]}\n", "expected 1 to 40 letters of " +
			"western European languages"},
		"case missing":      {"side: left\n", "c.yaml:1:1: case: missing"},
		"case with a slash": {"case: ../x\n", `case: found "../x", expected 1 to 40 letters`},
		"part missing": {"case: a\nunits: [{thickness: 3}]\n", "units[1].part: missing, expected one of " +
			"base, helix"},
		"entry of nothing": {"case: a\nunits:\n-\n", "units[1]: no value, expected keys and values"},
		"file of nothing":  {"~\n", "c.yaml:1:1: no value, expected keys and values"},
		"anchor":           {"case: &a x\n", "anchors, aliases and tags are not used in a case file"},
		"alias":            {"case: &a x\nside: *a\n", "c.yaml:2:7: side: anchors"},
		"merge":            {"case: a\n<<: {side: left}\n", "a key that is not a plain word"},
		"tag":              {"case: !!str a\n", "anchors, aliases and tags"},
		"empty":            {"", "c.yaml: the file is empty. earframe new"},
		"only comments":    {"# nothing\n", "the file is empty"},
		"a list":           {"- case: a\n", "c.yaml:1:1: found a list, expected keys and values"},
		"two documents":    {"case: a\n---\ncase: b\n", "2 documents, one expected"},
		"tab": {"case: a\nskin:\n\tlateral: 2\n", "c.yaml:3:1: not valid YAML: found a tab. " +
			"Indent with spaces, not with tabs"},
		"tab after a key": {"case: a\nskin: {lateral: 2}\nunits:\n  - part: base\n\tribs: 6\n", "c.yaml:5:1: " +
			"not valid YAML: found a tab"},
		"text that is too long": {"case: a\nengrave: {text: " + strings.Repeat("long ", 9) + "}\n", "expected 1 to " +
			"40 plain characters. It has 44"},
		"open bracket": {"case: a\nribs: [6, 7\n", "not valid YAML"},
		"not YAML":     {"\x00\x01\x02: x", "c.yaml"},
		"UTF-16": {"\xff\xfec\x00a\x00s\x00e\x00", "c.yaml: not UTF-8 text. Save it as plain text, " +
			"encoding UTF-8"},
		"deep brackets": {"case: " + strings.Repeat("[", 40000), "brackets opened 40000 deep, at most 32 " +
			"expected"},
		"too large":            {"case: " + strings.Repeat("a", 70000), "70006 bytes, at most 65536 expected"},
		"name that is no part": {"case: a\ntemplate: {names: {path1: helx}}\n", `template.names.path1[1]: found "helx", expected one of ear, base, helix`},
		"outline without an id": {"case: a\nunits: [{part: base, outlines: []}]\n", "number of entries is 0, " +
			"expected 1 to 64"},
		"bridging radius in words": {"case: a\npocket: {bridging_radius: nonne}\n", `found "nonne", expected a number from 1 to 1000 mm, or the word none`},
		"suction without its unit": {"case: a\npocket: {suction: 118}\n", `pocket.suction: found "118", expected a number from 0 to 80 kPa with its unit, kPa or mmHg, or the word none. Write the unit: 118 kPa or 118 mmHg`},
		"suction below zero":       {"case: a\npocket: {suction: -5 mmHg}\n", `pocket.suction: found "-5 mmHg", expected a number from 0 to 80 kPa`},
		"suction above the air":    {"case: a\npocket: {suction: 601 mmHg}\n", `pocket.suction: found "601 mmHg", expected a number from 0 to 80 kPa with its unit, kPa or mmHg, or the word none`},
		"suction in other units":   {"case: a\npocket: {suction: 118 mmhg}\n", "Did you mean mmHg?"},
		"suction with a comma": {"case: a\npocket: {suction: '15,7 kPa'}\n", "Write a decimal point instead of the " +
			"comma"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Parse("c.yaml", []byte(c.file))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
			assert.Less(t, len(err.Error()), 2000, "an error is to be read")
		})
	}
}

func TestAllFaultsAreReportedAtOnceInTheFilesOrder(t *testing.T) {
	_, err := Parse("c.yaml", []byte("case: a\nsied: left\nskin: {lateral: -1}\nunits:\n  - {part: helix, thickness: "+
		"x}\n  - {part: ear}\n"))
	var faults Errors
	require.ErrorAs(t, err, &faults)
	require.Len(t, faults, 4)
	for i, line := range []int{2, 3, 5, 6} {
		assert.Equal(t, line, faults[i].Line)
	}
}

func TestAMissingFileIsSaidPlainly(t *testing.T) {
	_, err := Read(filepath.Join(t.TempDir(), "none.yaml"))
	assert.ErrorIs(t, err, fs.ErrNotExist)
	assert.ErrorContains(t, err, "none.yaml: no such file")
	_, err = Read(t.TempDir())
	assert.ErrorContains(t, err, "a folder, a file is expected")
}

func TestAHugeFileIsRefusedWithoutReadingItAll(t *testing.T) {
	path := filepath.Join(t.TempDir(), "huge.yaml")
	file, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, file.Truncate(50<<20)) // sparse
	require.NoError(t, file.Close())
	_, err = Read(path)
	assert.ErrorContains(t, err, "at most 65536 are expected")
}

func TestNewCaseIsValidAndEveryCommentedLineOfItToo(t *testing.T) {
	_, err := Parse("case.yaml", newCase())
	require.NoError(t, err)

	c, err := Parse("case.yaml", []byte(uncommented()))
	require.NoError(t, err)
	assert.Len(t, c.root.Field("units").Items, 5)
	for _, k := range caseKeys().keys {
		assert.NotNil(t, c.root.Field(k.name), "the new case shows the key %s", k.name)
	}
	for _, k := range unitKeys().keys {
		assert.Contains(t, string(newCase()), k.name+":")
	}
}

func looksLikeAKey(line string) bool {
	word, _, found := strings.Cut(strings.TrimPrefix(strings.TrimLeft(line, " "), "- "), ":")
	return found && !strings.Contains(strings.TrimPrefix(word, "{"), " ") && word != "yaml-language-server"
}

func TestFilesOfOtherSystemsAreRead(t *testing.T) {
	for name, file := range map[string]string{
		"Windows line ends": "case: a\r\nskin:\r\n  lateral: 1.5\r\nunits:\r\n  - part: helix\r\n    thickness: 3\r\n",
		"byte order mark":   "\ufeffcase: a\nskin: {lateral: 1.5}\n",
		"no last line end":  "case: a\nskin: {lateral: 1.5}",
	} {
		c, err := Parse("c.yaml", []byte(file))
		require.NoError(t, err, name)
		assert.Equal(t, "a", c.root.Field("case").Text, name)
		assert.Equal(t, 1.5, c.root.Field("skin").Field("lateral").Number, name)
	}
	_, err := Parse("c.yaml", []byte("case: a\r\nsied: left\r\n"))
	assert.ErrorContains(t, err, "c.yaml:2:1: sied: unknown key")
}

func TestNearestKeyIsTheOneThatWasMeant(t *testing.T) {
	known := unitKeys().names()
	for wrong, meant := range map[string]string{
		"thicknes": "thickness", "Thickness": "thickness", "tihckness": "thickness", "rize": "rise",
		"notch": "notches", "outline": "outlines", "rib": "ribs", "egde": "edge", "colour": "",
	} {
		assert.Equal(t, meant, template.Nearest(wrong, known), wrong)
	}
}
