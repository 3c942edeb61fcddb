package template

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// seeds returns real drawings and the drawing of every kind of frame.
func seeds(f *testing.F) []string {
	files, err := filepath.Glob("../testdata/drawings/*.svg")
	if err != nil || len(files) == 0 {
		f.Fatal("no drawings to begin from")
	}
	var texts []string
	for _, file := range append(files, "../units/demo/good/template.svg") {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		texts = append(texts, string(text))
	}
	return texts
}

func FuzzRead(f *testing.F) {
	for _, text := range seeds(f) {
		f.Add(text, 0.0)
		f.Add(strings.Replace(text, "path-1", "base", 1), 60.0)
		f.Add(strings.ReplaceAll(text, "<path ", `<path data-part="ear base" `), 60.0)
	}
	f.Add(inMillimetres(`<path id="base" d="M10 10 L30 30 H10 L30 10 z"/><line id="frankfort" x2="9"/>`), 0.0)
	f.Add(inMillimetres(`<g id="a"><use id="base" href="#a"/></g><line id="scale" data-mm="9" x2="9"/>`), 0.0)
	f.Fuzz(func(t *testing.T, text string, earLength float64) {
		shapes, err := InspectFrom(t.Context(), strings.NewReader(text), "fuzz.svg")
		if err == nil {
			for _, s := range shapes {
				if !(s.Area >= 0) || math.IsNaN(s.Width+s.Height) {
					t.Fatalf("shape %+v", s)
				}
			}
		}
		sheet, err := ReadFrom(t.Context(), strings.NewReader(text), "fuzz.svg", Options{EarLength: earLength})
		if (err == nil) == (sheet == nil) {
			t.Fatalf("sheet %v, error %v", sheet, err)
		}
		if err != nil {
			return
		}
		for _, o := range sheet.Outlines {
			if !(o.Area() > 0) || !(o.Outer.Area() >= leastArea/2) || o.Part == "" {
				t.Fatalf("outline %s of part %q has an area of %g mm²", o.ID, o.Part, o.Area())
			}
			for _, p := range o.Outer {
				if math.IsNaN(p[0] + p[1]) {
					t.Fatalf("outline %s has a point at %v", o.ID, p)
				}
			}
		}
	})
}

func FuzzPathData(f *testing.F) {
	for _, text := range seeds(f) {
		for _, piece := range strings.Split(text, ` d="`)[1:] {
			data, _, _ := strings.Cut(piece, `"`)
			f.Add(data)
		}
	}
	f.Add("M200 500a-300-200 20 01500 100z")
	f.Add("M.5e3.5e3 900.25-100-.5.5-300 4e2z")
	f.Add("m1e308 1e308 1e308 1e308q1e-320,-0 0 0t1 1A1 1e300 1 1 1 0 0")
	f.Fuzz(func(t *testing.T, data string) {
		paths, err := parsePath(data)
		if err != nil {
			return
		}
		for i := range paths {
			points, err := paths[i].flatten(0.02)
			if err != nil {
				continue
			}
			if points[0] != paths[i].start || points[len(points)-1] != paths[i].end() {
				t.Fatalf("flattening moved the ends of %q", data)
			}
			if len(points) > 2*maxRingPoints+1 {
				t.Fatalf("%d points", len(points))
			}
		}
	})
}

func FuzzTransform(f *testing.F) {
	for _, text := range []string{
		"translate(30,-4.5)", "rotate(-120 40 50)", "matrix(1.1 .2 -.3 .9 5 -6)",
		"translate(10 20) rotate(45), scale(1 2) skewX(10)", "scale(1e308) scale(1e308)", "skewX(90)", "rotate(",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		m, err := parseTransform(text)
		if err != nil {
			return
		}
		again, err := parseTransform("matrix(1 0 0 1 0 0) " + text)
		if err != nil {
			t.Fatalf("%q is read alone, not after another: %v", text, err)
		}
		if det := m.determinant(); math.Abs(det) > 1e-3 && math.Abs(det) < 1e3 && math.Abs(again.determinant()-det) > 1e-6*math.Abs(det) {
			t.Fatalf("%q has the determinant %g, after the identity %g", text, det, again.determinant())
		}
	})
}

// A style sheet of any kind is read to its end, each rule within its bounds, and
// a style read from a rule is the one read from the element.
func FuzzStyleSheet(f *testing.F) {
	for _, text := range []string{
		"g.layer > .child, .nothing { transform: translate(5px, 5px) }", "@media screen{#a{display:none}}",
		"/* } */ rect{transform:rotate(30deg)!important;transform-origin:50% " +
			"50%", "a{b:url('}')}#x{x:1px}", "a::b,c:hover{d:none}",
		"@supports (a:b){*{zoom:2}}", "a{{{}", "\\", "a>b>c .d{translate:1px}",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		sheet := newStyleSheet()
		if err := sheet.add(text, 1); err != nil {
			return
		}
		e := &element{name: "path", values: map[string]string{"id": "x", "class": "child d"}, classes: []string{"child", "d"}}
		document := &document{style: sheet}
		style := document.styleOf(e)
		for property, v := range style {
			if !v.css || !matters(property) || v.text == "" {
				t.Fatalf("%q sets %q to %q", text, property, v.text)
			}
		}
		m, err := document.placing(e, viewport{100, 50}, "0 0")
		if err != nil {
			return
		}
		inline := &element{name: "circle", values: map[string]string{}}
		document.style = newStyleSheet()
		for property, v := range style {
			inline.values["style"] += property + ":" + v.text + ";"
		}
		again, err := document.placing(inline, viewport{100, 50}, "0 0")
		if err != nil || again != m && !math.IsNaN(m.determinant()) {
			t.Fatalf("%q places by %v, at the element itself by %v, %v", text, m, again, err)
		}
	})
}
