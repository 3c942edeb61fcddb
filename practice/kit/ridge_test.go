package kit

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/field"
	"earframe/mesh/wall"
)

// Two rooms half a millimetre apart, as deep as the clearance, leave a ridge
// between them; deeper ones leave a wall of that thickness.
func TestARidgeNoHigherThanTheClearanceIsNoWall(t *testing.T) {
	const clearance, apart, thickness = 0.25, 0.5, 3.0
	plate := prismOf(t, rectangle(-4, -4, 4, 4), field.Level(0), thickness)
	thinnest := func(deep float64) (counted, all float64) {
		room := field.Union(
			prismOf(t, rectangle(-3, -3, -apart/2, 3), field.Level(thickness-deep), 5),
			prismOf(t, rectangle(apart/2, -3, 3, 3), field.Level(thickness-deep), 5))
		solid := field.Difference(plate, room)
		m := contoured(t, solid, 0.2)
		measured := func(o wall.Options) float64 {
			walls, err := wall.OfMesh(context.Background(), m, o)
			require.NoError(t, err)
			return walls.Least().Thickness
		}
		return measured(wall.Options{Drawn: plate, Plain: solid, Slack: signSlack,
			Ridge: clearance + signSlack}), measured(wall.Options{})
	}
	counted, all := thinnest(clearance)
	assert.InDelta(t, thickness-clearance, counted, 0.02, "under the seats")
	assert.InDelta(t, apart, all, 0.02, "the ridge is there")
	counted, _ = thinnest(1.5)
	assert.InDelta(t, apart, counted, 0.02)
}
