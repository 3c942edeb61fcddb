package kit_test

import (
	"math"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/practice/kit"
	"earframe/units"
)

// What has no room for side and order carries the order, then as many dimples,
// then nothing, and only that is said.
func TestASmallPrintCarriesItsNumberOrAsManyDimples(t *testing.T) {
	for _, c := range []struct {
		length, width float64
		letter        string
	}{
		{9, 7, "L2"},
		{5, 3.6, "2"},
		{4, 2.4, "2 dimples"},
		{2, 1.2, ""},
	} {
		k := made(t, stackedAt(t, coarse,
			box(units.Base, mgl64.Vec3{-10, -7, 0}, mgl64.Vec3{10, 7, 3}),
			box(units.Tragus, mgl64.Vec3{-c.length / 2, -c.width / 2, 3}, mgl64.Vec3{c.length / 2, c.width / 2, 6})))
		assert.Equal(t, c.letter, k.Pieces[1].Letter, "%g × %g mm", c.length, c.width)
		var said []units.Finding
		for _, f := range k.Findings {
			if strings.Contains(f.Message, "engraved") {
				said = append(said, f)
			}
		}
		if c.letter != "" {
			assert.Empty(t, said)
			continue
		}
		require.Len(t, said, 1)
		assert.Equal(t, "tragus", said[0].Unit)
		assert.Contains(t, said[0].Message, `"L2" is not engraved in the print of tragus`)
	}
}

// Two pits are two cylinders as deep as the engraving: the face under the plate
// has lost two discs, which lie deeper by that.
func TestDimplesAreRoundPitsAsManyAsTheNumber(t *testing.T) {
	f := stackedAt(t, 0.1,
		box(units.Base, mgl64.Vec3{-3, -3, 0}, mgl64.Vec3{3, 3, 3}),
		box(units.Tragus, mgl64.Vec3{-2, -1.2, 3}, mgl64.Vec3{2, 1.2, 5}))
	k := made(t, f)
	p := &k.Pieces[1]
	require.Equal(t, "2 dimples", p.Letter)
	gone := 4*2.4*2 - p.Mesh.Volume()
	radius := math.Sqrt(gone / (2 * math.Pi * f.Plan.Engrave.Depth))
	assert.GreaterOrEqual(t, 2*radius, f.Plan.Printer.EngraveWidth*0.98, "a pit is as wide as a line that prints")
	floors := discs(p, 3+f.Plan.Engrave.Depth)
	require.Len(t, floors, 2)
	assert.GreaterOrEqual(t, floors[0].Sub(floors[1]).Len(), 2*radius+f.Plan.Printer.Wall-0.05,
		"the ridge between them is a wall that prints")
}

// discs returns the middles of the level faces at a height that lie apart.
func discs(p *kit.Print, height float64) []mgl64.Vec2 {
	of := map[int32]int32{}
	var first func(v int32) int32
	first = func(v int32) int32 {
		if w, ok := of[v]; ok && w != v {
			return first(w)
		}
		return v
	}
	floor := func(v int32) bool { return math.Abs(p.Mesh.Vertices[v][2]-height) < 0.01 }
	for _, t := range p.Mesh.Triangles {
		if floor(t[0]) && floor(t[1]) && floor(t[2]) {
			for _, v := range t {
				of[first(v)] = first(t[0])
			}
		}
	}
	lo, hi := map[int32]mgl64.Vec2{}, map[int32]mgl64.Vec2{}
	var order []int32
	for i := range p.Mesh.Vertices {
		v := int32(i)
		if _, ok := of[v]; !ok {
			continue
		}
		root, at := first(v), p.Mesh.Vertices[v].Vec2()
		if _, ok := lo[root]; !ok {
			order = append(order, root)
			lo[root], hi[root] = at, at
		}
		l, h := lo[root], hi[root]
		lo[root] = mgl64.Vec2{min(l[0], at[0]), min(l[1], at[1])}
		hi[root] = mgl64.Vec2{max(h[0], at[0]), max(h[1], at[1])}
	}
	var middles []mgl64.Vec2
	for _, root := range order {
		middles = append(middles, lo[root].Add(hi[root]).Mul(0.5))
	}
	return middles
}
