package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/units"
)

// The PDFs are read back by poppler (pdfinfo, pdftotext, pdftocairo) and qpdf,
// which share no code with the writer. Without them these tests are skipped; with
// EARFRAME_JUDGES=1 the absence of poppler is a failure.

// judge runs a reader of PDFs and returns what it writes.
func judge(t *testing.T, name string, arguments ...string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("starts other programs")
	}
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("EARFRAME_JUDGES") == "" || name == "qpdf" {
			t.Skipf("%s is not installed", name)
		}
		require.NoError(t, err)
	}
	var said, complained bytes.Buffer
	command := exec.Command(name, arguments...)
	command.Stdout, command.Stderr = &said, &complained
	require.NoError(t, command.Run(), "%s: %s%s", name, said.String(), complained.String())
	assert.Empty(t, complained.String(), name)
	return said.String()
}

// savePDF writes a document and returns its path.
func savePDF(t *testing.T, d *Document) string {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, d.WritePDF(&file))
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	require.NoError(t, os.WriteFile(path, file.Bytes(), 0o600))
	return path
}

// seenPath is a path as poppler read it, in mm on the page, y downward.
type seenPath struct {
	lines  [][]mgl64.Vec2
	closed bool
	stroke float64 // width, mm; 0 if it is filled
}

// seenPage is what poppler read of a page.
type seenPage struct {
	width, height float64 // mm
	paths         []seenPath
}

// seePage reads a page, counted from 1, by way of poppler's SVG. Left to itself
// poppler shrinks A4 by a thousandth, to its own A4 in whole points.
func seePage(t *testing.T, path string, number int) seenPage {
	t.Helper()
	at := strconv.Itoa(number)
	decoder := xml.NewDecoder(strings.NewReader(judge(t, "pdftocairo", "-svg", "-noshrink", "-nocenter", "-f", at, "-l",
		at, path, "-")))
	var page seenPage
	glyphs := 0
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			return page
		}
		require.NoError(t, err)
		switch element := token.(type) {
		case xml.StartElement:
			given := map[string]string{}
			for _, a := range element.Attr {
				given[a.Name.Local] = a.Value
			}
			switch element.Name.Local {
			case "svg":
				page.width, page.height = inMM(t, given["width"]), inMM(t, given["height"])
			case "defs":
				glyphs++
			case "path":
				if glyphs == 0 {
					page.paths = append(page.paths, seePath(t, given))
				}
			}
		case xml.EndElement:
			if element.Name.Local == "defs" {
				glyphs--
			}
		}
	}
}

func inMM(t *testing.T, length string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSuffix(length, "pt"), 64)
	require.NoError(t, err, length)
	return v * 25.4 / 72
}

var (
	strokeWidth = regexp.MustCompile(`stroke-width:([0-9.]+)`)
	matrix      = regexp.MustCompile(`matrix\(([^)]*)\)`)
)

func seePath(t *testing.T, given map[string]string) seenPath {
	t.Helper()
	m := [6]float64{1, 0, 0, 1, 0, 0}
	if found := matrix.FindStringSubmatch(given["transform"]); found != nil {
		for i, word := range strings.Split(found[1], ",") {
			v, err := strconv.ParseFloat(strings.TrimSpace(word), 64)
			require.NoError(t, err)
			m[i] = v
		}
	}
	var p seenPath
	if found := strokeWidth.FindStringSubmatch(given["style"]); found != nil {
		p.stroke = inMM(t, found[1])
	}
	words := strings.Fields(given["d"])
	number := func(i int) float64 {
		v, err := strconv.ParseFloat(words[i], 64)
		require.NoError(t, err)
		return v
	}
	for i := 0; i < len(words); {
		switch words[i] {
		case "M", "L":
			x, y := number(i+1), number(i+2)
			q := mgl64.Vec2{m[0]*x + m[2]*y + m[4], m[1]*x + m[3]*y + m[5]}.Mul(25.4 / 72)
			if words[i] == "M" {
				p.lines = append(p.lines, nil)
			}
			last := len(p.lines) - 1
			p.lines[last] = append(p.lines[last], q)
			i += 3
		case "Z":
			p.closed = true
			i++
		default:
			require.Fail(t, "a path that the sheets do not draw", words[i])
		}
	}
	// After closing a ring poppler moves to its beginning once more.
	kept := p.lines[:0]
	for _, line := range p.lines {
		if len(line) > 1 {
			kept = append(kept, line)
		}
	}
	p.lines = kept
	return p
}

