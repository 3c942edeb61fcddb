package units

import _ "embed" // the case file that a new case begins with

//go:embed new_case.yaml
var newCase []byte

// NewCase returns the text of a case file to edit: every key with its default
// and a comment. SchemaFile must be written beside it.
func NewCase() []byte { return append([]byte(nil), newCase...) }

// SchemaFile is the name under which the schema is written beside a case file,
// where the first line of NewCase points editors to it.
const SchemaFile = "case.schema.json"
