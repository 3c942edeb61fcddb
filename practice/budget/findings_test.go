package budget

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"earframe/internal/demotest"
	"earframe/units"
)

func TestAUnitThatBarelyComesOutOfItsPieceIsSaid(t *testing.T) {
	for _, c := range []struct {
		unit Unit
		said bool
	}{
		{Unit{Unit: "antihelix", Verdict: Fits, Spare: 0.1, Taken: -1}, true},
		{Unit{Unit: "antihelix", Verdict: Fits, Spare: 0.8, Taken: -1}, false},
		{Unit{Unit: "antihelix", Verdict: FitsInPieces, Spare: -2, Taken: 0, Alternatives: []Alternative{{Spare: 0.05}}},
			true},
		{Unit{Unit: "antihelix", Verdict: FitsInPieces, Spare: -2, Taken: 0, Alternatives: []Alternative{{Spare: 1}}},
			false},
	} {
		found := (&checker{}).findings(c.unit)
		if !c.said {
			assert.Empty(t, found)
			continue
		}
		if assert.Len(t, found, 1) {
			assert.Equal(t, map[string]units.Severity{"cartilage-fits-closely": units.Warning},
				demotest.Kinds(t, found))
			assert.Equal(t, "antihelix", found[0].Unit)
			assert.Contains(t, found[0].Message, "only 0.1 mm to spare")
		}
	}
}
