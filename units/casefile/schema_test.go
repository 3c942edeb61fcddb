package casefile

import (
	"bytes"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// compiledSchema is judged by an independent implementation of JSON Schema
// (draft 2020-12), which also holds the schema itself against the meta-schema.
func compiledSchema(t testing.TB) *jsonschema.Schema {
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	compiler := jsonschema.NewCompiler()
	require.NoError(t, compiler.AddResource("case.schema.json", document))
	schema, err := compiler.Compile("case.schema.json")
	require.NoError(t, err)
	return schema
}

func TestSchemaAndReaderAgree(t *testing.T) {
	schema := compiledSchema(t)
	for _, c := range []struct {
		file  string
		valid bool
	}{
		{string(newCase()), true},
		{"case: a\n", true},
		{"case: 12\n", true},
		{"case: a\nunits: []\n", true},
		{"case: a\nunits:\n", true},
		{"case: a\nunits: [{part: helix, rise: 3, ribs: 8, notches: tragus}]\n", true},
		{"case: a\nunits: [{part: helix, rise: [{at: 0, height: -1}, {at: 1, height: 2}], ribs: [8, 9]}]\n", true},
		{"case: a\ntemplate: {names: {path1: base, path2: [ear, concha]}}\n", true},
		{"case: a\npocket: {bridging_radius: none}\n", true},
		{"case: a\npocket: {bridging_radius: 40, depth: 9}\n", true},
		{"case: a\npocket: {suction: 118 mmHg}\n", true},
		{"case: a\npocket: {suction: '.5kPa'}\n", true},
		{"case: a\npocket: {suction: none}\n", true},
		{"case: a\npocket: {suction: 118}\n", false},
		{"case: a\npocket: {suction: -1 kPa}\n", false},
		{"case: a\npocket: {suction: 2 bar}\n", false},
		{"case: a\npocket: {suction: 118 mm Hg}\n", false},
		{"case: a\nleave_out: [tragus, concha]\n", true},
		{"case: a\nunits: [~]\n", false},
		{"case: a\nskin:\n", true},
		{"side: left\n", false},
		{"case: a\nsied: left\n", false},
		{"case: ../a\n", false},
		{"case: a\nside: middle\n", false},
		{"case: a\nskin: {lateral: -1}\n", false},
		{"case: a\nskin: {lateral: '2'}\n", false},
		{"case: a\nengrave: {on: 1}\n", false},
		{"case: a\nunits: [{thickness: 3}]\n", false},
		{"case: a\nunits: [{part: lobule}]\n", false},
		{"case: a\nunits: [{part: helix, rise: [{at: 0, height: 1}]}]\n", false},
		{"case: a\nunits: [{part: helix, rise: [{at: 0, height: 1}, {at: 2, height: 1}]}]\n", false},
		{"case: a\nunits: [{part: helix, ribs: [8.5]}]\n", false},
		{"case: a\nunits: [{part: helix, recesses: [{depth: 1}]}]\n", false},
		{"case: a\npocket: {bridging_radius: always}\n", false},
		{"case: a\ntemplate: {names: {path1: lobule}}\n", false},
	} {
		var document any
		require.NoError(t, yaml.Unmarshal([]byte(c.file), &document))
		_, read := Parse("c.yaml", []byte(c.file))
		judged := schema.Validate(document)
		assert.Equal(t, c.valid, read == nil, "reader: %v\n%s", read, c.file)
		assert.Equal(t, c.valid, judged == nil, "schema: %v\n%s", judged, c.file)
	}
}

func TestEveryKeyIsExplained(t *testing.T) {
	var walk func(k *key)
	walk = func(k *key) {
		for _, sub := range k.keys {
			assert.NotEmpty(t, sub.help, sub.name)
			if sub.form == numberForm {
				assert.Less(t, sub.least, sub.most, sub.name)
			}
			walk(sub)
		}
		for _, inner := range []*key{k.item, k.free, k.other} {
			if inner != nil {
				walk(inner)
			}
		}
	}
	walk(caseKeys())
}
