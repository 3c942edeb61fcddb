package kit_test

import (
	"bytes"
	"context"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/field"
	"earframe/internal/demotest"
	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/practice/kit"
	"earframe/template"
	"earframe/units"
)

func TestTheDemoIsPutTogetherFromTheBaseFrameToTheVault(t *testing.T) {
	f, err := demoFramework()
	require.NoError(t, err)
	const clearance = 0.2
	k := demoKit(t, units.Filament, clearance)
	var names, letters []string
	for i, p := range k.Pieces {
		assert.Equal(t, i+1, p.Order)
		names, letters = append(names, p.Name), append(letters, p.Letter)
	}
	assert.Equal(t, []string{"base", "helix", "antihelix", "tragus", "concha"}, names)
	assert.Equal(t, []string{"L1", "L2", "L3", "4", "L5"}, letters,
		"a filament's line is too wide for both on the tragus")
	assert.Equal(t, []string{"helix", "antihelix", "tragus", "concha"}, k.Pieces[0].GivesWay)
	assert.Equal(t, []string{"helix"}, k.Pieces[4].GivesWay, "the notch that takes the crus")

	// What was taken: not less than a clearance under what lies on it, and not
	// more than half as much again, for the walls of seats and the notch.
	area := 0.0
	for _, c := range f.Contacts {
		if c.A == "base" {
			area += c.Area
		}
	}
	assert.Greater(t, k.Pieces[0].Removed, 0.95*area*clearance)
	assert.Less(t, k.Pieces[0].Removed, 1.5*area*clearance)

	for _, p := range k.Pieces {
		assert.NoError(t, mesh.Judge(p.Mesh).Err(), p.Name)
		assert.NoError(t, mesh.Judge(p.Printed).Err(), p.Name)
		if p.Name == "helix" { // its underside rises
			assert.Equal(t, "turned over, its lateral side down", p.Pose.Text)
			assert.True(t, p.Pose.Supports, "the crus hangs in the air")
			continue
		}
		assert.Equal(t, "flat side down", p.Pose.Text, p.Name)
		assert.False(t, p.Pose.Supports, p.Name)
		assert.Same(t, p.Mesh, p.Printed, "it lies as it was drawn")
	}
	require.Len(t, k.Plates, 1)
	onTheBed(t, k)
}

// onTheBed asserts that prints lie within the bed, on it, a gap apart, true to
// size, and can be written.
func onTheBed(t *testing.T, k *kit.Kit) {
	t.Helper()
	seen := map[int]bool{}
	for _, plate := range k.Plates {
		require.Len(t, plate.Pieces, len(plate.Objects))
		var boxes [][2]mgl64.Vec3
		for i, o := range plate.Objects {
			p := &k.Pieces[plate.Pieces[i]]
			seen[plate.Pieces[i]] = true
			assert.Same(t, p.Printed, o.Mesh)
			assert.InEpsilon(t, p.Mesh.Volume(), o.Mesh.Volume(), 1e-4, "true to size")
			lo, hi := o.Mesh.Bounds()
			lo, hi = lo.Add(o.Offset), hi.Add(o.Offset)
			assert.InDelta(t, 0, lo[2], 0.0011, "on the plate")
			for axis, size := range k.Bed {
				assert.GreaterOrEqual(t, lo[axis], 0.0)
				assert.LessOrEqual(t, hi[axis], size)
			}
			for _, b := range boxes {
				apart := math.Max(math.Max(lo[0]-b[1][0], b[0][0]-hi[0]), math.Max(lo[1]-b[1][1], b[0][1]-hi[1]))
				assert.GreaterOrEqual(t, apart, k.Gap-1e-9, "%s keeps the gap", o.Name)
			}
			boxes = append(boxes, [2]mgl64.Vec3{lo, hi})
			assert.NoError(t, meshfile.WriteSTL(&bytes.Buffer{}, o.Mesh), "a file holds its coordinates")
		}
	}
	assert.Len(t, seen, len(k.Pieces), "every piece is on a plate")
}

func TestTheKitIsMirroredInItsLetters(t *testing.T) {
	f := stackedAt(t, coarse, box(units.Base, mgl64.Vec3{-10, -7, 0}, mgl64.Vec3{10, 7, 3}))
	f.Plan.Side = units.Right
	assert.Equal(t, "R1", made(t, f).Pieces[0].Letter)
}

