package units

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"

	"earframe/units/casefile"
)

// The plan takes every default out of the row of its key, and says of it what the
// row says.
func TestAPlanOfNothingGivenHasTheTablesDefaults(t *testing.T) {
	labels, seen := regexp.MustCompile(`\[[^]]*\]`), 0
	for _, v := range planOf(t, "case: a\ntemplate: {drawn: frame}\n", testSheet()).Values {
		row, known := casefile.Find(labels.ReplaceAllString(v.Path, "[]"))
		if v.Origin == Given || v.Origin == FromTemplate || !assert.True(t, known, v.Path) {
			continue
		}
		assert.Equal(t, row.Unit, v.Unit, v.Path)
		if row.Path != "units[].rise" { // which depends on where the part lies
			assert.Equal(t, row.Origin, v.Origin, v.Path)
			assert.Contains(t, v.Note, row.Note, v.Path)
		}
		switch row.Default.(type) {
		case float64, string, bool:
			assert.Equal(t, row.Default, v.Value, v.Path)
			seen++
		}
	}
	assert.Greater(t, seen, 35)
}