func TestPagesAreAsLargeAsTheirPaper(t *testing.T) {
	// ISO 216: A4 is 210 × 297 mm. US letter is 8.5 × 11 in.
	for name, size := range map[string][2]float64{units.A4: {210, 297}, units.Letter: {215.9, 279.4}} {
		d := demoCarving(t, name, units.Left)
		page := seePage(t, savePDF(t, d), 1)
		assert.InDelta(t, size[0], page.width, 0.01, name)
		assert.InDelta(t, size[1], page.height, 0.01, name)
	}
}

func TestCheckBarsMeasure100MillimetresBothWays(t *testing.T) {
	for _, paper := range []string{units.A4, units.Letter} {
		d := demoCarving(t, paper, units.Left)
		path := savePDF(t, d)
		for i := range d.Pages {
			page := seePage(t, path, i+1)
			var level, upright []float64
			for _, p := range page.paths {
				if p.stroke == 0 || len(p.lines) != 1 || len(p.lines[0]) != 2 {
					continue
				}
				along := p.lines[0][1].Sub(p.lines[0][0])
				if math.Abs(along.Len()-100) > 5 {
					continue
				}
				if math.Abs(along[1]) < 1e-3 {
					level = append(level, along.Len())
				} else if math.Abs(along[0]) < 1e-3 {
					upright = append(upright, along.Len())
				}
			}
			require.Len(t, level, 1, "%s, page %d", paper, i+1)
			require.Len(t, upright, 1, "%s, page %d", paper, i+1)
			assert.InDelta(t, 100, level[0], 0.1)
			assert.InDelta(t, 100, upright[0], 0.1)
		}
	}
}

func TestCheckBarsMeasure100MillimetresAsPixels(t *testing.T) {
	const perMM = 10 // at 254 dpi
	path := savePDF(t, demoCarving(t, units.A4, units.Left))
	folder := t.TempDir()
	judge(t, "pdftocairo", "-png", "-gray", "-r", "254", "-f", "1", "-l", "1", "-singlefile", path,
		filepath.Join(folder, "page"))
	file, err := os.Open(filepath.Join(folder, "page.png"))
	require.NoError(t, err)
	defer file.Close()
	picture, err := png.Decode(file)
	require.NoError(t, err)
	size := picture.Bounds()
	assert.InDelta(t, 210*perMM, size.Dx(), 1)
	assert.InDelta(t, 297*perMM, size.Dy(), 1)
	dark := func(x, y int) bool { return color.GrayModel.Convert(picture.At(x, y)).(color.Gray).Y < 128 }
	longest := func(first, last, length int, at func(i, k int) bool) int {
		most := 0
		for i := first; i < last; i++ {
			run := 0
			for k := range length {
				if run++; !at(i, k) {
					run = 0
				}
				most = max(most, run)
			}
		}
		return most
	}
	level := longest(260*perMM, 285*perMM, 118*perMM, func(y, x int) bool { return dark(x, y) })
	upright := longest(10*perMM, 18*perMM, size.Dy(), func(x, y int) bool { return dark(x, y) })
	const tick = 0.25 / 2 // half of the line of each end's mark is beyond the bar
	assert.InDelta(t, 100+2*tick, float64(level)/perMM, 0.15, "to a pixel")
	assert.InDelta(t, 100+2*tick, float64(upright)/perMM, 0.15, "to a pixel")
}

