package lettering

import (
	"context"
	"errors"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/field"
)

// Text is a text in outlines on an underside.
type Text struct {
	Lines  []string
	Centre mgl64.Vec2     // middle of the text, mm
	Turn   float64        // from upright as read from below, radians, counter-clockwise for the reader
	Em     float64        // size of the letters, mm
	Stroke float64        // width of the narrowest stroke once widened, mm
	Rings  [][]mgl64.Vec2 // of the letters on the underside, seen from above
}

// Region returns the letters as they stand on the underside, seen from above. Their
// strokes are to be widened by Widening times the em on both sides.
func (t *Text) Region() (*field.Region, error) { return field.NewRegion(t.Rings...) }

// Sizes of letters tried, as multiples of the smallest that the printer can
// make, the largest first; below 1 only to say by how much the text is too
// large.
var letterSizes = []float64{1.8, 1.5, 1.25, 1, 0.85, 0.7, 0.55, 0.4, 0.3}

// strokeSlack allows for rounding where a stroke is exactly as wide as the
// printer needs it.
const strokeSlack = 1 - 1e-9

// ErrNoLetter is the reason why a text cannot be set at all.
var ErrNoLetter = errors.New("the text has no letter that can be carved")

// Space is the part of an underside where text may stand.
type Space struct {
	Inside []*field.Region
	Taken  []*field.Region // within it, where no text may stand
	Edge   float64         // mm along every border that are not level
}

// Largest sets the text in the largest of the letter sizes that has room, and
// says how wide its narrowest stroke then is; nil if it has room in none. At the
// size 1 the narrowest stroke is as wide as is given, in mm. The error is
// ErrNoLetter, the font's, or that of ctx.
func (s Space) Largest(ctx context.Context, text string, width float64) (*Text, error) {
	font, err := newLetters()
	if err != nil {
		return nil, err
	}
	stroke := font.narrowestStroke(text) // at an em of 1 mm
	if stroke == 0 {
		return nil, ErrNoLetter
	}
	room := newRoom(s.Inside, s.Taken, s.Edge+Margin)
	for _, size := range letterSizes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		em := size * width / stroke
		if text, ok := room.place(font, text, em); ok {
			text.Stroke = em * stroke
			return text, nil
		}
	}
	return nil, nil
}

// Wide reports whether the narrowest stroke is as wide as the printer needs it,
// mm.
func (t *Text) Wide(needed float64) bool { return t.Stroke >= needed*strokeSlack }
