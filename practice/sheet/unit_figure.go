package sheet

import (
	"fmt"
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"

	"earframe/assemble"
	"earframe/field"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// unitFigure draws a unit as it is carved: outline, recesses, where neighbours
// lie, fixations, grain and side.
func (l *layout) unitFigure(u *units.Unit) (figure, error) {
	f := figure{title: u.Label, badge: l.in.Plan.Side.Letter(), caption: l.unitCaption(u)}
	outline := rings(u.Outlines)
	f.add(pen{colour: tint(u.Part)}, true, outline...)
	for _, recess := range u.Recesses {
		f.add(recessPen, false, within(rings(recess.Outlines), u.Outlines)...)
	}
	for _, c := range l.in.Contacts {
		other := neighbour(l.in.Plan, c, u)
		if other == nil {
			continue
		}
		seam := within(rings(other.Outlines), u.Outlines)
		above, err := liesAbove(other, u, seam)
		if err != nil {
			return figure{}, err
		}
		if above {
			f.add(abovePen, false, seam...)
		} else {
			f.add(beneathPen, false, seam...)
		}
	}
	l.drawCuts(&f, u)
	f.add(outlinePen, true, outline...)
	for _, fixation := range l.in.Fixations {
		if fixation.Upper == u.Name || fixation.Lower == u.Name {
			f.add(dotPen, true, dot(fixation.At.Vec2()))
		}
	}
	l.placeLetter(&f, u)
	l.placeGrain(&f, u)
	return f, nil
}

// tint is a unit's colour so pale that black print on it and a print in black
// and white read equally well.
func tint(part units.Part) color.RGBA {
	value, err := strconv.ParseUint(strings.TrimPrefix(part.Colour(), "#"), 16, 32)
	if err != nil {
		return white
	}
	const share = 0.14
	pale := func(shift uint) uint8 { return uint8(255 - share*float64(255-(value>>shift&0xff))) }
	return color.RGBA{pale(16), pale(8), pale(0), 255}
}

// neighbour returns the other unit of a contact in which u touches it, or nil.
func neighbour(plan *units.Plan, c assemble.Contact, u *units.Unit) *units.Unit {
	if c.Area == 0 && c.Depth == 0 {
		return nil
	}
	switch u.Name {
	case c.A:
		return plan.Unit(c.B)
	case c.B:
		return plan.Unit(c.A)
	}
	return nil
}

// liesAbove reports whether one unit is the more lateral of two where the seam
// runs: by the middle of its thickness, averaged along the seam.
func liesAbove(upper, lower *units.Unit, seam [][]mgl64.Vec2) (bool, error) {
	var under [2]field.Surface
	for i, u := range []*units.Unit{upper, lower} {
		surface, err := u.Underside()
		if err != nil {
			return false, fmt.Errorf("sheet: unit %s: %w", u.Name, err)
		}
		under[i] = surface
	}
	difference := 0.0
	for _, line := range seam {
		for _, p := range line {
			high, _, _ := under[0].Height(p[0], p[1])
			low, _, _ := under[1].Height(p[0], p[1])
			difference += high + upper.Thickness/2 - low - lower.Thickness/2
		}
	}
	return difference > 0, nil
}

// unitCaption says what the outline alone does not.
func (l *layout) unitCaption(u *units.Unit) []string {
	grain := "Grain along the arrow"
	if u.Centreline != nil {
		grain = "Grain along its length"
	}
	lines := []string{
		u.Label,
		fmt.Sprintf("%s mm thick, from %s", decimal(u.Thickness), ribWords(u)),
		"Rise " + riseWords(u),
		fmt.Sprintf("Lateral edge %s, medial %s", edgeWords(u.EdgeTop), edgeWords(u.EdgeBottom)),
		grain,
	}
	lines = append(lines, l.partWords(u)...)
	for _, r := range u.Recesses {
		lines = append(lines, fmt.Sprintf("%s %s mm deep, walls sloped %s°", capitalised(r.Name), decimal(r.Depth),
			decimal(r.Wall*180/math.Pi)))
	}
	if len(u.NotchFor) > 0 {
		lines = append(lines, "Notch: fit to the finished "+and(u.NotchFor))
	}
	return append(lines, l.fixationWords(u)...)
}

// fixationWords lists which fixations lead to which neighbour.
func (l *layout) fixationWords(u *units.Unit) []string {
	var names []string
	to := map[string][]int{}
	for _, f := range l.in.Fixations {
		other := f.Upper
		switch u.Name {
		case f.Upper:
			other = f.Lower
		case f.Lower:
		default:
			continue
		}
		if to[other] == nil {
			names = append(names, other)
		}
		to[other] = append(to[other], f.Number)
	}
	var words []string
	for _, name := range names {
		words = append(words, fmt.Sprintf("%s to %s", spans(to[name]), name))
	}
	if len(words) == 0 {
		return nil
	}
	return []string{"Fixations: " + strings.Join(words, "; ")}
}

// spans writes numbers as ranges: 1–4, 9.
func spans(numbers []int) string {
	numbers = slices.Compact(slices.Sorted(slices.Values(numbers)))
	var words []string
	for i := 0; i < len(numbers); {
		k := i
		for k+1 < len(numbers) && numbers[k+1] == numbers[k]+1 {
			k++
		}
		if k == i {
			words = append(words, strconv.Itoa(numbers[i]))
		} else {
			words = append(words, fmt.Sprintf("%d–%d", numbers[i], numbers[k]))
		}
		i = k + 1
	}
	return strings.Join(words, ", ")
}

func ribWords(u *units.Unit) string {
	if len(u.Ribs) == 0 {
		return "the remainder"
	}
	words := make([]string, len(u.Ribs))
	for i, rib := range u.Ribs {
		words[i] = strconv.Itoa(rib)
	}
	if len(words) == 1 {
		return "rib " + words[0]
	}
	return "ribs " + and(words)
}

func riseWords(u *units.Unit) string {
	low, high := riseRange(u)
	if low == high {
		return decimal(low) + " mm"
	}
	return fmt.Sprintf("%s to %s mm", decimal(low), decimal(high))
}

func riseRange(u *units.Unit) (low, high float64) {
	low, high = u.Rise.Height, u.Rise.Height
	for i, p := range u.Rise.Profile {
		if i == 0 {
			low, high = p.Height, p.Height
		}
		low, high = min(low, p.Height), max(high, p.Height)
	}
	return low, high
}

func edgeWords(radius float64) string {
	if radius == 0 {
		return "square"
	}
	return fmt.Sprintf("radius %s", decimal(radius))
}

// decimal writes a number with at most two places and a true minus sign.
func decimal(v float64) string {
	s := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 2, 64), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return strings.Replace(s, "-", "−", 1)
}

func capitalised(name string) string {
	if name == "" {
		return name
	}
	return strings.ToUpper(name[:1]) + name[1:]
}

// and joins words as a sentence does.
func and(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// largest returns the outline that encloses most.
func largest(outlines []template.Outline) template.Outline {
	best := outlines[0]
	for _, o := range outlines[1:] {
		if o.Area() > best.Area() {
			best = o
		}
	}
	return best
}
