package sheet

import (
	"bufio"
	"encoding/base64"
	"fmt"
	"html"
	"image/color"
	"io"
	"strconv"
	"strings"
)

// WriteSVG writes one page, counted from 0, as SVG whose width, height and
// coordinates are millimetres. Letters are drawn, so that they look the same in
// every reader; what they say stands in an aria-label.
func (d *Document) WriteSVG(page int, w io.Writer) error {
	if page < 0 || page >= len(d.Pages) {
		return fmt.Errorf("sheet: %q has %d pages, and no page %d", d.Title, len(d.Pages), page)
	}
	out := bufio.NewWriter(w)
	width, height := number(d.paper.width), number(d.paper.height)
	fmt.Fprintf(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"+
		`<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="%smm" height="%smm" viewBox="0 0 %s %s">`+"\n<title>%s</title>\n<desc>%s</desc>\n"+
		`<rect width="%s" height="%s" fill="#ffffff"/>`+"\n", width, height, width, height,
		html.EscapeString(d.Title+": "+d.Pages[page].Title), html.EscapeString(caution), width, height)
	letters := newLetters(d.Pages[page].fonts)
	if err := letters.define(out, d.Pages[page].marks); err != nil {
		return err
	}
	for _, m := range d.Pages[page].marks {
		switch {
		case m.path != nil:
			svgPath(out, m.path)
		case m.text != nil:
			letters.write(out, m.text)
		case m.image != nil:
			file, err := encode(m.image.picture)
			if err != nil {
				return err
			}
			in := m.image.in
			fmt.Fprintf(out,
				`<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" href="data:image/png;base64,%s"/>`+"\n",
				number(in.left), number(in.top), number(in.width()), number(in.height()), base64.StdEncoding.EncodeToString(file))
		}
	}
	fmt.Fprintln(out, "</svg>")
	if err := out.Flush(); err != nil {
		return fmt.Errorf("sheet: writing %q as SVG: %w", d.Title, err)
	}
	return nil
}

// number writes millimetres to a ten-thousandth.
func number(v float64) string {
	s := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 4, 64), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func hex(c color.RGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func svgPath(out *bufio.Writer, p *path) {
	out.WriteString(`<path d="`)
	for _, line := range p.lines {
		for i, q := range line {
			letter := "L"
			if i == 0 {
				letter = "M"
			}
			fmt.Fprintf(out, "%s%s %s", letter, number(q[0]), number(q[1]))
		}
		if p.closed {
			out.WriteString("Z")
		}
	}
	if p.pen.width == 0 {
		fmt.Fprintf(out, `" fill="%s" fill-rule="evenodd"/>`+"\n", hex(p.pen.colour))
		return
	}
	fmt.Fprintf(out, `" fill="none" stroke="%s" stroke-width="%s" stroke-linejoin="round"`, hex(p.pen.colour),
		number(p.pen.width))
	if pattern := dashes[p.pen.dash]; pattern != nil {
		words := make([]string, len(pattern))
		for i, v := range pattern {
			words[i] = number(v)
		}
		fmt.Fprintf(out, ` stroke-dasharray="%s"`, strings.Join(words, " "))
	}
	out.WriteString("/>\n")
}
