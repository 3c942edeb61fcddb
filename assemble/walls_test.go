package assemble_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"earframe/assemble"
	"earframe/internal/demotest"
	"earframe/mesh/wall"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sameWall is how far walls of one solid may be apart, mm.
const sameWall = 0.05

// leastWalls measures each unit's thinnest wall, as Build does.
func leastWalls(t testing.TB, plan *units.Plan) map[string]float64 {
	t.Helper()
	lettered, err := plan.Lettered(context.Background())
	require.NoError(t, err)
	found := map[string]float64{}
	for _, s := range lettered.Plain {
		walls, err := wall.OfField(context.Background(), s.Field, wall.Options{Drawn: s.Drawn, Below: plan.Printer.Wall})
		require.NoError(t, err)
		found[s.Unit.Name] = walls.Least().Thickness
	}
	return found
}

// Whatever its name, its side and how it lies, the demo has the same walls.
func TestTheDemosWallsDependOnNothingButItsShape(t *testing.T) {
	want := leastWalls(t, demotest.Plan(t))
	names := []string{"B7", "abc", "2024-01-01"}
	for i := len(names); i < 20 && !testing.Short(); i++ {
		names = append(names, fmt.Sprintf("%c%d", 'A'+i, i*i))
	}
	for _, name := range names {
		for _, mirrored := range []string{"drawn: frame", "drawn: frame\n  mirror: true"} {
			for unit, least := range leastWalls(t, demotest.Plan(t, "demo-01", name, "drawn: frame", mirrored)) {
				assert.InDelta(t, want[unit], least, sameWall, "%s of %s, %s", unit, name, mirrored)
			}
		}
	}
}

func TestTheDemosWallsAreTheSameAtAnyStep(t *testing.T) {
	var want []wall.Walls
	for _, step := range []float64{0.4, 0.3, 0.2} {
		if step < 0.3 && testing.Short() {
			break
		}
		f, err := assemble.Build(context.Background(), demotest.Plan(t), assemble.Options{Step: step, Apart: true})
		require.NoError(t, err)
		var walls []wall.Walls
		for _, p := range f.Pieces {
			walls = append(walls, p.Walls)
		}
		if want == nil {
			want = walls
		}
		assert.Equal(t, want, walls, "step %g", step)
	}
}

// An independent measure: from many places on the demo's base, straight down and
// up through its field, the least way between a level face and what is across. It
// can find no thinner wall than the ball does, but for what it meets aslant.
func TestNoPlumbLineThroughTheVaultIsShorterThanItsThinnestWall(t *testing.T) {
	plan := demotest.Plan(t)
	want := leastWalls(t, plan)["concha"]
	solids, err := plan.Solids(context.Background())
	require.NoError(t, err)
	for _, s := range solids {
		if s.Unit.Name != "concha" {
			continue
		}
		box, least := s.Field.Bounds(), math.Inf(1)
		const step = 0.02
		for x := box.Min[0]; x < box.Max[0]; x += 0.25 {
			for y := box.Min[1]; y < box.Max[1]; y += 0.25 {
				var column []mgl64.Vec3
				for z := box.Min[2] - step/2; z < box.Max[2]+step; z += step {
					column = append(column, mgl64.Vec3{x, y, z})
				}
				out := make([]float64, len(column))
				s.Field.Distances(column, out)
				inside := 0
				for _, d := range out {
					if d < 0 {
						inside++
					} else if inside > 0 {
						least, inside = math.Min(least, float64(inside)*step), 0
					}
				}
			}
		}
		assert.InDelta(t, want, least, sameWall+step)
	}
}

// square is an outline of a side's length about the middle of the base's anterior
// bar, all of it over the base.
func square(t testing.TB, plan *units.Plan, side float64) template.Outline {
	t.Helper()
	o := plan.Unit("tragus").Outlines[0]
	x, y := 10.7, 4.0 // a broad place of the base, in the scapha's shade
	h := side / 2
	o.Outer, o.Holes = template.Ring{{x - h, y - h}, {x + h, y - h}, {x + h, y + h}, {x - h, y + h}}, nil
	return o
}

// seated is the demo's base with a square tragus let into it, and nothing else.
func seated(t testing.TB, side, rise, thickness float64) *units.Plan {
	t.Helper()
	plan := demotest.Plan(t)
	base, tragus := plan.Unit("base"), plan.Unit("tragus")
	base.Recesses, base.NotchFor = nil, []string{"tragus"}
	tragus.Outlines = []template.Outline{square(t, plan, side)}
	tragus.Rise, tragus.Thickness, tragus.EdgeTop, tragus.EdgeBottom = units.Rise{Height: rise}, thickness, 0, 0
	plan.Units = []*units.Unit{base, tragus}
	return plan
}

func ruled(found []units.Finding, rules ...string) (of []units.Finding) {
	for _, f := range found {
		for _, rule := range rules {
			if f.Rule == rule {
				of = append(of, f)
			}
		}
	}
	return of
}

var thinRules = []string{"wall-too-thin", "notch-leaves-thin-wall", "notch-leaves-crumb"}

