package casefile

import (
	"bytes"
	"encoding/json"
)

// Schema returns the JSON Schema (draft 2020-12) of the case file, for editors.
// It is made from the same table of keys as the reader's.
func Schema() []byte {
	schema := schemaOf(caseKeys())
	schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	schema["title"] = "earframe case"
	schema["description"] = "A plan for a practice framework of the outer ear. Lengths in mm. Practice, simulation and " +
		"explanation only."
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(schema); err != nil {
		panic(err) // maps, words and finite numbers always encode
	}
	return text.Bytes()
}

func schemaOf(k *key) map[string]any {
	schema := formSchema(k)
	if k.other != nil {
		schema = map[string]any{"anyOf": []any{schema, schemaOf(k.other)}}
	}
	if k.help != "" {
		schema["description"] = k.explained()
	}
	if k.std != nil && k.std.value != nil {
		schema["default"] = k.std.value
	}
	return schema
}

func formSchema(k *key) map[string]any {
	switch k.form {
	case textForm:
		// A name such as 12 is read as it is written.
		schema := map[string]any{"type": []any{"string", "number"}}
		if k.pattern != "" {
			schema["pattern"] = k.pattern
		}
		return schema
	case choiceForm:
		return map[string]any{"enum": k.choices}
	case flagForm:
		return map[string]any{"type": "boolean"}
	case numberForm, wholeForm:
		kind := "number"
		if k.form == wholeForm {
			kind = "integer"
		}
		return map[string]any{"type": kind, "minimum": k.least, "maximum": k.most}
	case quantityForm:
		return map[string]any{"type": "string", "pattern": k.schemaPattern()}
	case listForm:
		items := map[string]any{"type": []any{"array", "null"}, "items": schemaOf(k.item), "minItems": k.fewest, "maxItems": k.mostItems()}
		if k.single {
			return map[string]any{"anyOf": []any{items, schemaOf(k.item)}}
		}
		return items
	default:
		return sectionSchema(k)
	}
}

func sectionSchema(k *key) map[string]any {
	schema := map[string]any{"type": []any{"object", "null"}}
	if k.free != nil {
		schema["additionalProperties"] = schemaOf(k.free)
		schema["maxProperties"] = maxEntries
		return schema
	}
	properties, needed := map[string]any{}, []string{}
	for _, sub := range k.keys {
		properties[sub.name] = schemaOf(sub)
		if sub.needed {
			needed = append(needed, sub.name)
		}
	}
	schema["properties"] = properties
	schema["additionalProperties"] = false
	if len(needed) > 0 {
		schema["type"] = "object" // an empty heading lacks what is needed
		schema["required"] = needed
	}
	return schema
}