func TestAnAntihelixInPiecesGoesFromTheSuperiorCrusToTheBody(t *testing.T) {
	piece := func(name string, lo, hi mgl64.Vec3) *units.Unit {
		u := box(units.Antihelix, lo, hi)
		u.Name = name
		return u
	}
	k := made(t, stackedAt(t, coarse,
		box(units.Base, mgl64.Vec3{-15, -16, 0}, mgl64.Vec3{15, 16, 3}),
		piece("body", mgl64.Vec3{-2, -12, 3}, mgl64.Vec3{2, 0, 6}),
		piece("inferior", mgl64.Vec3{-12, 1, 3}, mgl64.Vec3{-1, 5, 6}),
		piece("superior", mgl64.Vec3{0, 4, 3}, mgl64.Vec3{4, 14, 6})))
	var names []string
	for _, p := range k.Pieces {
		names = append(names, p.Name)
	}
	assert.Equal(t, []string{"base", "superior", "inferior", "body"}, names)
}

func TestWhatDoesNotFitOnOnePlateGoesOnTheNext(t *testing.T) {
	f := stackedAt(t, coarse,
		box(units.Base, mgl64.Vec3{-20, -15, 0}, mgl64.Vec3{20, 15, 3}),
		box(units.Helix, mgl64.Vec3{-18, -12, 3}, mgl64.Vec3{18, -4, 7}),
		box(units.Antihelix, mgl64.Vec3{-3, -2, 3}, mgl64.Vec3{3, 14, 6}))
	f.Plan.Practice.Kit.BedWidth, f.Plan.Practice.Kit.BedDepth = 31, 42
	k := made(t, f)
	onTheBed(t, k)
	assert.Len(t, k.Plates, 2)
	base := k.Pieces[0]
	assert.InDelta(t, 30, base.Footprint[0], 0.01, "a quarter turn, exactly")
	assert.InDelta(t, 40, base.Footprint[1], 0.01)
}

func TestWhatFitsOnlyAslantIsTurnedSo(t *testing.T) {
	f := stackedAt(t, coarse, box(units.Base, mgl64.Vec3{-22, -2, 0}, mgl64.Vec3{22, 2, 3}))
	f.Plan.Practice.Kit.BedWidth, f.Plan.Practice.Kit.BedDepth = 36, 36
	k := made(t, f)
	require.Len(t, k.Pieces, 1, "44 mm lie across a bed of 36 × 36")
	onTheBed(t, k)
	assert.NoError(t, mesh.Judge(k.Pieces[0].Printed).Err())
}