// The literal limits, just inside and just outside: filament 0.9 mm, resin 0.6 mm.
func TestAWallIsTooThinBelowThePrintersLimitOnly(t *testing.T) {
	for name, limit := range map[string]float64{units.Filament: 0.9, units.Resin: 0.6} {
		for _, thickness := range []float64{limit - 0.01, limit + 0.01} {
			plan := seated(t, 3, 3, thickness)
			plan.Unit("base").NotchFor = nil
			plan.Printer, _ = units.PrinterLimits(name)
			found := ruled(built(t, plan).Findings, thinRules...)
			if thickness > limit {
				assert.Empty(t, found, "%s, %g mm", name, thickness)
				continue
			}
			require.Len(t, found, 1, "%s, %g mm", name, thickness)
			assert.Equal(t, "wall-too-thin", found[0].Rule)
			assert.Equal(t, units.Error, found[0].Severity)
			assert.Equal(t, "tragus", found[0].Unit)
			assert.InDelta(t, thickness, found[0].Value, 1e-3)
			assert.Equal(t, limit, found[0].Limit)
			assert.Contains(t, found[0].Message, "as drawn")
		}
	}
}

// A seat's floor that is too thin is a wall where the seat is large, and a crumb
// where it is small.
func TestAWallLeftByANotchIsToldFromACrumb(t *testing.T) {
	for _, c := range []struct {
		side, rise float64
		rule       string
		severity   units.Severity
	}{
		{3.5, 0.89, "notch-leaves-thin-wall", units.Error},
		{3.5, 0.91, "", ""},
		{1, 0.5, "notch-leaves-crumb", units.Warning},
		{1, 0.84, "notch-leaves-crumb", units.Warning},
		{1, 0.86, "", ""},
	} {
		found := ruled(built(t, seated(t, c.side, c.rise, 3)).Findings, thinRules...)
		if c.rule == "" {
			assert.Empty(t, found, "%+v", c)
			continue
		}
		require.Len(t, found, 1, "%+v", c)
		assert.Equal(t, c.rule, found[0].Rule, "%+v", c)
		assert.Equal(t, c.severity, found[0].Severity)
		assert.Equal(t, "base", found[0].Unit)
		assert.InDelta(t, c.rise, found[0].Value, 0.01)
		assert.Contains(t, found[0].Message, "the notch for tragus")
		assert.InDelta(t, 10.7, found[0].At[0], c.side/2+0.01)
		assert.InDelta(t, 4, found[0].At[1], c.side/2+0.01)
	}
}

// A neighbour that lies wholly within a unit leaves a hollow of its own volume.
func TestAHollowIsFoundWithItsVolume(t *testing.T) {
	for _, c := range []struct {
		side, thickness float64
		severity        units.Severity
	}{{3, 1, units.Error}, {3, 0.3, units.Error}, {1.8, 0.3, units.Warning}} {
		side := c.side
		found := ruled(built(t, seated(t, side, 1, c.thickness)).Findings, "unit-encloses-hollow")
		require.Len(t, found, 1)
		assert.Equal(t, c.severity, found[0].Severity)
		assert.Equal(t, "base", found[0].Unit)
		assert.InEpsilon(t, side*side*c.thickness, found[0].Value, 0.02)
		assert.InDelta(t, 10.7, found[0].At[0], side/2+0.1)
		assert.InDelta(t, 4, found[0].At[1], side/2+0.1)
		assert.InDelta(t, 1+c.thickness/2, found[0].At[2], c.thickness/2+0.1)
		assert.Contains(t, found[0].Message, "the notch for tragus does not come out there")
	}
	assert.Empty(t, ruled(built(t, seated(t, 3, 1, 2.5)).Findings, "unit-encloses-hollow"), "it stands out")
}

// The demo's helix, 0.2 mm thick, leaves holes in chains within the base frame and
// the vault: each of the two says how many and how large, at the largest.
func TestHollowsOfAThinHelixAreNamedInBaseAndVault(t *testing.T) {
	plan := demotest.Plan(t)
	helix := plan.Unit("helix")
	helix.Thickness, helix.EdgeTop, helix.EdgeBottom = 0.2, 0, 0
	f := built(t, plan)
	found := ruled(f.Findings, "unit-encloses-hollow")
	require.Len(t, found, 2)
	require.Equal(t, "helix", f.Pieces[1].Unit.Name)
	var cavities []int
	for i, name := range []string{"base", "concha"} {
		assert.Equal(t, name, found[i].Unit)
		assert.Contains(t, found[i].Message, "the notch for helix")
		for k := range f.Pieces {
			p := &f.Pieces[k]
			if p.Unit.Name != name {
				continue
			}
			cavities = append(cavities, p.Verdict.Cavities)
			most, all := 0.0, 0.0
			for _, shell := range p.Verdict.Shells {
				if shell.Cavity {
					all -= shell.Volume
					most = max(most, -shell.Volume)
				}
			}
			assert.Equal(t, most, found[i].Value)
			says := fmt.Sprintf("it encloses a hollow of %.2f mm³:", most)
			if p.Verdict.Cavities > 1 {
				says = fmt.Sprintf("it encloses %d hollows of %.2f mm³ in all, the largest %.2f "+
					"mm³:", p.Verdict.Cavities, all, most)
			}
			assert.Contains(t, found[i].Message, says)
			var off [1]float64
			f.Pieces[1].Solid.Distances([]mgl64.Vec3{*found[i].At}, off[:])
			assert.InDelta(t, 0, off[0], plan.Step, "it lies on the helix's surface")
		}
	}
	assert.Greater(t, cavities[1], 1)
	assert.Equal(t, units.Warning, found[0].Severity, "less than 1 mm³")
	assert.Equal(t, units.Error, found[1].Severity, "more than 1 mm³")
}
