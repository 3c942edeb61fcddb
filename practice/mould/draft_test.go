package mould

import (
	"math"
	"testing"

	"earframe/field"
	"earframe/internal/demotest"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
)

// Rays of an independent library, sent from the cavity's wall along the pull,
// leave the mould without meeting it again, and no wall is steeper than the
// draft.
func TestACastIsDrawnOutPastDraftedWalls(t *testing.T) {
	const draft = 4 * math.Pi / 180
	for name, test := range map[string]struct {
		solid field.Field
		kind  string
	}{
		"open, ring-shaped plate": {field.Difference(plate(t, rectangle(t, 30, 24), 0, 5, 0, 0),
			plate(t, round(t, mgl64.Vec2{}, 6), -1, 6, 0, 0)), units.MouldOpen},
		"two parts, plate": {plate(t, rectangle(t, 24, 12), 0, 5, 0.5, 0.5), units.MouldTwoPart},
		"two parts, arch":  {arch(t), units.MouldTwoPart},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := options(t, test.kind)
			o.Draft = draft
			m := makeOf(t, "part", test.solid, o)
			const offWall = 0.06 // mm: beyond what contouring leaves
			assert.Empty(t, m.Undercuts)
			for i := range m.Pieces {
				p := &m.Pieces[i]
				pull := model3d.Z(1)
				if p.Name == Upper {
					pull = model3d.Z(-1)
				}
				collider := model3d.MeshToCollider(peer(p.Mesh))
				walls, steepest := 0, math.Inf(1)
				for _, q := range cavityWall(t, m, p, 1.5) {
					at := model3d.NewCoord3DArray(q)
					normal := wallNormal(m, q)
					from := at.Add(model3d.NewCoord3DArray(normal).Scale(-offWall))
					if inside(m, from) > -offWall/2 {
						continue // in a corner: beside another wall
					}
					require.Zero(t, collider.RayCollisions(&model3d.Ray{Origin: from, Direction: pull}, nil),
						"from %v, %s piece", q, p.Name)
					if lean := math.Asin(math.Min(1, -pull.Z*normal[2])); lean < math.Pi/8 {
						walls++
						steepest = math.Min(steepest, lean)
					}
				}
				assert.Greater(t, walls, 20)
				assert.GreaterOrEqual(t, degrees(steepest), degrees(draft)-0.01)
			}
		})
	}
}

// wallNormal is the outward normal of the cavity's field, which looks into the
// mould.
func wallNormal(m *Mould, p mgl64.Vec3) mgl64.Vec3 {
	out, gradient := make([]float64, 1), make([]mgl64.Vec3, 1)
	m.Cavity.Gradients([]mgl64.Vec3{p}, out, gradient)
	return gradient[0].Normalize()
}

// inside is the cavity's field at a point.
func inside(m *Mould, p model3d.Coord3D) float64 {
	out := make([]float64, 1)
	m.Cavity.Distances([]mgl64.Vec3{p.Array()}, out)
	return out[0]
}

// A plate a × b × d loses its draft all round: the frustum's volume is
// d/3 (A + A' + √(A A')) only for similar ends, so it is summed as a prismoid:
// d/6 (A + 4 M + A').
func TestADraftedPlateIsAPrismoid(t *testing.T) {
	const a, b, d = 20.0, 10.0, 4.0
	o := options(t, units.MouldOpen)
	o.Draft = 12 * math.Pi / 180
	m := makeOf(t, "plate", plate(t, rectangle(t, a, b), 0, d, 0, 0), o)
	area := func(depth float64) float64 {
		off := 2 * depth * math.Tan(o.Draft)
		return (a - off) * (b - off)
	}
	want := d / 6 * (area(0) + 4*area(d/2) + area(d))
	assert.InEpsilon(t, want/1000, m.CavityML, 0.001)
	require.Len(t, m.Findings, 1, "the draft takes a tenth of it")
	assert.Equal(t, map[string]units.Severity{"draft-takes-much": units.Warning}, demotest.Kinds(t, m.Findings))
	assert.Contains(t, m.Findings[0].Message, "percent of the unit's volume")
}

func TestADraftThatSwallowsThePartIsRefused(t *testing.T) {
	o := options(t, units.MouldOpen)
	o.Draft = 30 * math.Pi / 180
	_, err := Make(t.Context(), Part{Name: "tragus", Solid: plate(t, rectangle(t, 12, 3), 0, 4, 0, 0)}, o)
	require.ErrorIs(t, err, ErrDraft)
	assert.Contains(t, err.Error(), "tragus")
	assert.Contains(t, err.Error(), "at 4.0 mm depth 30 degrees take 2.31 mm off each side, half its width is 1.5")
	assert.Contains(t, err.Error(), "casting.draft less than 2")
}
