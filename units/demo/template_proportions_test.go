package demo_test

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/field"
	"earframe/template"
	"earframe/units"
	"earframe/units/centreline"
	"earframe/units/demo"
)

// allowance is the thickness of skin in mm that lies over every edge of the frame.
const allowance = 2.0

// published is one row of the table of measures: a mean with its standard
// deviation, or the range of published means.
type published struct {
	Measure     string
	Group       string
	Mean, SD    float64
	Least, Most float64
	Source      string
}

// within returns the range that a drawing must keep: two standard deviations
// about the mean, or the published range.
func (p published) within() (least, most float64) {
	if p.SD > 0 {
		return p.Mean - 2*p.SD, p.Mean + 2*p.SD
	}
	return p.Least, p.Most
}

func readTable(t *testing.T) []published {
	text, err := os.ReadFile("../../testdata/anthropometry/ear.json")
	require.NoError(t, err)
	var table struct{ Rows []published }
	require.NoError(t, json.Unmarshal(text, &table))
	require.NotEmpty(t, table.Rows)
	return table.Rows
}

// readDrawing returns the good example's framework: its outlines with the skin taken
// off, beside that of the ear.
func readDrawing(t *testing.T) *template.Sheet {
	path, err := demo.Good.Write(t.TempDir())
	require.NoError(t, err)
	plan, err := units.Load(t.Context(), path)
	require.NoError(t, err)
	require.Equal(t, units.DrawnSkin, plan.Drawn)
	require.Equal(t, allowance, plan.Skin.Lateral)
	return &template.Sheet{Outlines: plan.Outlines}
}

// only returns the one outline that the drawing has of a part.
func only(t *testing.T, sheet *template.Sheet, part string) template.Outline {
	outlines := sheet.Part(part)
	require.Len(t, outlines, 1, part)
	return outlines[0]
}

func regionOf(t *testing.T, outline template.Outline) *field.Region {
	rings := [][]mgl64.Vec2{outline.Outer}
	for _, hole := range outline.Holes {
		rings = append(rings, hole)
	}
	region, err := field.NewRegion(rings...)
	require.NoError(t, err)
	return region
}

// longAxis returns the ends of the ring's longest diameter, the lower one first.
func longAxis(ring template.Ring) (low, high mgl64.Vec2) {
	longest := 0.0
	for i, p := range ring {
		for _, q := range ring[:i] {
			if d := p.Sub(q).Len(); d > longest {
				longest, low, high = d, p, q
			}
		}
	}
	if low[1] > high[1] {
		low, high = high, low
	}
	return low, high
}

// alongAxis turns a ring so that y runs up the long axis and x backward.
func alongAxis(ring template.Ring, up mgl64.Vec2) template.Ring {
	turned := make(template.Ring, len(ring))
	for i, p := range ring {
		turned[i] = mgl64.Vec2{p[0]*up[1] - p[1]*up[0], p.Dot(up)}
	}
	return turned
}

func extent(ring template.Ring, axis int) (low, high mgl64.Vec2) {
	low, high = ring[0], ring[0]
	for _, p := range ring {
		if p[axis] < low[axis] {
			low = p
		}
		if p[axis] > high[axis] {
			high = p
		}
	}
	return low, high
}

// firstCrossing returns where a line along the axis, begun at from, first meets
// the ring.
func firstCrossing(t *testing.T, ring template.Ring, from mgl64.Vec2, axis int) float64 {
	across, first := 1-axis, math.Inf(1)
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		if (p[across] > from[across]) == (q[across] > from[across]) {
			continue
		}
		share := (from[across] - p[across]) / (q[across] - p[across])
		if at := p[axis] + share*(q[axis]-p[axis]); at > from[axis] {
			first = math.Min(first, at)
		}
	}
	require.False(t, math.IsInf(first, 1), "no crossing from %v along axis %d", from, axis)
	return first
}

func leastDistance(t *testing.T, a, b template.Outline) float64 {
	region, least := regionOf(t, a), math.Inf(1)
	for _, p := range b.Outer {
		least = math.Min(least, region.Distance(p))
	}
	return least
}

// measures returns the drawing's measures as they would show on the skin.
func measures(t *testing.T, sheet *template.Sheet) map[string]float64 {
	ear, base := only(t, sheet, "ear"), only(t, sheet, "base")
	helix, antihelix, tragus := only(t, sheet, "helix"), only(t, sheet, "antihelix"), only(t, sheet, "tragus")
	require.Len(t, base.Holes, 1, "the base frame is a ring round the concha")

	low, high := longAxis(ear.Outer)
	length := high.Sub(low).Len()
	up := high.Sub(low).Mul(1 / length)
	front, back := extent(alongAxis(ear.Outer, up), 0)
	breadth := back[0] - front[0]

	hole := alongAxis(base.Holes[0], up)
	rim, fold := alongAxis(helix.Outer, up), alongAxis(antihelix.Outer, up)
	notch, _ := extent(hole, 1)
	crusBelow := firstCrossing(t, rim, notch, 1)
	crusAbove := firstCrossing(t, rim, mgl64.Vec2{notch[0], crusBelow + rounding}, 1)
	crest := (crusBelow + crusAbove) / 2
	inferiorCrus := firstCrossing(t, fold, mgl64.Vec2{notch[0], crest}, 1)
	innerRim := firstCrossing(t, rim, mgl64.Vec2{notch[0], inferiorCrus}, 1)

	_, tip := extent(alongAxis(tragus.Outer, up), 0)
	behindTip := firstCrossing(t, fold, tip, 0)

	middle, err := centreline.New(helix)
	require.NoError(t, err)

	return map[string]float64{
		"ear_length":          length,
		"ear_breadth":         breadth,
		"breadth_over_length": breadth / length,
		"inclination":         mgl64.RadToDeg(math.Atan2(up[0], up[1])),
		"cavum_height":        crest - notch[1] - allowance,
		"cymba_height":        inferiorCrus - allowance - crest,
		"cavum_width":         behindTip - tip[0] - 2*allowance,
		"fossa_height":        innerRim - inferiorCrus,
		"incisure_width":      leastDistance(t, tragus, antihelix) - 2*allowance,
		"helix_length":        middle.Length(),
	}
}

