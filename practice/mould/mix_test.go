package mould

import (
	"math"
	"testing"

	"earframe/units"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Silicone : cornstarch 2 : 1 by volume is published for practice casts of ribs
// 6 to 9: PMC7380086 (2020).
func TestMixOfSiliconeAndCornstarch(t *testing.T) {
	casting := units.Casting{Mix: []units.Ingredient{{Name: "silicone", Share: 2}, {Name: "cornstarch", Share: 1}},
		Spare: 0.2}
	table, err := MixTable(casting, []*Mould{
		{Name: "base", CavityML: 9, ChannelsML: 1},
		{Name: "helix", CavityML: 5},
	})
	require.NoError(t, err)
	assert.Equal(t, []Mix{
		{"base", 9, 10, 12, []Portion{{"silicone", 8}, {"cornstarch", 4}}},
		{"helix", 5, 5, 6, []Portion{{"silicone", 4}, {"cornstarch", 2}}},
		{WholeSet, 14, 15, 18, []Portion{{"silicone", 12}, {"cornstarch", 6}}},
	}, table)
}

func TestAMixNeedsSharesAndNoNegativeSpare(t *testing.T) {
	for _, casting := range []units.Casting{
		{},
		{Mix: []units.Ingredient{{Name: "silicone", Share: 0}}},
		{Mix: []units.Ingredient{{Name: "silicone", Share: -1}, {Name: "oil", Share: 2}}},
		{Mix: []units.Ingredient{{Name: "silicone", Share: math.NaN()}}},
		{Mix: []units.Ingredient{{Name: "silicone", Share: 1}}, Spare: -0.1},
		{Mix: []units.Ingredient{{Name: "silicone", Share: 1}}, Spare: math.Inf(1)},
	} {
		_, err := MixTable(casting, nil)
		require.Error(t, err)
		assert.Contains(t, err.Error(), "casting.")
	}
}
