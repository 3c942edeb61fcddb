package units

import (
	"math"
	"testing"

	"earframe/field"
	"earframe/internal/strips"
	"earframe/template"
	"earframe/units/lettering"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAUnitIsInscribedWhereItsUndersideIsLevelAndFree(t *testing.T) {
	printer, _ := PrinterLimits(Filament)
	u := stripUnit(t, RisePoint{0, -2}, RisePoint{0.3, 3}, RisePoint{1, 3})
	u.Outlines = []template.Outline{strips.Along(strips.Arc(20, 20, 0, math.Pi), strips.Even(6), 300)}
	engraving, err := u.Inscribe(t.Context(), Inscription{Text: "l2", Depth: 0.5}, printer)
	require.NoError(t, err)
	assert.Equal(t, []string{"L2"}, engraving.Lines)
	assert.GreaterOrEqual(t, engraving.Stroke, printer.EngraveWidth*(1-1e-9))
	under, err := u.Underside()
	require.NoError(t, err)
	outline, err := template.Region(u.Outlines[0])
	require.NoError(t, err)
	for _, ring := range engraving.Rings {
		for _, p := range ring {
			_, slopeX, slopeY := under.Height(p[0], p[1])
			assert.Less(t, math.Hypot(slopeX, slopeY), 2*levelSlope)
			assert.Less(t, outline.Distance(p), -lettering.Margin/2)
		}
	}
	letters, err := engraving.Solid()
	require.NoError(t, err)
	region, err := engraving.Region()
	require.NoError(t, err)
	lo, hi := region.Bounds()
	assert.InDelta(t, lo[0], letters.Bounds().Min[0], 2*lettering.Widening*engraving.Em)
	assert.InDelta(t, hi[0], letters.Bounds().Max[0], 2*lettering.Widening*engraving.Em)

	// What is taken is kept free.
	left, err := field.NewRegion([]mgl64.Vec2{{-40, -5}, {0, -5}, {0, 40}, {-40, 40}})
	require.NoError(t, err)
	engraving, err = u.Inscribe(t.Context(), Inscription{Text: "L2", Depth: 0.5, Taken: []*field.Region{left}}, printer)
	require.NoError(t, err)
	for _, ring := range engraving.Rings {
		for _, p := range ring {
			assert.Positive(t, p[0])
		}
	}
}

func TestATextThatCannotBeCarvedInAUnitIsRefusedWithItsReason(t *testing.T) {
	printer, _ := PrinterLimits(Filament)
	u := &Unit{Name: "pin", Outlines: plateSheet(5, 4), Thickness: 2}
	for _, c := range []struct {
		text   Inscription
		reason string
	}{
		{Inscription{Text: "L4", Depth: 0.5}, "its strokes would be"},
		{Inscription{Text: "a long name that has no room at all", Depth: 0.5}, "no free place"},
		{Inscription{Text: "L4", Depth: 1.5}, "would be left of the unit"},
		{Inscription{Text: "L4", Depth: 0.1}, "0.10 mm deep"},
		{Inscription{Text: " ", Depth: 0.5}, "no letter"},
	} {
		_, err := u.Inscribe(t.Context(), c.text, printer)
		assert.ErrorContains(t, err, c.reason, "%q", c.text.Text)
	}
}
