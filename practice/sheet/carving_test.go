package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestTheSameCaseGivesTheSameBytes(t *testing.T) {
	in := demoInput(t, units.Left)
	write := func() (all []byte) {
		d, err := Carving(in)
		require.NoError(t, err)
		var file bytes.Buffer
		require.NoError(t, d.WritePDF(&file))
		for i := range d.Pages {
			require.NoError(t, d.WriteSVG(i, &file))
		}
		return file.Bytes()
	}
	first := write()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	assert.True(t, bytes.Equal(first, write()), "on one core")
}

// requireLegible holds every mark of a document to what a printer and a reader
// need: 8 mm from the paper's edge, lines of 0.25 to 0.5 mm, text of 8 pt.
func requireLegible(t *testing.T, d *Document) {
	t.Helper()
	const edge = 8 // mm
	requireWithin := func(page string, p mgl64.Vec2, by float64) {
		if p[0]-by < edge || p[1]-by < edge || p[0]+by > d.paper.width-edge || p[1]+by > d.paper.height-edge {
			require.Fail(t, "too near to the paper's edge", "%s: %v ± %v", page, p, by)
		}
	}
	marks := 0
	for _, page := range d.Pages {
		for _, m := range page.marks {
			marks++
			switch {
			case m.path != nil:
				if m.path.pen.width != 0 {
					require.GreaterOrEqual(t, m.path.pen.width, 0.25)
					require.LessOrEqual(t, m.path.pen.width, 0.5)
				}
				for _, line := range m.path.lines {
					for _, p := range line {
						requireWithin(page.Title, p, m.path.pen.width/2)
					}
				}
			case m.text != nil:
				require.GreaterOrEqual(t, m.text.style.points, 8.0, m.text.words)
				requireWithin(page.Title+": "+m.text.words, m.text.at, 0)
				requireWithin(page.Title+": "+m.text.words,
					m.text.at.Add(mgl64.Vec2{m.text.width, -m.text.style.capitals()}), 0)
			case m.image != nil:
				requireWithin(page.Title, mgl64.Vec2{m.image.in.left, m.image.in.top}, 0)
				requireWithin(page.Title, mgl64.Vec2{m.image.in.right, m.image.in.bottom}, 0)
			}
		}
	}
	require.NotZero(t, marks)
}

func TestEverythingOnTheSheetsCanBePrintedAndRead(t *testing.T) {
	for _, paper := range []string{units.A4, units.Letter} {
		requireLegible(t, demoCarving(t, paper, units.Left))
	}
}

func TestEveryOutlineCarriesItsSide(t *testing.T) {
	// The letter goes with a template that is cut out.
	for _, side := range []units.Side{units.Left, units.Right} {
		l, err := newLayout(demoInput(t, side))
		require.NoError(t, err)
		for _, u := range l.in.Plan.Units {
			f, err := l.unitFigure(u)
			require.NoError(t, err)
			assert.Equal(t, side.Letter(), f.badge)
			require.Len(t, f.labels, 1, u.Name)
			assert.Equal(t, side.Letter(), f.labels[0].words)
			assert.True(t, contains(u.Outlines, f.labels[0].at), "%s: the letter is beside it", u.Name)
		}
	}
}

func TestNeighboursAreShownAboveOrBeneath(t *testing.T) {
	l, err := newLayout(demoInput(t, units.Left))
	require.NoError(t, err)
	drawn := func(name string, p pen) bool {
		f, err := l.unitFigure(l.in.Plan.Unit(name))
		require.NoError(t, err)
		for _, path := range f.paths {
			if path.pen == p {
				return true
			}
		}
		return false
	}
	assert.True(t, drawn("base", abovePen), "helix, antihelix and tragus lie on the base frame")
	assert.True(t, drawn("base", beneathPen), "the conchal vault lies beneath it")
	assert.True(t, drawn("tragus", beneathPen), "the base frame lies beneath the tragus")
	assert.False(t, drawn("tragus", abovePen), "nothing lies on the tragus")
	assert.True(t, drawn("concha", abovePen))
	assert.False(t, drawn("concha", beneathPen))
	assert.True(t, drawn("base", recessPen), "scapha and fossa")
}

func TestUnitsThatDoNotTouchAreNotShownOnOneAnother(t *testing.T) {
	in := demoInput(t, units.Left)
	in.Contacts = nil
	l, err := newLayout(in)
	require.NoError(t, err)
	f, err := l.unitFigure(in.Plan.Unit("base"))
	require.NoError(t, err)
	for _, p := range f.paths {
		assert.NotContains(t, []pen{abovePen, beneathPen}, p.pen)
	}
}

