package template

import (
	"maps"
	"slices"

	"earframe/internal/kept"
)

// Key stands for the options: a drawing read twice with options of the same key
// gives the same sheet.
func (o Options) Key() kept.Key {
	made := []any{o.EarLength, o.Mirror, o.Tolerance}
	for _, id := range slices.Sorted(maps.Keys(o.Names)) {
		made = append(made, id, len(o.Names[id]))
		for _, part := range o.Names[id] {
			made = append(made, part)
		}
	}
	return kept.KeyOf(made...)
}
