package template

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// sheetFrame says how a drawing's user units lie on the sheet.
type sheetFrame struct {
	toSheet affine   // to mm from the top left corner if real, else to drawing units from there
	real    bool     // the drawing states its size
	size    viewport // of the view in user units
	box     viewport // of the drawing as a page shows it, in px
}

// turned returns toSheet with the whole drawing moved on its page, in px.
func (f *sheetFrame) turned(m affine) affine {
	if m == identity() {
		return f.toSheet
	}
	if !f.real {
		return m.of(f.toSheet)
	}
	const px = millimetresPerInch / pixelsPerInch
	return scaling(px, px).of(m).of(scaling(1/px, 1/px)).of(f.toSheet)
}

// frame reads width, height and viewBox of the root element.
func (d *document) frame() (sheetFrame, error) {
	width, err := d.root.side("width")
	if err != nil {
		return sheetFrame{}, err
	}
	height, err := d.root.side("height")
	if err != nil {
		return sheetFrame{}, err
	}
	box, boxed, err := d.root.viewBox()
	if err != nil {
		return sheetFrame{}, err
	}
	frame := sheetFrame{toSheet: identity(), real: width.real() || height.real()}
	w, _ := width.pixels()
	h, _ := height.pixels()
	frame.size = viewport{w, h}
	if boxed {
		frame.size = viewport{box[2], box[3]}
		if frame.real {
			if w == 0 {
				w = h * box[2] / box[3]
			}
			if h == 0 {
				h = w * box[3] / box[2]
			}
			frame.toSheet = d.root.fit(box, w, h)
		} else {
			frame.toSheet = translation(-box[0], -box[1])
		}
	}
	frame.box = viewport{w, h}
	if !frame.real {
		frame.box = frame.size
	}
	if frame.real {
		frame.toSheet = scaling(millimetresPerInch/pixelsPerInch, millimetresPerInch/pixelsPerInch).of(frame.toSheet)
	}
	return frame, nil
}

// side reads width or height; 0 stands for one that is missing or relative.
func (e *element) side(name string) (length, error) {
	text := strings.TrimSpace(e.values[name])
	if text == "" || text == "auto" {
		return length{}, nil
	}
	l, err := parseLength(text)
	if err != nil {
		return length{}, fmt.Errorf("%s: %w", name, err)
	}
	if l.value < 0 || l.value == 0 && l.real() {
		return length{}, fmt.Errorf("%s is %q, expected a positive length", name, text)
	}
	if _, ok := l.pixels(); !ok {
		return length{}, nil
	}
	return l, nil
}

func (e *element) viewBox() (box [4]float64, given bool, err error) {
	text := strings.TrimSpace(e.values["viewBox"])
	if text == "" || text == "none" {
		return box, false, nil
	}
	v, err := numbers(text)
	if err != nil {
		return box, false, fmt.Errorf("viewBox: %w", err)
	}
	if len(v) != 4 {
		return box, false, fmt.Errorf("viewBox has %d numbers, expected 4: x, y, width, height", len(v))
	}
	if v[2] <= 0 || v[3] <= 0 {
		return box, false, errors.New("viewBox: width and height must be positive")
	}
	return [4]float64(v), true, nil
}

// fit maps a view box into a viewport of the size given, in its user units, as
// preserveAspectRatio says (SVG 1.1, section 7.8): by default scaled alike in x
// and y, as large as fits, in the middle.
func (e *element) fit(box [4]float64, width, height float64) affine {
	x, y := width/box[2], height/box[3]
	words := strings.Fields(e.values["preserveAspectRatio"])
	if len(words) > 0 && words[0] == "defer" {
		words = words[1:]
	}
	align := "xMidYMid"
	if len(words) > 0 {
		align = words[0]
	}
	if align == "none" {
		return scaling(x, y).of(translation(-box[0], -box[1]))
	}
	s := math.Min(x, y)
	if len(words) > 1 && words[1] == "slice" {
		s = math.Max(x, y)
	}
	share := func(axis string) float64 {
		switch {
		case strings.Contains(align, axis+"Min"):
			return 0
		case strings.Contains(align, axis+"Max"):
			return 1
		}
		return 0.5
	}
	shift := translation(share("x")*(width-s*box[2]), share("Y")*(height-s*box[3]))
	return shift.of(scaling(s, s)).of(translation(-box[0], -box[1]))
}
