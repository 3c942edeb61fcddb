package casefile

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestValuesOfThePracticeSetAreToldFromTheFrameworks(t *testing.T) {
	for path, of := range map[string]bool{
		"cartilage.margin": true, "cartilage.ribs[8].length": true, "kit.bed.width": true, "casting.mix": true,
		"units[helix].thickness": false, "pocket.margin": false, "case": false,
	} {
		assert.Equal(t, of, OfPractice(path), path)
	}
}
