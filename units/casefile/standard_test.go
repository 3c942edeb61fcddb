package casefile

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/goccy/go-yaml/ast"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/units/parts"
)

func newCase() []byte {
	text, err := New("my-case", nil)
	if err != nil {
		panic(err) // it starts from nothing
	}
	return text
}

// uncommented returns a new case's text with every default and example given.
func uncommented() string {
	var text strings.Builder
	for line := range strings.Lines(string(newCase())) {
		trimmed := strings.TrimLeft(line, " ")
		if rest, is := strings.CutPrefix(trimmed, "# "); is && looksLikeAKey(rest) {
			line = line[:len(line)-len(trimmed)] + rest
		}
		text.WriteString(line)
	}
	return text.String()
}

// The values as they were before there was a table: what a record has said so far.
func TestDefaultsAreThoseOfTheRecord(t *testing.T) {
	for path, want := range map[string]struct {
		value  any
		origin Origin
		note   string
	}{
		"side":                    {"left", Default, "earframe's own choice"},
		"template.file":           {"template.svg", Default, "earframe's own choice"},
		"template.drawn":          {"skin", Default, "earframe's own choice"},
		"template.mirror":         {false, Default, "earframe's own choice"},
		"skin.lateral":            {2.0, Default, "common practice, no source"},
		"skin.medial":             {1.5, Default, "common practice, no source"},
		"printer":                 {"filament", Default, "earframe's own choice"},
		"engrave.on":              {true, Default, "earframe's own choice"},
		"engrave.depth":           {0.5, Default, "earframe's own choice"},
		"step":                    {0.2, Default, "earframe's own choice"},
		"tolerance":               {0.01, Default, "earframe's own choice"},
		"fillet":                  {0.0, Default, "earframe's own choice"},
		"units[].clearance":       {0.0, Default, "a tight fit"},
		"units[].recesses[].wall": {30.0, Default, "earframe's own choice"},
		"units[].recesses[].depth": {
			1.0, UnsourcedDefault, "no published value was found",
		},
		"pocket.suction": {
			117.6 * MmHg, Default, "a squeezed 100 ml bulb drain at first, Carruthers, Eisemann, Lamp and Kocak, Plast Surg " +
				"Nurs",
		},
		"skin.tension":            {13.5, Default, forearm},
		"skin.tension_sd":         {5.0, Default, forearm},
		"skin.modulus":            {129.0, Default, forearm},
		"pocket.margin":           {10.0, Default, "common practice, no source"},
		"pocket.extra_skin":       {0.0, Default, "none"},
		"cartilage.size":          {"child", Default, "earframe's own choice"},
		"cartilage.margin":        {0.5, UnsourcedDefault, "earframe's own choice"},
		"cartilage.kerf":          {0.3, UnsourcedDefault, "earframe's own choice"},
		"cartilage.helix_reserve": {3.0, UnsourcedDefault, "earframe's own choice"},
		"cartilage.material":      {"silicone", Default, "earframe's own choice"},
		"cartilage.strain_limit":  {nil, UnsourcedDefault, ""},
		"casting.mould":           {"fitting", Default, "earframe's own choice"},
		"casting.cast":            {"elastic", Default, "earframe's own choice"},
		"casting.wall":            {3.0, UnsourcedDefault, "earframe's own choice"},
		"casting.draft":           {0.0, Default, "earframe's own choice"},
		"casting.shrinkage":       {0.0, Default, "see the material's data sheet"},
		"casting.spare":           {15.0, UnsourcedDefault, "earframe's own choice"},
		"kit.bed.width":           {180.0, UnsourcedDefault, "earframe's own choice"},
		"kit.bed.depth":           {180.0, UnsourcedDefault, "earframe's own choice"},
		"kit.gap":                 {4.0, UnsourcedDefault, "earframe's own choice"},
		"fixation.spacing":        {3.0, Default, "common practice, no source"},
		"fixation.wire":           {0.1, UnsourcedDefault, "38 gauge on the scale of sutures, from memory"},
		"fixation.allowance":      {60.0, UnsourcedDefault, "earframe's own choice"},
		"sheets.paper":            {"a4", Default, "earframe's own choice"},
		"sheets.contour":          {0.5, Default, "earframe's own choice"},
		// What has none, or depends.
		"template.ear_length": {}, "pocket.depth": {}, "fixation.hole": {}, "cartilage.joint.width": {},
		"kit.clearance": {nil, Default, ""}, "engrave.text": {nil, Default, "side and case"},
		"units[].thickness": {nil, UnsourcedDefault, "layer height from memory, no published table was found"},
	} {
		row, ok := Find(path)
		require.True(t, ok, path)
		assert.Equal(t, want.value, row.Default, path)
		assert.Equal(t, want.origin, row.Origin, path)
		assert.Equal(t, want.note, row.Note, path)
	}
	row, _ := Find("pocket.bridging_radius")
	assert.Nil(t, row.Default, "it follows from the suction")
}