func TestGrainRunsAlongTheRib(t *testing.T) {
	in := demoInput(t, units.Left)
	straight := template.Outline{Outer: template.Ring{{-60, -10}, {60, -10}, {60, 10}, {-60, 10}}}
	base := in.Plan.Unit("base")
	turn := 50 * math.Pi / 180
	placed := Placed{Name: "base", Outlines: turned(base.Outlines, turn), Turn: turn}

	l := layout{in: in}
	helix := in.Plan.Unit("helix")
	middle := helix.Centreline.At(0.5)
	tangent := helix.Centreline.At(0.51).Sub(helix.Centreline.At(0.49)).Normalize()
	assert.InDelta(t, 1, math.Abs(l.grainOf(helix)(middle).Dot(tangent)), 1e-3, "a strip is bent from the rib")

	_, low, high := base.Outlines[0].GreatestDiameter()
	assert.InDelta(t, 1, math.Abs(l.grainOf(base)(mgl64.Vec2{}).Dot(high.Sub(low).Normalize())), 1e-9)

	l.in.Nestings = []Nesting{{Name: "ribs 6 and 7", Stock: []template.Outline{straight}, Placed: []Placed{placed}}}
	sin, cos := math.Sincos(-turn)
	assert.InDelta(t, 1, math.Abs(l.grainOf(base)(mgl64.Vec2{}).Dot(mgl64.Vec2{cos, sin})), 1e-3,
		"turned back from where it lies in the piece")
}

func turned(outlines []template.Outline, angle float64) []template.Outline {
	turn := mgl64.Rotate2D(angle)
	var all []template.Outline
	for _, o := range outlines {
		moved := template.Outline{ID: o.ID, Part: o.Part}
		for _, p := range o.Outer {
			moved.Outer = append(moved.Outer, turn.Mul2x1(p).Add(mgl64.Vec2{3, -2}))
		}
		for _, hole := range o.Holes {
			var ring template.Ring
			for _, p := range hole {
				ring = append(ring, turn.Mul2x1(p).Add(mgl64.Vec2{3, -2}))
			}
			moved.Holes = append(moved.Holes, ring)
		}
		all = append(all, moved)
	}
	return all
}

func TestAMirroredUnitInAPieceIsRefused(t *testing.T) {
	in := demoInput(t, units.Left)
	u := in.Plan.Unit("antihelix")
	nest := func(outlines []template.Outline, turn float64) error {
		in.Nestings = []Nesting{{Name: "rib 9", Stock: u.Outlines,
			Placed: []Placed{{Name: "antihelix", Outlines: outlines, Turn: turn}}}}
		return in.check()
	}
	require.NoError(t, nest(u.Outlines, 0))
	require.NoError(t, nest(turned(u.Outlines, 1), 1))
	require.ErrorContains(t, nest(turned(u.Outlines, 1), 0.9), "antihelix in piece rib 9")
	mirrored := template.Outline{}
	for i := range u.Outlines[0].Outer {
		p := u.Outlines[0].Outer[len(u.Outlines[0].Outer)-1-i]
		mirrored.Outer = append(mirrored.Outer, mgl64.Vec2{-p[0], p[1]})
	}
	require.ErrorContains(t, nest([]template.Outline{mirrored}, 0), "may be mirrored")
}

