package template

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"earframe/internal/kept"
)

func TestOptionsThatReadADrawingOtherwiseHaveAnotherKey(t *testing.T) {
	seen := map[kept.Key]int{}
	for i, o := range []Options{
		{}, {EarLength: 60}, {Mirror: true}, {Tolerance: 0.01},
		{Names: map[string][]string{"a": {}}}, {Names: map[string][]string{"a": {"base"}}},
		{Names: map[string][]string{"a": {"base", "ear"}}}, {Names: map[string][]string{"a": {"ear", "base"}}},
		{Names: map[string][]string{"a": {"base"}, "b": {}}}, {Names: map[string][]string{"a": {}, "b": {"base"}}},
	} {
		other, twice := seen[o.Key()]
		assert.False(t, twice, "%d and %d", i, other)
		seen[o.Key()] = i
	}
	one := Options{Names: map[string][]string{"a": {"base"}, "b": {"ear"}, "c": nil}}
	two := Options{Names: map[string][]string{"c": {}, "b": {"ear"}, "a": {"base"}}}
	assert.Equal(t, one.Key(), two.Key())
}