// unitRings finds the rings of a unit on a page: those that are its outline, or
// its mirror image, moved and nothing but moved. It returns them as they were
// read.
func unitRings(page seenPage, u *units.Unit, mirror bool) [][]mgl64.Vec2 {
	var wanted [][]mgl64.Vec2
	for _, ring := range rings(u.Outlines) {
		var turned []mgl64.Vec2
		for _, q := range ring {
			x := q[0]
			if mirror {
				x = -x
			}
			turned = append(turned, mgl64.Vec2{x, -q[1]}) // y is downward on a page
		}
		wanted = append(wanted, turned)
	}
	for _, p := range page.paths {
		if p.stroke > 0 && p.closed && len(p.lines) == len(wanted) && sameButMoved(wanted, p.lines) {
			return p.lines
		}
	}
	return nil
}

// sameButMoved reports whether rings lie on one another once their boxes do.
// Poppler leaves out points on straight lines, so edges are compared, not points.
func sameButMoved(wanted, seen [][]mgl64.Vec2) bool {
	const read = 0.015 // mm: the PDF has hundredths of a point, poppler's SVG 1/256 of one
	shift := middleOf(seen[0]).Sub(middleOf(wanted[0]))
	for _, pair := range [2][2][][]mgl64.Vec2{{wanted, seen}, {seen, wanted}} {
		for _, ring := range pair[0] {
			for _, q := range ring {
				if clearance(pair[1], q.Add(shift)) > read {
					return false
				}
			}
		}
		shift = shift.Mul(-1)
	}
	return true
}

func TestOutlinesInThePDFAreTheUnitsAtTrueSizeAndOfTheRightSide(t *testing.T) {
	for _, side := range []units.Side{units.Left, units.Right} {
		plan := demoPlan(t, side)
		page := seePage(t, savePDF(t, demoCarving(t, units.A4, side)), 1)
		for _, u := range plan.Units {
			found := unitRings(page, u, false)
			require.NotNil(t, found, "%s of a %s ear", u.Name, side)
			assert.Nil(t, unitRings(page, u, true), "%s of a %s ear is there mirrored", u.Name, side)
			area := 0.0
			for _, o := range u.Outlines {
				area += o.Area()
			}
			seen := 0.0
			for _, ring := range found {
				seen += ringArea(ring)
			}
			assert.InEpsilon(t, area, math.Abs(seen), 0.001, u.Name)
		}
	}
}

func ringArea(ring []mgl64.Vec2) float64 {
	sum := 0.0
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		sum += (p[0]*q[1] - p[1]*q[0]) / 2
	}
	return sum
}

func TestTheTragusIsOnTheSideThatTheCompassCallsAnterior(t *testing.T) {
	// Seen from the side, the tragus of a left ear is to the left of its base frame.
	word := regexp.MustCompile(`xMin="([0-9.]+)"[^>]*>([^<]*)<`)
	for side, sign := range map[units.Side]float64{units.Left: -1, units.Right: 1} {
		plan := demoPlan(t, side)
		tragus, base := plan.Unit("tragus"), plan.Unit("base")
		d := demoCarving(t, units.A4, side)
		path := savePDF(t, d)
		wiring := 0
		for i, p := range d.Pages {
			if strings.HasPrefix(p.Title, "Wiring") {
				wiring = i + 1
			}
		}
		require.NotZero(t, wiring)
		page := seePage(t, path, wiring)
		small, large := unitRings(page, tragus, false), unitRings(page, base, false)
		require.NotNil(t, small)
		require.NotNil(t, large)
		// Several figures show the base frame; the tragus is drawn with the one nearest to it.
		nearest := math.Inf(1)
		for _, p := range page.paths {
			if p.closed && len(p.lines) == len(large) && len(p.lines[0]) == len(large[0]) {
				if away := middleOf(small[0]).Sub(middleOf(p.lines[0])); away.Len() < math.Abs(nearest) {
					nearest = math.Copysign(away.Len(), away[0])
				}
			}
		}
		assert.Positive(t, sign*nearest, "%s ear: the tragus is %.1f mm to the right of the base frame", side, nearest)

		at := map[string]float64{}
		number := strconv.Itoa(wiring)
		for _, found := range word.FindAllStringSubmatch(judge(t, "pdftotext", "-bbox", "-f", number, "-l", number,
			path, "-"), -1) {
			x, err := strconv.ParseFloat(found[1], 64)
			require.NoError(t, err)
			at[found[2]] = x
		}
		require.Contains(t, at, "ant.")
		require.Contains(t, at, "post.")
		assert.Positive(t, sign*(at["ant."]-at["post."]), "%s ear", side)
	}
}