func TestWhatIsTooLargeForTheBedIsCutWithADovetailThatHolds(t *testing.T) {
	f := stackedAt(t, 0.3, box(units.Base, mgl64.Vec3{-30, -6, 0}, mgl64.Vec3{30, 6, 3}))
	f.Plan.Practice.Kit.BedWidth, f.Plan.Practice.Kit.BedDepth = 38, 20
	k := made(t, f)
	require.Len(t, k.Pieces, 2)
	onTheBed(t, k)
	a, b := &k.Pieces[0], &k.Pieces[1]
	assert.Equal(t, []string{"base, part 1 of 2", "base, part 2 of 2"}, []string{a.Name, b.Name})
	assert.Equal(t, "x", a.Cut.Axis)
	assert.InDelta(t, 0, a.Cut.At, 0.01)
	assert.Equal(t, 1, a.Cut.Keys)
	assert.Equal(t, []string{"L1A", "L1B"}, []string{a.Letter, b.Letter}, "each part can be told from the other")
	found := k.Findings[len(k.Findings)-1]
	assert.Contains(t, found.Message, "60.0 × 12.0 mm does not fit a bed of 38 × 20 mm; it is cut in 2 parts")
	assert.Equal(t, map[string]units.Severity{"print-cut-to-fit-bed": units.Warning},
		demotest.Kinds(t, []units.Finding{found}))
	assert.Equal(t, "base", found.Unit)
	fitsWith(t, a, b, 0.25, 30)
	// Pulled apart, the dovetail's head is held behind its neck.
	pulled := &mesh.Mesh{Triangles: b.Mesh.Triangles}
	for _, v := range b.Mesh.Vertices {
		pulled.Vertices = append(pulled.Vertices, v.Add(mgl64.Vec3{1.2, 0, 0}))
	}
	assert.Positive(t, between(a.Mesh, pulled, 0.25).pierced)
	// Lifted, it comes free.
	lifted := &mesh.Mesh{Triangles: b.Mesh.Triangles}
	for _, v := range b.Mesh.Vertices {
		lifted.Vertices = append(lifted.Vertices, v.Add(mgl64.Vec3{0, 0, 1.2}))
	}
	assert.Zero(t, between(a.Mesh, lifted, 0.25).pierced)
	// Between them the cut has taken its length times the clearance: straight
	// stretches, and the dovetail's outline. On a plate too thin for letters.
	const thickness = 0.8
	thin := stackedAt(t, 0.3, box(units.Base, mgl64.Vec3{-30, -6, 0}, mgl64.Vec3{30, 6, thickness}))
	thin.Plan.Practice.Kit.BedWidth, thin.Plan.Practice.Kit.BedDepth = 38, 20
	plain := made(t, thin)
	require.Len(t, plain.Pieces, 2)
	neck, head, reach := 0.30*12, 0.46*12, 0.32*12
	length := 12 - neck + head + 2*math.Hypot(reach, (head-neck)/2)
	gone := 60*12*thickness - plain.Pieces[0].Mesh.Volume() - plain.Pieces[1].Mesh.Volume()
	assert.InEpsilon(t, length*0.25*thickness, gone, 0.05)
	notes := 0
	for _, f := range plain.Findings {
		if f.Rule == "print-without-letter" {
			assert.Equal(t, units.Note, f.Severity)
			assert.Contains(t, f.Message, []string{`"L1A"`, `"L1B"`}[notes])
			notes++
		}
	}
	assert.Equal(t, 2, notes, "what carries nothing is said of each part")
}

func TestABentStripIsCutIntoPartsThatEachHangTogether(t *testing.T) {
	// A horseshoe: a cut across both of its legs leaves their ends loose.
	ring := template.Ring{{-15, -20}, {-9, -20}, {-9, 14}, {9, 14}, {9, -20}, {15, -20}, {15, 20}, {-15, 20}}
	f := stackedAt(t, coarse, slab(units.Base, 0, 3, ring))
	f.Plan.Practice.Kit.BedWidth, f.Plan.Practice.Kit.BedDepth = 32, 30
	k := made(t, f)
	require.Len(t, k.Pieces, 3)
	onTheBed(t, k)
	for _, p := range k.Pieces {
		assert.Len(t, p.Verdict.Shells, 1, p.Name)
		assert.Equal(t, 2, p.Cut.Keys)
	}
}

func TestABedSmallerThanAnyPartIsAnErrorFinding(t *testing.T) {
	f := stackedAt(t, coarse, box(units.Base, mgl64.Vec3{-15, -15, 0}, mgl64.Vec3{15, 15, 3}))
	f.Plan.Practice.Kit.BedWidth, f.Plan.Practice.Kit.BedDepth = 7, 7
	k := made(t, f)
	require.NotEmpty(t, k.Findings)
	found := k.Findings[len(k.Findings)-1]
	assert.Equal(t, map[string]units.Severity{"print-too-large-for-bed": units.Error},
		demotest.Kinds(t, []units.Finding{found}))
	assert.Contains(t, found.Message, "does not fit a bed of 7 × 7 mm")
	assert.Contains(t, found.Advice, "kit.bed")
	assert.Empty(t, k.Plates)
}

