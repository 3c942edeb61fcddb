package template

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/go-gl/mathgl/mgl64"
)

// shape is one drawn element where it lies on the sheet.
type shape struct {
	element *element
	id      string
	title   string
	layer   string
	parts   []string // parts and marks it is, none if it has no known name
	paths   []subpath
	evenOdd bool
	problem error // why it cannot be read, nil if it can
}

// drawing is what a document draws.
type drawing struct {
	sheetFrame
	shapes []shape
	ids    []string        // everything that can be named, in the document's order
	listed map[string]bool // those ids
	points int             // flattened so far
	effort                 // spent on comparing its edges
}

// surroundings is what an element has from those around it.
type surroundings struct {
	toSheet  affine
	viewport viewport
	evenOdd  bool
	parts    []string
	layer    string
	title    string
	prefix   string // of ids, inside a use
	used     bool   // inside a use
	within   []*element
}

// walker goes through a document and collects its shapes.
type walker struct {
	document *document
	names    map[string][]string
	drawing  *drawing
	parsed   map[parsedKey]parsedShape
	visits   int
	letters  int // of attributes read
	segments int
}

// parsedKey is what a shape's geometry depends on.
type parsedKey struct {
	element  *element
	viewport viewport
}

type parsedShape struct {
	paths []subpath
	err   error
}

// draw lays the document's shapes out on the sheet. Names gives parts to ids.
func (d *document) draw(ctx context.Context, names map[string][]string) (*drawing, error) {
	frame, err := d.frame()
	if err != nil {
		return nil, &Fault{Kind: BadValue, Line: d.root.line, ID: d.root.id, Found: "<svg>: " + err.Error()}
	}
	w := &walker{document: d, names: names, drawing: &drawing{sheetFrame: frame, listed: map[string]bool{}, effort: effort{ctx: ctx}}, parsed: map[parsedKey]parsedShape{}}
	turn, err := parseTransform(d.root.values["transform"])
	if err != nil {
		return nil, &Fault{Kind: BadValue, Line: d.root.line, ID: d.root.id, Found: "<svg>: " + err.Error()}
	}
	start := surroundings{toSheet: frame.toSheet.of(turn), viewport: frame.size}
	w.style(d.root, &start)
	if d.property(d.root, "display") != "none" {
		for _, child := range d.root.children {
			if err := w.visit(child, start); err != nil {
				return nil, err
			}
		}
	}
	return w.drawing, nil
}

func (w *walker) style(e *element, c *surroundings) {
	switch w.document.property(e, "fill-rule") {
	case "evenodd":
		c.evenOdd = true
	case "nonzero":
		c.evenOdd = false
	}
}

var errTooMuch = errors.New("the drawing repeats its elements too often")

func (w *walker) visit(e *element, c surroundings) error {
	if err := w.drawing.ctx.Err(); err != nil {
		return err
	}
	if w.visits++; w.visits > maxElements {
		return &Fault{Kind: TooLarge, Line: e.line, ID: e.id, Found: fmt.Sprintf("%v: more than %d once every <use> is followed", errTooMuch, maxElements)}
	}
	if w.letters += e.letters + len(c.prefix); w.letters > maxLetters {
		return &Fault{Kind: TooLarge, Line: e.line, ID: e.id, Found: fmt.Sprintf("%v: more than %d letters of attributes once every <use> is followed", errTooMuch, maxLetters)}
	}
	container := e.name == "g" || e.name == "a" || e.name == "switch" || e.name == "svg"
	if !container && !isShape(e.name) && e.name != "use" || w.document.property(e, "display") == "none" {
		return nil
	}
	w.style(e, &c)
	w.list(e.id)
	if c.used {
		w.list(c.prefix + e.id)
	}
	problem := w.name(e, &c)
	if m, err := parseTransform(e.values["transform"]); err != nil {
		problem = errors.Join(problem, err)
	} else {
		c.toSheet = c.toSheet.of(m)
	}
	switch {
	case problem != nil || isShape(e.name):
		return w.addShape(e, c, problem)
	case e.name == "use":
		return w.use(e, c)
	case e.name == "svg":
		if err := w.nest(e, e, &c); err != nil {
			return w.addShape(e, c, err)
		}
	}
	for _, child := range e.children {
		if err := w.visit(child, c); err != nil {
			return err
		}
	}
	return nil
}

// list notes an id that can be named.
func (w *walker) list(id string) {
	if id != "" && !strings.HasSuffix(id, "/") && !w.drawing.listed[id] {
		w.drawing.listed[id] = true
		w.drawing.ids = append(w.drawing.ids, id)
	}
}

// name finds what the element is called: by the caller's names, its data-part,
// id, title or layer label, in this order; else what the group around it is.
func (w *walker) name(e *element, c *surroundings) error {
	if e.layer != "" {
		c.layer = e.layer
	}
	if e.title != "" {
		c.title = e.title
	}
	for _, id := range []string{c.prefix + e.id, e.id} {
		if parts, given := w.names[id]; given && e.id != "" {
			c.parts = parts
			return nil
		}
	}
	if text, given := e.values["data-part"]; given {
		words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == ',' })
		known, parts := knownNames(), []string{}
		for _, word := range words {
			if !slices.Contains(known, word) {
				return &Fault{Kind: BadName, Found: fmt.Sprintf("data-part %.40q is not a part or mark", word), Advice: knownList(word, known)}
			}
			if !slices.Contains(parts, word) {
				parts = append(parts, word)
			}
		}
		c.parts = parts
		return nil
	}
	labels := []string{e.title, e.layer}
	if e.ownID {
		labels = []string{e.id, e.title, e.layer}
	}
	for _, label := range labels {
		if part := guessName(label); part != "" {
			c.parts = []string{part}
			return nil
		}
	}
	return nil
}

func (w *walker) addShape(e *element, c surroundings, problem error) error {
	s := shape{element: e, id: c.prefix + e.id, title: c.title, layer: c.layer, parts: c.parts, evenOdd: c.evenOdd, problem: problem}
	if problem == nil {
		key := parsedKey{element: e}
		if e.name != "path" && e.name != "polygon" && e.name != "polyline" {
			key.viewport = c.viewport // lengths may be percentages of it
		}
		parsed, known := w.parsed[key]
		if !known {
			parsed.paths, parsed.err = e.geometry(c.viewport)
			w.parsed[key] = parsed
		}
		s.problem = parsed.err
		for _, p := range parsed.paths {
			if len(p.segments) == 0 {
				continue // a moveto that nothing follows draws nothing
			}
			if w.segments += len(p.segments); w.segments > maxSegments {
				return &Fault{Kind: TooLarge, Line: e.line, ID: s.id, Found: fmt.Sprintf("the drawing has more than %d lines and curves", maxSegments), Advice: "keep the outlines only"}
			}
			s.paths = append(s.paths, p.mapped(c.toSheet))
		}
	}
	w.drawing.shapes = append(w.drawing.shapes, s)
	return nil
}

// ends returns the two ends of a mark; ok is false if it is not a line.
func (s *shape) ends() (a, b mgl64.Vec2, ok bool) {
	if len(s.paths) != 1 || len(s.paths[0].segments) != 1 || s.paths[0].segments[0].kind != lineSegment {
		return a, b, false
	}
	p := s.paths[0].segments[0].p
	return p[0], p[1], p[0] != p[1]
}
