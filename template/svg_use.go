package template

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// maxPrefix bounds how long ids grow where uses show uses.
const maxPrefix = 500

// use draws the element that a use refers to. A name of the use's own counts
// more than that of the element.
func (w *walker) use(e *element, c surroundings) error {
	target := w.document.byID[strings.TrimPrefix(strings.TrimSpace(e.values["href"]), "#")]
	if target == nil {
		return w.addShape(e, c, fmt.Errorf("<use> refers to %.60q, which is not in the drawing", e.values["href"]))
	}
	if slices.Contains(c.within, target) || len(c.within) >= maxDepth {
		return w.addShape(e, c, fmt.Errorf("<use> refers to %.60q, which contains this <use> itself", e.values["href"]))
	}
	r := lengthReader{element: e, viewport: c.viewport}
	x, y := r.get("x", 'x'), r.get("y", 'y')
	if r.err != nil {
		return w.addShape(e, c, r.err)
	}
	c.toSheet = c.toSheet.of(translation(x, y))
	c.within = append(slices.Clip(c.within), target)
	own, named := w.ownName(e, c)
	if len(c.prefix) < maxPrefix {
		c.prefix += e.id + "/"
	}
	c.used = true
	if isShape(target.name) {
		return w.useShape(e, target, c, own, named)
	}
	if target.name == "symbol" || target.name == "svg" {
		w.visited[target] = true
		w.style(target, &c)
		problem := w.name(target, &c)
		if c.hidden != "" {
			w.leaveOut(e, c)
			return nil
		}
		m, astray := w.document.placing(target, c.viewport, "0 0")
		c.toSheet = c.toSheet.of(m)
		if err := errors.Join(problem, astray, w.nest(target, e, &c)); err != nil {
			return w.addAstray(e, c, err)
		}
		if named {
			c.parts = own
		}
		return w.visitAll(target.children, c)
	}
	return w.visit(target, c)
}

// ownName reports whether the use itself is named, and what.
func (w *walker) ownName(e *element, c surroundings) ([]string, bool) {
	bare := surroundings{}
	if err := w.name(e, &bare); err != nil || bare.parts == nil {
		return nil, false
	}
	return c.parts, true
}

// useShape draws a single shape under the use's id.
func (w *walker) useShape(e, target *element, c surroundings, own []string, named bool) error {
	before := len(w.drawing.shapes)
	if err := w.visit(target, c); err != nil {
		return err
	}
	for i := before; i < len(w.drawing.shapes); i++ {
		s := &w.drawing.shapes[i]
		s.id = strings.TrimSuffix(c.prefix, "/")
		if named {
			s.parts = own
		}
	}
	return nil
}

func (w *walker) visitAll(children []*element, c surroundings) error {
	for _, child := range children {
		if err := w.visit(child, c); err != nil {
			return err
		}
	}
	return nil
}

// nest enters a viewport inside the drawing: an svg element or a symbol, its
// place and size taken from sized.
func (w *walker) nest(e, sized *element, c *surroundings) error {
	r := lengthReader{element: sized, viewport: c.viewport}
	width, height := c.viewport.width, c.viewport.height
	for _, source := range []*element{e, sized} { // a use's own size wins
		r.element = source
		if v := r.get("width", 'x'); v > 0 {
			width = v
		}
		if v := r.get("height", 'y'); v > 0 {
			height = v
		}
	}
	r.element = e
	x, y := r.get("x", 'x'), r.get("y", 'y')
	box, boxed, err := e.viewBox()
	if err := errors.Join(r.err, err); err != nil {
		return err
	}
	if e.name == "svg" {
		c.toSheet = c.toSheet.of(translation(x, y))
	}
	c.viewport = viewport{width, height}
	if boxed && width > 0 && height > 0 {
		c.toSheet = c.toSheet.of(e.fit(box, width, height))
		c.viewport = viewport{box[2], box[3]}
	}
	return nil
}