func TestBadInputIsAnErrorThatSaysWhere(t *testing.T) {
	_, err := Carving(Input{})
	require.ErrorContains(t, err, "no units")
	for name, spoil := range map[string]func(in *Input){
		"unit tragus has no outline": func(in *Input) { in.Plan.Unit("tragus").Outlines = nil },
		"without a place":            func(in *Input) { in.Plan.Unit("tragus").Outlines[0].Outer[3][1] = math.NaN() },
		"of 2 " +
			"points": func(in *Input) { o := in.Plan.Unit("tragus").Outlines; o[0].Outer = o[0].Outer[:2] },
		"2000 mm long": func(in *Input) {
			in.Plan.Unit("tragus").Outlines[0].Outer[0] = in.Plan.Unit("tragus").Outlines[0].Outer[0].Add(mgl64.Vec2{2000, 0})
		},
		"holds the unit \"nose\"":                 func(in *Input) { in.Fixations[4].Upper = "nose" },
		"fixation 5 has no place":                 func(in *Input) { in.Fixations[4].At[0] = math.Inf(1) },
		"piece rib 8 has no outline":              func(in *Input) { in.Nestings = []Nesting{{Name: "rib 8"}} },
		"practice.sheets.paper: \"a3\" is not kn": func(in *Input) { in.Plan.Practice.Sheets.Paper = "a3" },
	} {
		in := demoInput(t, units.Left)
		spoil(&in)
		_, err := Carving(in)
		if name == "2000 mm long" {
			require.ErrorContains(t, err, "mm long; at most 1000 mm are drawn")
			continue
		}
		require.ErrorContains(t, err, name)
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("the disc is full") }

func TestAFailedWriteIsAnError(t *testing.T) {
	d := demoCarving(t, units.A4, units.Left)
	require.ErrorContains(t, d.WritePDF(brokenWriter{}), "the disc is full")
	require.ErrorContains(t, d.WriteSVG(0, brokenWriter{}), "the disc is full")
	require.ErrorContains(t, d.WriteSVG(len(d.Pages), &bytes.Buffer{}), "no page 3")
}

func TestTheSVGHasTheUnitsAtTrueSize(t *testing.T) {
	d := demoCarving(t, units.A4, units.Left)
	var file bytes.Buffer
	require.NoError(t, d.WriteSVG(0, &file))
	assert.Contains(t, file.String(), `width="210mm" height="297mm" viewBox="0 0 210 297"`)
	assert.Contains(t, file.String(), caution)
	// The template's own reader measures the drawing in mm.
	shapes, err := template.InspectFrom(t.Context(), &file, "sheet.svg")
	require.NoError(t, err)
	for _, u := range demoPlan(t, units.Left).Units {
		lo, hi := u.Outlines[0].Bounds()
		found := 0
		for _, s := range shapes {
			if math.Abs(s.Area-u.Outlines[0].Area()) < 0.001*s.Area &&
				math.Abs(s.Width-(hi[0]-lo[0])) < 0.01 && math.Abs(s.Height-(hi[1]-lo[1])) < 0.01 {
				assert.Equal(t, "mm", s.Unit)
				found++
			}
		}
		assert.Equal(t, 2, found, "%s: its tint and its outline", u.Name)
	}
}

func TestFiguresArePackedInOrderWithoutOverlap(t *testing.T) {
	plan := demoPlan(t, units.Left)
	rapid.Check(t, func(r *rapid.T) {
		l, err := newLayout(Input{Plan: plan})
		require.NoError(t, err)
		count := rapid.IntRange(1, 20).Draw(r, "figures")
		var figures []figure
		for i := range count {
			w, h := rapid.Float64Range(2, 170).Draw(r, "width"), rapid.Float64Range(2, 150).Draw(r, "height")
			p := outlinePen
			p.colour.B = uint8(i + 1)
			f := figure{title: "x", badge: "L",
				caption: strings.Split(rapid.StringMatching(`[a-z][a-z ]{0,80}\n[a-z ]{0,200}`).Draw(r, "caption"),
					"\n")}
			f.add(p, true, []mgl64.Vec2{{0, 0}, {w, 0}, {w, h}, {0, h}})
			figures = append(figures, f)
		}
		l.pack("packed", figures)
		seen := 0
		for _, page := range l.pages {
			var taken []rectangle
			for _, m := range page.marks {
				at := markBox(m)
				if m.path != nil && m.path.pen.colour != black {
					require.Equal(t, seen+1, int(m.path.pen.colour.B), "in order")
					seen++
				}
				if m.path == nil || m.path.pen.colour != black { // the side's box touches nothing by its words
					for _, other := range taken {
						require.False(t, at.overlaps(other), "%v %v", at, other)
					}
					taken = append(taken, at)
				}
				const rounding = 1e-9
				require.False(t, at.left < l.area.left-0.3 || at.right > l.area.right+0.3 ||
					at.top < l.area.top-rounding || at.bottom > l.area.bottom+rounding+small.leading(),
					"%v outside of %v", at, l.area)
			}
		}
		require.Equal(t, count, seen)
	})
}

// markBox is the room that a line or a text takes on its page.
func markBox(m mark) rectangle {
	if m.text != nil {
		return rectangle{m.text.at[0], m.text.at[1] - m.text.style.capitals(), m.text.at[0] + m.text.width,
			m.text.at[1]}
	}
	box := rectangle{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, line := range m.path.lines {
		for _, p := range line {
			box = rectangle{min(box.left, p[0]), min(box.top, p[1]), max(box.right, p[0]), max(box.bottom, p[1])}
		}
	}
	return box
}

func TestNumbersOfFixationsDoNotCoverOneAnother(t *testing.T) {
	in := demoInput(t, units.Left)
	l, err := newLayout(in)
	require.NoError(t, err)
	f := l.wiringFigure(in.Plan.Unit("helix"), in.Plan.Unit("base"), in.Fixations)
	require.Len(t, f.labels, len(in.Fixations), "every fixation has its number")
	for i, a := range f.labels {
		assert.Equal(t, fmt.Sprint(in.Fixations[i].Number), a.words)
		lo, hi := a.box(l.fonts)
		for _, b := range f.labels[:i] {
			low, high := b.box(l.fonts)
			assert.False(t, rectangle{lo[0], lo[1], hi[0], hi[1]}.overlaps(rectangle{low[0], low[1], high[0], high[1]}),
				"%s and %s", a.words, b.words)
		}
	}
}

func TestNumbersAreWrittenAsSpans(t *testing.T) {
	for want, numbers := range map[string][]int{
		"": nil, "7": {7}, "1–3": {3, 1, 2}, "1–2, 5, 8–10": {1, 2, 5, 8, 9, 10, 10},
	} {
		assert.Equal(t, want, spans(numbers))
	}
}
