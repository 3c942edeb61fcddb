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
	astray  bool  // where it lies, or what lies in it, cannot be read
}

// drawing is what a document draws.
type drawing struct {
	sheetFrame
	shapes []shape
	ids    []string        // everything that can be named, in the document's order
	listed map[string]bool // those ids
	left   []LeftOut       // named, and not drawn
	shows  bool            // text or pictures
	points int             // flattened so far
	effort                 // spent on comparing its edges
}

// surroundings is what an element has from those around it.
type surroundings struct {
	toSheet  affine
	viewport viewport
	evenOdd  bool
	unseen   bool     // visibility: hidden
	hidden   string   // why nothing of it is drawn, "" if it is
	hiddenBy *element // that says so
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
	visited  map[*element]bool // false once no more is to be said of what is within
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
	w := &walker{document: d, names: names, parsed: map[parsedKey]parsedShape{}, visited: map[*element]bool{},
		drawing: &drawing{sheetFrame: frame, listed: map[string]bool{}, effort: effort{ctx: ctx}}}
	turn, err := d.placing(d.root, frame.box, "50% 50%")
	if err != nil {
		return nil, &Fault{Kind: BadValue, Line: d.root.line, ID: d.root.id, Found: "<svg>: " + err.Error()}
	}
	start := surroundings{toSheet: frame.turned(turn), viewport: frame.size}
	w.style(d.root, &start)
	if err := w.visitAll(d.root.children, start); err != nil {
		return nil, err
	}
	w.leaveUnvisited(d.root)
	return w.drawing, nil
}

// style takes over what the element's style says of itself and those within.
func (w *walker) style(e *element, c *surroundings) {
	style := w.document.styleOf(e)
	switch style["fill-rule"].keyword() {
	case "evenodd":
		c.evenOdd = true
	case "nonzero", "initial":
		c.evenOdd = false
	}
	switch style["visibility"].keyword() {
	case "hidden", "collapse":
		c.unseen = true
	case "visible", "initial":
		c.unseen = false
	}
	switch {
	case c.hidden != "":
	case style["display"].keyword() == "none":
		c.hidden, c.hiddenBy = "hidden (display: none)", e
	case !e.fits():
		c.hidden, c.hiddenBy = "for another language or program (systemLanguage, requiredExtensions)", e
	}
}

var errTooMuch = errors.New("the drawing repeats its elements too often")

func (w *walker) visit(e *element, c surroundings) error {
	if err := w.drawing.ctx.Err(); err != nil {
		return err
	}
	if w.visits++; w.visits > maxElements {
		return &Fault{Kind: TooLarge, Line: e.line, ID: e.id, Found: fmt.Sprintf("%v: more than %d once every <use> is "+
			"followed", errTooMuch, maxElements)}
	}
	if w.letters += e.letters + len(c.prefix); w.letters > maxLetters {
		return &Fault{Kind: TooLarge, Line: e.line, ID: e.id, Found: fmt.Sprintf("%v: more than %d letters of attributes "+
			"once every <use> is followed", errTooMuch, maxLetters)}
	}
	if w.document.style.steps > maxSteps {
		return &Fault{Kind: TooLarge, Line: e.line, ID: e.id,
			Found: "the drawing's style sheets are too intricate", Advice: "save the drawing as plain SVG"}
	}
	if e.foreign || !isContainer(e.name) && !isShape(e.name) && e.name != "use" && !isContent(e.name) {
		return nil
	}
	w.visited[e] = true
	inherited := c.parts
	w.style(e, &c)
	w.list(e.id)
	if c.used {
		w.list(c.prefix + e.id)
	}
	problem := w.name(e, &c)
	switch {
	case isContent(e.name):
		w.drawing.shows = true
		w.leaveContent(e, c, inherited)
		return nil
	case c.hidden != "" && (len(c.parts) > 0 || e.name == "use"):
		w.visited[e] = false
		w.leaveOut(e, c)
		return nil
	case c.hidden != "":
		return w.visitAll(e.children, c)
	}
	m, astray := w.document.placing(e, c.viewport, "0 0")
	c.toSheet = c.toSheet.of(m)
	switch {
	case astray != nil:
		return w.addAstray(e, c, errors.Join(problem, astray))
	case problem != nil:
		return w.addAstray(e, c, problem)
	case isShape(e.name):
		return w.addShape(e, c, nil)
	case e.name == "use":
		return w.use(e, c)
	case e.name == "svg":
		if err := w.nest(e, e, &c); err != nil {
			return w.addAstray(e, c, err)
		}
	}
	return w.within(e, c)
}

// within visits what is in a container, of a <switch> what it chooses.
func (w *walker) within(e *element, c surroundings) error {
	before := len(w.drawing.shapes) + len(w.drawing.left)
	chosen := e.chosen()
	for _, child := range e.children {
		inner := c
		if chosen != nil && child != chosen && child.fits() {
			inner.hidden, inner.hiddenBy = "another child of a <switch> than the one that is drawn", child
		}
		if err := w.visit(child, inner); err != nil {
			return err
		}
	}
	if len(w.drawing.shapes)+len(w.drawing.left) == before && len(c.parts) > 0 && w.named(e) {
		w.leave(e, c, "draws nothing")
	}
	return nil
}

func isContainer(name string) bool {
	return name == "g" || name == "a" || name == "switch" || name == "svg"
}

// isContent reports whether an element shows what has no outline here.
func isContent(name string) bool { return name == "text" || name == "image" || name == "foreignObject" }

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
				return &Fault{Kind: BadName, Found: fmt.Sprintf("data-part %.40q is not a part or "+
					"mark", word), Advice: knownList(word, known)}
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

// addAstray adds a shape, or what stands for all in a container, of which cannot be
// told where it lies.
func (w *walker) addAstray(e *element, c surroundings, problem error) error {
	before := len(w.drawing.shapes)
	w.visited[e] = false
	err := w.addShape(e, c, problem)
	if len(w.drawing.shapes) > before {
		w.drawing.shapes[before].astray = true
	}
	return err
}

func (w *walker) addShape(e *element, c surroundings, problem error) error {
	if c.unseen && isShape(e.name) {
		c.hidden, c.hiddenBy = "hidden (visibility: hidden)", e
		w.leaveOut(e, c)
		return nil
	}
	s := shape{element: e, id: c.prefix + e.id, title: c.title, layer: c.layer, parts: c.parts, evenOdd: c.evenOdd,
		problem: problem}
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
				return &Fault{Kind: TooLarge, Line: e.line, ID: s.id, Found: fmt.Sprintf("the drawing has more than %d lines and "+
					"curves", maxSegments), Advice: "keep the outlines only"}
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
