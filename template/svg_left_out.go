package template

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// LeftOut is what is named after a part or a mark and yet draws no outline.
type LeftOut struct {
	ID    string   // its own, or one by its place such as path-1, or <text>
	Line  int      // of its start tag
	Parts []string // it is named after
	Why   string   // such as "is hidden (display: none)"
	Shows bool     // it is seen on the drawing, but has no outline: text, a picture
}

// leave notes that a named element is not drawn, and why.
func (w *walker) leave(e *element, c surroundings, why string) {
	w.drawing.left = append(w.drawing.left, LeftOut{
		ID: c.prefix + cmp.Or(e.id, "<"+e.name+">"), Line: e.line, Parts: c.parts, Why: why, Shows: isContent(e.name),
	})
}

// leaveOut notes a named element that is hidden by itself or by one around it.
func (w *walker) leaveOut(e *element, c surroundings) {
	switch by := c.hiddenBy; {
	case len(c.parts) == 0:
	case by == e:
		w.leave(e, c, "is "+c.hidden)
	default:
		w.leave(e, c, fmt.Sprintf("lies in %s (line %d), which is %s", by.called(), by.line, c.hidden))
	}
}

// leaveContent notes text and pictures with a name of their own; those in a named
// group are taken for captions.
func (w *walker) leaveContent(e *element, c surroundings, inherited []string) {
	switch {
	case len(c.parts) == 0 || slices.Equal(c.parts, inherited) && !w.named(e):
	case c.hidden != "":
		w.leaveOut(e, c)
	case e.name == "text":
		w.leave(e, c, "is text, which has no outline here; make it a path in the drawing program")
	default:
		w.leave(e, c, "is a picture, which has no outline here; trace it in the drawing program")
	}
}

// leaveUnvisited notes named elements that stand where nothing is drawn and that
// no use shows: in <defs>, in a <symbol>, in an element that is not known.
func (w *walker) leaveUnvisited(e *element) {
	for _, child := range e.children {
		switch child.name {
		case "clipPath", "mask", "pattern", "marker":
			continue // they bound or adorn what is drawn
		}
		c := surroundings{}
		draws := isContainer(child.name) || isShape(child.name) || isContent(child.name) ||
			child.name == "use" || child.name == "symbol"
		visited, told := w.visited[child]
		if told = told && !visited; told {
			continue
		}
		if visited || child.foreign || !draws {
			w.leaveUnvisited(child)
			continue
		}
		w.list(child.id)
		if err := w.name(child, &c); err == nil && len(c.parts) > 0 {
			around := child.parent
			for around.parent != nil && (isContainer(around.name) || around.name == "symbol") {
				around = around.parent
			}
			w.leave(child, c, fmt.Sprintf("lies in <%s> (line %d), and no <use> shows it", around.name, around.line))
			continue
		}
		w.leaveUnvisited(child)
	}
}

// called names the element for a reader.
func (e *element) called() string {
	if label := cmp.Or(e.layer, e.id); label != "" {
		return fmt.Sprintf("<%s> %.40q", e.name, label)
	}
	return "<" + e.name + ">"
}

// named reports whether the element itself is named after a part or mark.
func (w *walker) named(e *element) bool {
	labels := []string{e.title, e.layer}
	if e.ownID {
		labels = append(labels, e.id)
	}
	return len(w.names[e.id]) > 0 || e.values["data-part"] != "" ||
		slices.ContainsFunc(labels, func(label string) bool { return guessName(label) != "" })
}

// chosen returns the child that a <switch> draws: the first that fits, whatever it
// is (SVG 1.1, section 5.8.2); nil for another element or if none fits.
func (e *element) chosen() *element {
	if e.name != "switch" {
		return nil
	}
	for _, child := range e.children {
		if !child.foreign && child.fits() {
			return child
		}
	}
	return nil
}

// language is the one that drawings are read in where they have several.
const language = "en"

// fits reports whether the element is for this language and needs nothing beyond
// SVG. The outcome of requiredFeatures is always true (SVG 2, section 5.7).
func (e *element) fits() bool {
	if extensions, given := e.values["requiredExtensions"]; given {
		words := strings.Fields(extensions)
		for _, word := range words {
			if word != "http://www.w3.org/1999/xhtml" && word != "http://www.w3.org/1998/Math/MathML" {
				return false
			}
		}
		if len(words) == 0 {
			return false
		}
	}
	languages, given := e.values["systemLanguage"]
	if !given {
		return true
	}
	for tag := range strings.SplitSeq(strings.ToLower(languages), ",") {
		if primary, _, _ := strings.Cut(strings.TrimSpace(tag), "-"); primary == language {
			return true
		}
	}
	return false
}