// rounding is a step in mm past a crossing, so that the next one is found and
// not the same again: far more than rounding, far less than any strip is wide.
const rounding = 1e-6

func TestProportionsOfTheDemoAreThoseOfPublishedEars(t *testing.T) {
	measured := measures(t, readDrawing(t))
	for _, row := range readTable(t) {
		t.Run(row.Measure+" of "+row.Group, func(t *testing.T) {
			value, known := measured[row.Measure]
			require.True(t, known, "the drawing has no such measure")
			least, most := row.within()
			require.Less(t, least, most)
			t.Logf("%.3f, published %.3f to %.3f", value, least, most)
			assert.GreaterOrEqual(t, value, least, row.Source)
			assert.LessOrEqual(t, value, most, row.Source)
		})
	}
}

func TestSkinFitsOverTheEdgeOfTheWholeFrame(t *testing.T) {
	sheet := readDrawing(t)
	ear := regionOf(t, only(t, sheet, "ear"))
	for _, part := range []string{"base", "helix", "antihelix", "tragus", "concha"} {
		for _, p := range only(t, sheet, part).Outer {
			require.Less(t, ear.Distance(p), -(allowance - 0.02), "%s at %v; curves are flattened to 0.02 mm", part, p)
		}
	}
}

func TestUnitsRestOnTheBaseFrameAndOnNoOtherUnit(t *testing.T) {
	sheet := readDrawing(t)
	base := regionOf(t, only(t, sheet, "base"))
	concha := conchaOf(t, sheet)
	assert.Greater(t, shareInside(t, only(t, sheet, "antihelix"), base), 0.99)
	assert.Greater(t, shareInside(t, only(t, sheet, "tragus"), base), 0.98)
	helix := only(t, sheet, "helix")
	rim, antihelix := 0, regionOf(t, only(t, sheet, "antihelix"))
	for _, p := range helix.Outer {
		if concha.Distance(p) < underBase { // the crus: it goes through the concha, under the base frame
			continue
		}
		rim++
		assert.Less(t, base.Distance(p), 0.15, "the rim overhangs the base frame at %v", p)
		assert.Greater(t, antihelix.Distance(p), 0.4, "%v", p)
	}
	assert.Greater(t, rim, 100)
	assert.Greater(t, leastDistance(t, helix, only(t, sheet, "tragus")), 0.4)
}

// conchaOf returns the hole of the base frame.
func conchaOf(t *testing.T, sheet *template.Sheet) *field.Region {
	hole := slices.Clone(only(t, sheet, "base").Holes[0])
	slices.Reverse(hole)
	return regionOf(t, template.Outline{Outer: hole})
}

// underBase is how far under the base frame the head of the crus reaches at the most,
// mm.
const underBase = 4.0

func TestHeadOfTheCrusLiesUnderTheBaseFrame(t *testing.T) {
	sheet := readDrawing(t)
	concha := conchaOf(t, sheet)
	middle, err := centreline.New(only(t, sheet, "helix"))
	require.NoError(t, err)
	length := middle.Length()
	head := middle.At(0)
	if concha.Distance(head) > concha.Distance(middle.At(length)) {
		head = middle.At(length)
	}
	reach := concha.Distance(head)
	assert.Greater(t, reach, 1.5, "beyond the edge of the concha")
	assert.Less(t, reach, underBase)
}

func TestConchalVaultClosesTheConchaFromBeneath(t *testing.T) {
	sheet := readDrawing(t)
	vault := regionOf(t, only(t, sheet, "concha"))
	for _, p := range only(t, sheet, "base").Holes[0] {
		require.Less(t, vault.Distance(p), -1.5, "the vault overlaps the base frame all round, but at %v", p)
	}
}

func TestRecessesLieBesideTheStripsAndOnTheBaseFrame(t *testing.T) {
	sheet := readDrawing(t)
	base := regionOf(t, only(t, sheet, "base"))
	for _, recess := range []string{"scapha", "fossa"} {
		outline := only(t, sheet, recess)
		for _, p := range outline.Outer {
			require.Less(t, base.Distance(p), -1.0, "%s at %v leaves a wall of the base frame", recess, p)
		}
		for _, strip := range []string{"helix", "antihelix"} {
			assert.Greater(t, leastDistance(t, only(t, sheet, strip), outline), 0.0, "%s undercuts the %s", recess, strip)
		}
	}
}

// shareInside returns how much of an outline's area lies in the region, counted
// on a lattice of 0.2 mm.
func shareInside(t *testing.T, outline template.Outline, region *field.Region) float64 {
	const step = 0.2
	own := regionOf(t, outline)
	low, high := own.Bounds()
	all, inside := 0, 0
	for x := low[0]; x < high[0]; x += step {
		for y := low[1]; y < high[1]; y += step {
			p := mgl64.Vec2{x, y}
			if own.Distance(p) > 0 {
				continue
			}
			all++
			if region.Distance(p) < 0 {
				inside++
			}
		}
	}
	require.NotZero(t, all)
	return float64(inside) / float64(all)
}