func middleOf(ring []mgl64.Vec2) mgl64.Vec2 {
	lo, hi := ring[0], ring[0]
	for _, p := range ring {
		lo, hi = mgl64.Vec2{min(lo[0], p[0]), min(lo[1], p[1])}, mgl64.Vec2{max(hi[0], p[0]), max(hi[1], p[1])}
	}
	return lo.Add(hi).Mul(0.5)
}

// plainText is the text of a PDF's page with white space made even.
func plainText(t *testing.T, path string, number int) string {
	t.Helper()
	at := strconv.Itoa(number)
	return strings.Join(strings.Fields(judge(t, "pdftotext", "-f", at, "-l", at, path, "-")), " ")
}

func TestTheTextOfThePDFCanBeRead(t *testing.T) {
	for _, side := range []units.Side{units.Left, units.Right} {
		d := demoCarving(t, units.A4, side)
		path := savePDF(t, d)
		for i, p := range d.Pages {
			page := plainText(t, path, i+1)
			assert.Contains(t, page, p.Title)
			assert.Contains(t, page, caution)
			assert.Contains(t, page, fmt.Sprintf("page %d of %d", i+1, len(d.Pages)))
			assert.Contains(t, page, sideWords(side))
			assert.Contains(t, page, "Case demo-01")
			assert.Contains(t, page, "If it measures 97 mm the sheet is 3 % too small: do not carve from it.")
			assert.Contains(t, page, "lateral side up")
		}
		first := plainText(t, path, 1)
		plan := demoPlan(t, side)
		for _, u := range plan.Units {
			assert.Contains(t, first, u.Label)
			assert.Contains(t, first, decimal(u.Thickness)+" mm thick, from "+ribWords(u))
		}
		// In the head, beside each name and on each outline.
		marks := 0
		for _, word := range strings.Fields(first) {
			if word == side.Letter() {
				marks++
			}
		}
		assert.Equal(t, 1+2*len(plan.Units), marks)
		wiring := strings.Fields(plainText(t, path, 2))
		for _, f := range demoFixations(plan) {
			assert.Contains(t, wiring, strconv.Itoa(f.Number))
		}
	}
}

func TestThePDFIsSound(t *testing.T) {
	path := savePDF(t, demoCarving(t, units.A4, units.Left))
	assert.Contains(t, judge(t, "pdfinfo", path), "Pages:           3\n")
	assert.Contains(t, judge(t, "qpdf", "--check", path), "No syntax or stream encoding errors found")
}

func TestAContourLineInThePDFIsWhereTheSurfaceHasItsHeight(t *testing.T) {
	// A cone 10 mm high on a disc of 20 mm radius is (20 - r)/2 high at r: its
	// contour at height h is a circle of radius 20 - 2 h.
	in := Input{Plan: demoPlan(t, units.Left), Heights: surface(20, 0.25,
		func(r float64) float64 { return (20 - r) / 2 })}
	in.Plan.Practice.Sheets.Contour = 2
	d, err := Carving(in)
	require.NoError(t, err)
	page := seePage(t, savePDF(t, d), 2)
	var radii []float64
	for _, p := range page.paths {
		if math.Abs(p.stroke-indexPen.width) > 0.005 || len(p.lines) == 0 || len(p.lines[0]) < 20 {
			continue
		}
		for _, line := range p.lines {
			radii = append(radii, math.Sqrt(math.Abs(ringArea(line))/math.Pi))
		}
	}
	require.Len(t, radii, 4)
	for i, h := range []float64{2, 4, 6, 8} {
		assert.InDelta(t, 20-2*h, radii[i], 0.05)
	}
}