func TestHelpSchemaAndNewCaseShowTheTablesDefaults(t *testing.T) {
	shown := parsed(t, uncommented())
	var schema map[string]any
	require.NoError(t, json.Unmarshal(Schema(), &schema))
	checked := 0
	var check func(k *key, given *Entry, schema map[string]any, row parts.Row)
	check = func(k *key, given *Entry, schema map[string]any, row parts.Row) {
		properties := schema["properties"].(map[string]any)
		for _, sub := range k.keys {
			property := properties[sub.name].(map[string]any)
			if sub.form == sectionForm && sub.free == nil {
				check(sub, given.Field(sub.name), property, row)
				continue
			}
			if sub.std == nil {
				assert.NotContains(t, property, "default", sub.name)
				continue
			}
			value := sub.std.value
			if sub.std.ofPart != nil && row.Part != "" {
				value = sub.std.ofPart(row)
			}
			if value == nil {
				continue
			}
			checked++
			written := sub.written(value)
			assert.Contains(t, property["description"], " "+written, sub.name)
			if sub.std.value != nil && sub.form != listForm {
				assert.Equal(t, value, property["default"], sub.name)
			}
			entry := given.Field(sub.name)
			switch {
			case entry == nil: // shown for the first part only
				assert.Contains(t, []string{"name", "clearance"}, sub.name)
				assert.NotEqual(t, parts.Base, row.Part, sub.name)
			case sub.form == listForm:
				assert.Equal(t, len((&reader{}).read(mustParse(t, written), sub, "").Items), len(entry.Items), sub.name)
			case sub.form == numberForm:
				assert.Equal(t, value, entry.Number, sub.name)
			default:
				assert.Equal(t, written, entry.Text, sub.name)
			}
		}
	}
	check(caseKeys(), shown.root, schema, parts.Row{})
	items := schema["properties"].(map[string]any)["units"].(map[string]any)["items"].(map[string]any)
	require.Len(t, shown.root.Field("units").Items, len(parts.All()))
	for i, row := range parts.All() {
		check(unitKeys(), shown.root.Field("units").Items[i], items, row)
	}
	assert.Greater(t, checked, 50)
}

func mustParse(t *testing.T, text string) ast.Node {
	body, err := parseYAML("", []byte(text))
	require.NoError(t, err)
	return body
}

func TestANewCaseGivesItsNameAndWhatItsExampleGives(t *testing.T) {
	assert.Equal(t, map[string]string{".case": "my-case"}, parsed(t, string(newCase())).root.values(""))
	for _, from := range []string{
		"../demo/good/case.yaml", "../demo/hard/case.yaml", filepath.Join(cases, "everything.yaml"),
	} {
		example, err := Read(from)
		require.NoError(t, err)
		text, err := New("my-case", example)
		require.NoError(t, err)
		want := example.root.values("")
		want[".case"] = "my-case"
		assert.Equal(t, want, parsed(t, string(text)).root.values(""), from)
		for _, k := range caseKeys().keys {
			assert.True(t, strings.Contains(string(text), k.name+":"), "%s is there to be filled in", k.name)
		}
		for line := range strings.Lines(string(text)) {
			assert.LessOrEqual(t, len([]rune(line)), 120, line)
		}
	}
}
