package casefile

import (
	"bytes"
	_ "embed" // the case file that a new case begins with
)

//go:embed new_case.yaml
var newCase []byte

// New returns the text of a case file to edit, under the case's name: every
// key with its default and a comment. SchemaFile must be written beside it.
func New(name string) []byte {
	return bytes.Replace(newCase, []byte("case: my-case"), []byte("case: "+name), 1)
}

// SchemaFile is the name under which the schema is written beside a case file,
// where the first line of New points editors to it.
const SchemaFile = "case.schema.json"