func TestRoomThatLeavesTooLittleIsSaid(t *testing.T) {
	printer, _ := units.PrinterLimits(units.Resin)
	thin := stacked(t,
		box(units.Base, mgl64.Vec3{-10, -7, 0}, mgl64.Vec3{10, 7, 0.8}),
		box(units.Helix, mgl64.Vec3{-6, -4, 0.8}, mgl64.Vec3{6, 4, 4}))
	thin.Plan.Practice.Kit.Clearance = 0.3
	var found []units.Finding
	for _, f := range made(t, thin).Findings {
		if strings.Contains(f.Message, "a wall of") {
			found = append(found, f)
		}
	}
	require.Len(t, found, 1)
	assert.Equal(t, map[string]units.Severity{"print-wall-too-thin": units.Warning}, demotest.Kinds(t, found))
	assert.InDelta(t, 0.5, found[0].Value, 0.02)
	assert.Equal(t, printer.Wall, found[0].Limit)
	assert.Contains(t, found[0].Message, "room for helix")

	parted := stacked(t,
		box(units.Base, mgl64.Vec3{-10, -4, 0}, mgl64.Vec3{10, 4, 1}),
		box(units.Helix, mgl64.Vec3{-3, -6, 1}, mgl64.Vec3{3, 6, 4}))
	parted.Plan.Practice.Kit.Clearance = 1.2
	found = nil
	for _, f := range made(t, parted).Findings {
		if strings.Contains(f.Message, "falls into 2 pieces where 1 was drawn") {
			found = append(found, f)
		}
	}
	require.Len(t, found, 1)
	assert.Equal(t, map[string]units.Severity{"print-in-pieces": units.Error}, demotest.Kinds(t, found))
}

func TestHolesGoThroughThePrints(t *testing.T) {
	f := stacked(t, box(units.Base, mgl64.Vec3{-10, -7, 0}, mgl64.Vec3{10, 7, 3}))
	var ring [][]mgl64.Vec2
	ring = append(ring, nil)
	for i := range 64 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 64)
		ring[0] = append(ring[0], mgl64.Vec2{7 + cos, 4 + sin})
	}
	region, err := field.NewRegion(ring...)
	require.NoError(t, err)
	hole, err := field.NewPrism(field.Prism{Region: region, Underside: field.Level(-1), Thickness: field.Level(5)})
	require.NoError(t, err)
	whole := made(t, f)
	k, err := kit.Make(context.Background(), f, func(unit string) []field.Field {
		if unit == "base" {
			return []field.Field{hole}
		}
		return nil
	}, nil)
	require.NoError(t, err)
	assert.Equal(t, 1, k.Pieces[0].Verdict.Shells[0].Genus-whole.Pieces[0].Verdict.Shells[0].Genus)
	assert.InEpsilon(t, math.Pi*3, whole.Pieces[0].Mesh.Volume()-k.Pieces[0].Mesh.Volume(), 0.03)
}

func TestNumbersThatNoKitCanBeMadeWithAreErrors(t *testing.T) {
	f := stackedAt(t, coarse, box(units.Base, mgl64.Vec3{-10, -7, 0}, mgl64.Vec3{10, 7, 3}))
	for _, c := range []struct {
		asked units.Kit
		key   string
	}{
		{units.Kit{Clearance: -0.1, BedWidth: 100, BedDepth: 100}, "kit.clearance"},
		{units.Kit{Clearance: math.NaN(), BedWidth: 100, BedDepth: 100}, "kit.clearance"},
		{units.Kit{Clearance: 0.2, BedWidth: 100, BedDepth: 100, Gap: -1}, "kit.gap"},
		{units.Kit{Clearance: 0.2, BedDepth: 100}, "kit.bed"},
	} {
		with := withPlan(f)
		with.Plan.Practice.Kit = c.asked
		_, err := kit.Make(context.Background(), with, nil, nil)
		assert.ErrorIs(t, err, kit.ErrBad)
		assert.ErrorContains(t, err, c.key)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := kit.Make(ctx, f, nil, nil)
	assert.ErrorIs(t, err, context.Canceled)
}

func TestTheSameKitComesOutOnAnyNumberOfCores(t *testing.T) {
	f := stackedAt(t, coarse,
		box(units.Base, mgl64.Vec3{-10, -7, 0}, mgl64.Vec3{10, 7, 3}),
		box(units.Helix, mgl64.Vec3{-6, -4, 3}, mgl64.Vec3{6, 4, 7}))
	two := made(t, f)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := made(t, f)
	for i := range one.Pieces {
		assert.Equal(t, one.Pieces[i].Mesh, two.Pieces[i].Mesh)
		assert.Equal(t, one.Pieces[i].Printed, two.Pieces[i].Printed)
	}
	assert.Equal(t, one.Findings, two.Findings)
}

func BenchmarkDemo(b *testing.B) {
	f, err := demoFramework()
	require.NoError(b, err)
	for b.Loop() {
		_, err := kit.Make(b.Context(), f, nil, nil)
		require.NoError(b, err)
	}
}
