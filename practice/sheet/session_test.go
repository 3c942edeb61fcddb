package sheet

import (
	"bytes"
	"fmt"
	"image"
	"strings"
	"testing"

	"earframe/units"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// demoSession is a session sheet's input with all there can be.
func demoSession(t testing.TB, side units.Side) SessionInput {
	t.Helper()
	plan := demoPlan(t, side)
	var numbers []int
	for _, f := range demoFixations(plan) {
		numbers = append(numbers, f.Number)
	}
	return SessionInput{
		Plan: plan, Picture: image.NewRGBA(image.Rect(0, 0, 400, 300)),
		Seams: []Seam{{Name: "Helix with crus on base frame", Numbers: numbers[:10]},
			{Name: "Antihelix on base frame", Numbers: numbers[10:]}},
		Wire: "wire of 0.1 mm: nearest 38 gauge AWG", WireLength: 3456,
		Mixes:     []Mix{{"8th rib cartilage", 14.2, []MixPart{{"silicone", 9.5}, {"cornstarch", 4.7}}}},
		Cartilage: []string{"Antihelix: comes out of the 9th rib with 1.2 mm to spare."},
		Findings: []units.Finding{
			{Severity: units.Warning, Unit: "helix", Message: "its outer fibre stretches by 24 %",
				Advice: "Thin it before bending"},
			{Severity: units.Error, Unit: "antihelix", Message: "comes out of the 9th rib with 1.2 mm to spare",
				Advice: "Said above"},
			{Severity: units.Note, Message: "the helix rests on the base frame"},
		},
	}
}

func TestTheSessionSheetSaysWhatIsToBeDone(t *testing.T) {
	for _, side := range []units.Side{units.Left, units.Right} {
		in := demoSession(t, side)
		d, err := Session(in)
		require.NoError(t, err)
		requireLegible(t, d)
		path := savePDF(t, d)
		page := plainText(t, path, 1)
		assert.Contains(t, judge(t, "pdfinfo", path), "Pages:           1\n")
		for _, words := range []string{
			"Session sheet", "Case demo-01", sideWords(side), caution, "page 1 of 1",
			"Carve the base frame from ribs 6 and 7, with scapha and fossa; fit its notch to the finished helix.",
			"Helix with crus on base frame: 1–10", "3.5 m of wire", "Wire of 0.1 mm: nearest 38 gauge AWG.",
			"8th rib cartilage, 14.2 ml: silicone 9.5, cornstarch 4.7", "Silicone and resin per their data sheets",
			"comes out of the 9th rib with 1.2 mm to spare",
			"Helix with crus: its outer fibre stretches by 24 %. Thin it before bending.",
		} {
			assert.Contains(t, page, words)
		}
		assert.NotContains(t, page, "rests on the base frame", "notes are for the record")
		assert.NotContains(t, page, "Said above", "what the verdict on the cartilage says is not said twice")
		for _, u := range in.Plan.Units {
			assert.Contains(t, page, u.Label)
			assert.Contains(t, page, decimal(u.Thickness))
		}
		// Base → helix → antihelix → tragus → conchal vault, then the wire.
		last := -1
		for _, step := range []string{"Carve the base", "Carve the helix", "Carve the antihelix", "Carve the tragus",
			"Carve the conchal vault", "Wire "} {
			at := strings.Index(page, step)
			assert.Greater(t, at, last, step)
			last = at
		}
	}
}

func TestWiresThatAreCoveredLaterArePassedBefore(t *testing.T) {
	in := demoSession(t, units.Left)
	d, err := Session(in)
	require.NoError(t, err)
	assert.NotContains(t, plainText(t, savePDF(t, d), 1), "laid on")

	in.Seams[1].Covered, in.Seams[1].Over = in.Seams[1].Numbers[2:5], []string{"helix", "tragus"}
	d, err = Session(in)
	require.NoError(t, err)
	page := plainText(t, savePDF(t, d), 1)
	first := in.Seams[1].Numbers[2]
	assert.Contains(t, page, fmt.Sprintf("; pass %d–%d before helix and tragus are laid on", first, first+2))
	assert.Contains(t, page, "Before a unit covers them, pass the wires that the list of fixations names.")
}

// crowded is a session of many units with long names, seams, mixes and findings.
func crowded(t testing.TB, count, findings int) SessionInput {
	t.Helper()
	in := demoSession(t, units.Left)
	first := in.Plan.Units
	in.Plan.Units, in.Seams, in.Mixes, in.Findings = nil, nil, nil, nil
	for i := range count {
		u := *first[i%len(first)]
		u.Name = fmt.Sprintf("a-very-long-name-of-a-unit-as-allowed-%02d", i)
		u.Label = u.Part.Label() + " (" + u.Name + ")"
		in.Plan.Units = append(in.Plan.Units, &u)
		in.Seams = append(in.Seams, Seam{Name: u.Label + " on base frame", Numbers: []int{3*i + 1, 3*i + 2, 3*i + 3}})
	}
	in.Mixes = []Mix{
		{"8th rib cartilage", 14.2, []MixPart{{"silicone", 9.5}, {"cornstarch", 4.7}}},
		{"ribs 6 and 7, joined", 44.2, []MixPart{{"silicone", 29.5}, {"cornstarch", 14.7}}},
	}
	for i := range findings {
		in.Findings = append(in.Findings, units.Finding{Severity: units.Warning, Unit: in.Plan.Units[i%count].Name,
			Message: "this is a finding of some length that says what was found, where, by how much, and what it was " +
				"held against", Advice: "Change it"})
	}
	return in
}

func TestTwelveUnitsWithLongNamesFitOneSessionSheet(t *testing.T) {
	for _, paper := range []string{units.A4, units.Letter} {
		for _, findings := range []int{0, 2, 40} {
			in := crowded(t, 12, findings)
			in.Plan.Practice.Sheets.Paper = paper
			d, err := Session(in)
			require.NoError(t, err, "%s, %d findings", paper, findings)
			require.Len(t, d.Pages, 1)
			requireLegible(t, d)
			page := &d.Pages[0]
			shown := 0
			for _, m := range page.marks {
				// Nothing but the caution is below where the caution begins, and no text runs
				// into the right margin.
				if m.text != nil {
					shown += strings.Count(m.text.words, "•")
					assert.LessOrEqual(t, m.text.at[0]+m.text.width, page.paper.printable().right+1e-9, m.text.words)
					if !strings.Contains(caution, m.text.words) {
						assert.LessOrEqual(t, m.text.at[1], page.footTop()+1e-9, m.text.words)
					}
				}
			}
			if findings == 40 {
				assert.Less(t, shown, 40)
				assert.Contains(t, allWords(page), fmt.Sprintf("and %d findings more: see the record.", 40-(shown-1)))
			} else {
				assert.Equal(t, findings, shown)
			}
			for _, u := range in.Plan.Units {
				assert.Contains(t, strings.ReplaceAll(allWords(page), " ", ""), u.Name)
			}
		}
	}
}

func allWords(p *Page) string {
	var words []string
	for _, m := range p.marks {
		if m.text != nil {
			words = append(words, m.text.words)
		}
	}
	return strings.Join(words, " ")
}

func TestWhatCannotFitOneSessionSheetIsAnError(t *testing.T) {
	_, err := Session(crowded(t, 80, 0))
	require.ErrorContains(t, err, "80 units")
	require.ErrorContains(t, err, "plan fewer units")

	many := demoSession(t, units.Left)
	for i := range 60 {
		many.Mixes[0].Parts = append(many.Mixes[0].Parts, MixPart{fmt.Sprint("an ingredient with a long name ", i), 1})
	}
	for range 7 {
		many.Mixes = append(many.Mixes, many.Mixes[0])
	}
	_, err = Session(many)
	require.ErrorContains(t, err, "give casting.mix fewer ingredients or shorter names")
	for i := range many.Mixes {
		many.Mixes[i].Parts = many.Mixes[i].Parts[:2]
	}
	_, err = Session(many)
	require.NoError(t, err, "it helps")
	_, err = Session(SessionInput{})
	require.ErrorContains(t, err, "no units")
}

func TestTheSessionSheetIsTheSameEachTime(t *testing.T) {
	var files [2]bytes.Buffer
	for i := range files {
		d, err := Session(demoSession(t, units.Right))
		require.NoError(t, err)
		require.NoError(t, d.WritePDF(&files[i]))
		require.NoError(t, d.WriteSVG(0, &files[i]))
	}
	assert.True(t, bytes.Equal(files[0].Bytes(), files[1].Bytes()))
}

func TestAPictureKeepsItsProportions(t *testing.T) {
	in := demoSession(t, units.Left)
	for _, size := range [][2]int{{400, 300}, {1000, 100}, {100, 1000}} {
		in.Picture = image.NewRGBA(image.Rect(5, 7, 5+size[0], 7+size[1]))
		d, err := Session(in)
		require.NoError(t, err)
		for _, m := range d.Pages[0].marks {
			if m.image != nil {
				assert.InEpsilon(t, float64(size[0])/float64(size[1]), m.image.in.width()/m.image.in.height(), 1e-9)
			}
		}
	}
	in.Picture = nil
	d, err := Session(in)
	require.NoError(t, err)
	requireLegible(t, d)
}

func TestAntihelixInPiecesIsCarvedFromAboveDownward(t *testing.T) {
	in := demoSession(t, units.Left)
	tragus := in.Plan.Unit("tragus")
	lower, upper := *tragus, *tragus
	lower.Name, lower.Label, lower.Part = "body", "Body", units.Antihelix
	upper.Name, upper.Label, upper.Part = "superior-crus", "Superior crus", units.Antihelix
	upper.Outlines = turned(upper.Outlines, 0)
	for i := range upper.Outlines[0].Outer {
		upper.Outlines[0].Outer[i][1] += 20
	}
	in.Plan.Units = append([]*units.Unit{&lower, &upper}, in.Plan.Units...)
	d, err := Session(in)
	require.NoError(t, err)
	page := plainText(t, savePDF(t, d), 1)
	last := -1
	for _, step := range []string{"Carve the base", "Carve the helix", "Carve the superior crus", "Carve the antihelix",
		"Carve the body", "Carve the tragus"} {
		at := strings.Index(page, step)
		assert.Greater(t, at, last, step)
		last = at
	}
}
