package template

import (
	"bufio"
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"

	"earframe/internal/regular"
)

// Limits that no drawn template comes near, so that a hostile file costs
// little.
const (
	maxBytes    = 50_000_000 // size of a file
	maxDepth    = 100        // elements inside one another
	maxElements = 100_000    // in a document, and again while uses are followed
	maxSegments = 100_000    // lines and curves in a document
	maxValue    = 10_000     // letters of an attribute that is not path data
	maxRules    = 100_000    // in all style sheets of a document
	maxLetters  = 20_000_000 // of attributes read, again wherever a use shows them
)

// element is a node of the drawing. Text is kept of titles and styles only.
type element struct {
	name     string
	line     int
	id       string // its own, or a generated one for a shape without
	ownID    bool
	values   map[string]string // attributes by local name
	letters  int               // of the attributes that are read at every visit
	classes  []string
	foreign  bool // of another language than SVG
	title    string
	layer    string // label of a layer
	parent   *element
	children []*element
	text     strings.Builder
	style    map[string]styleValue // what it sets itself, once styled
	styled   bool
}

// spaceOfSVG is the name space of SVG's elements (SVG 1.1, section 1.2).
const spaceOfSVG = "http://www.w3.org/2000/svg"

// document is a parsed drawing.
type document struct {
	root  *element
	byID  map[string]*element
	style *styleSheet
}

// parseFile reads and parses the drawing at path.
func parseFile(ctx context.Context, path string) (*document, error) {
	file, err := regular.Open(path)
	var refused *regular.Error
	if errors.As(err, &refused) && refused.Cause == nil {
		return nil, &Fault{Kind: NotSVG, Found: "is " + refused.Found, Advice: "give the SVG file itself"}
	}
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	switch {
	case err != nil:
		return nil, err
	case info.Size() >= maxBytes:
		return nil, tooLarge(fmt.Sprintf("%.0f MB", float64(info.Size())/1e6))
	}
	return parse(ctx, file)
}

func tooLarge(size string) *Fault {
	return &Fault{Kind: TooLarge, Found: fmt.Sprintf("the drawing has %s, the limit is %d MB", size, maxBytes/1_000_000),
		Advice: "remove embedded pictures and keep the outlines only"}
}

// parse reads a drawing as a stream and keeps elements, not text.
func parse(ctx context.Context, r io.Reader) (*document, error) {
	limited := &io.LimitedReader{R: r, N: maxBytes}
	buffered := bufio.NewReader(limited)
	if err := sniff(buffered); err != nil {
		return nil, err
	}
	builder := newBuilder(buffered)
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		done, err := builder.step()
		if limited.N <= 0 {
			return nil, tooLarge(fmt.Sprintf("%d MB or more", maxBytes/1_000_000))
		}
		if err != nil {
			return nil, err
		}
		if done {
			return builder.finish()
		}
	}
}

// foreignFormats is what a person may take for a drawing that is read, told by how
// it begins.
var foreignFormats = []struct {
	begins *regexp.Regexp
	says   string
}{
	{regexp.MustCompile(`^\x1f[^[:ascii:]]`), "compressed (SVGZ); unpack it first"},
	{regexp.MustCompile(`^\s*%PDF`), "a PDF; save the drawing as SVG"},
	{regexp.MustCompile(`^%!PS|^[^[:ascii:]]{3}[^[:ascii:]]%!PS`), "a PostScript drawing; save it as SVG"},
	{regexp.MustCompile(`^(\s*999[^\n]*\n[^\n]*\n)*\s*0\r?\n\s*SECTION`), "a DXF drawing; save it as SVG"},
	{regexp.MustCompile(`^([^[:ascii:]]PNG|[^[:ascii:]]{3}[\s\S]{3}JFIF|[^[:ascii:]]{3}[\s\S]{3}Exif|GIF8|BM[\s\S]{4}\x00\x00\x00\x00|` +
		`RIFF[\s\S]{4}WEBP|II\*\x00|MM\x00\*|8BPS|[\s\S]{4}ftyp)`), "a picture of pixels; trace the outlines and save them as SVG"},
	{regexp.MustCompile(`^PK\x03\x04`), "a ZIP archive, as 3MF files and office documents are; give the SVG drawing itself"},
	{regexp.MustCompile(`^(glTF|solid[ \n])`), "a mesh; a template is a drawing of outlines, saved as SVG"},
	{regexp.MustCompile(`^([\s\S]?\x00[\s\S]?<|<\x00|[^[:ascii:]]{2}(<\x00|\x00<))`), "in UTF-16; save the drawing in UTF-8"},
}

// sniff names the files that are often given for an SVG.
func sniff(r *bufio.Reader) error {
	start, err := r.Peek(512)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, bufio.ErrBufferFull) {
		return err
	}
	is := ""
	switch {
	case len(bytes.TrimSpace(start)) == 0:
		is = "an empty file"
	default:
		for _, format := range foreignFormats {
			if format.begins.Match(start) {
				is = format.says
				break
			}
		}
	}
	if is == "" {
		return nil
	}
	return &Fault{Kind: NotSVG, Found: "expected an SVG drawing, found " + is}
}

// builder turns XML tokens into elements.
type builder struct {
	decoder  *xml.Decoder
	document *document
	open     []*element
	count    int
	unnamed  map[string]int // shapes seen so far, by element name
	shapes   []*element     // shapes without an id
}

func newBuilder(r io.Reader) *builder {
	b := &builder{
		decoder:  xml.NewDecoder(r),
		document: &document{byID: map[string]*element{}, style: newStyleSheet()},
		unnamed:  map[string]int{},
	}
	b.decoder.CharsetReader = readCharset
	return b
}

// readCharset lets through what is readable byte by byte.
func readCharset(charset string, input io.Reader) (io.Reader, error) {
	switch strings.ToLower(charset) {
	case "us-ascii", "ascii", "utf8":
		return input, nil
	case "iso-8859-1", "latin1":
		return &latinReader{input: bufio.NewReader(input)}, nil
	}
	return nil, fmt.Errorf("the encoding %q is not known; save the drawing in UTF-8", charset)
}

// latinReader turns ISO 8859-1, whose codes are those of Unicode, into UTF-8.
type latinReader struct {
	input   *bufio.Reader
	pending []byte
}

func (l *latinReader) Read(p []byte) (int, error) {
	for n := 0; ; {
		moved := copy(p[n:], l.pending)
		n, l.pending = n+moved, l.pending[moved:]
		if n == len(p) {
			return n, nil
		}
		c, err := l.input.ReadByte()
		if err != nil {
			if n > 0 {
				return n, nil
			}
			return 0, err
		}
		l.pending = append(l.pending[:0], string(rune(c))...)
	}
}

// step takes one token; it reports whether the file is at its end.
func (b *builder) step() (done bool, err error) {
	line, _ := b.decoder.InputPos()
	token, err := b.decoder.Token()
	if errors.Is(err, io.EOF) {
		return true, nil
	}
	if err != nil {
		return false, b.syntaxFault(err)
	}
	switch t := token.(type) {
	case xml.StartElement:
		return false, b.start(t, line)
	case xml.EndElement:
		return false, b.end()
	case xml.CharData:
		switch top := b.top(); {
		case top == nil:
		case top.name == "style":
			top.text.Write(t)
		case top.name == "title":
			top.text.Write(t[:min(len(t), maxValue-top.text.Len())])
		}
	case xml.Directive:
		if bytes.Contains(bytes.ToUpper(t), []byte("<!ENTITY")) {
			return false, &Fault{Kind: NotSVG, Line: line, Found: "the document type declares entities, which are not " +
				"expanded here",
				Advice: "save the drawing as plain SVG, or delete the <!DOCTYPE …> declaration"}
		}
	}
	return false, nil
}

func (b *builder) syntaxFault(err error) error {
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		return &Fault{Kind: NotSVG, Line: syntax.Line, Found: "not well-formed XML: " + syntax.Msg, Advice: "save the " +
			"drawing again as SVG"}
	}
	return &Fault{Kind: NotSVG, Found: strings.TrimPrefix(err.Error(), "xml: "), Advice: "save the drawing again as SVG"}
}

func (b *builder) top() *element {
	if len(b.open) == 0 {
		return nil
	}
	return b.open[len(b.open)-1]
}

func (b *builder) start(t xml.StartElement, line int) error {
	b.count++
	switch {
	case len(b.open) >= maxDepth:
		return &Fault{Kind: TooLarge, Line: line, Found: fmt.Sprintf("elements are nested more than %d "+
			"deep", maxDepth), Advice: "ungroup the drawing"}
	case b.count > maxElements:
		return &Fault{Kind: TooLarge, Line: line, Found: fmt.Sprintf("the drawing has more than %d "+
			"elements", maxElements), Advice: "keep the outlines only"}
	case b.document.root != nil && len(b.open) == 0:
		return &Fault{Kind: NotSVG, Line: line, Found: "a second root element <" + t.Name.Local + ">"}
	}
	e := &element{name: t.Name.Local, line: line, values: make(map[string]string, len(t.Attr))}
	for _, a := range t.Attr {
		switch key := a.Name.Local; {
		case key == "label" && a.Name.Space != "":
			e.layer = a.Value
		case key == "href" && a.Name.Space != "" && e.values["href"] != "":
			// SVG 2: a plain href wins over one in the XLink namespace.
		case a.Name.Space == "xmlns":
		case len(a.Value) > maxValue && key != "d" && key != "points":
			// An embedded picture; nothing that is read here is so long.
		default:
			e.values[key] = a.Value
		}
		if key := a.Name.Local; key != "d" && key != "points" {
			e.letters += min(len(a.Value), maxValue)
		}
	}
	e.classes = strings.Fields(e.values["class"])
	e.foreign = t.Name.Space != "" && t.Name.Space != spaceOfSVG
	b.identify(e)
	if top := b.top(); top != nil {
		e.parent = top
		top.children = append(top.children, e)
	} else {
		if e.name != "svg" {
			return &Fault{Kind: NotSVG, Line: line, Found: "the root element is <" + e.name + ">, expected <svg>"}
		}
		b.document.root = e
	}
	b.open = append(b.open, e)
	return nil
}

// identify notes the element's id, and shapes that need one.
func (b *builder) identify(e *element) {
	e.id = strings.TrimSpace(e.values["id"])
	if e.id != "" {
		e.ownID = true
		if _, taken := b.document.byID[e.id]; !taken {
			b.document.byID[e.id] = e
		}
		return
	}
	if isShape(e.name) || e.name == "use" {
		b.shapes = append(b.shapes, e)
	}
}

func (b *builder) end() error {
	closed := b.top()
	b.open = b.open[:len(b.open)-1]
	parent := b.top()
	if parent == nil {
		return nil
	}
	switch closed.name {
	case "title":
		if parent.title == "" {
			parent.title = strings.Join(strings.Fields(closed.text.String()), " ")
			parent.letters += len(parent.title)
		}
	case "style":
		kind := strings.TrimSpace(closed.values["type"])
		if (kind == "" || kind == "text/css") && onScreen(closed.values["media"]) {
			return b.document.style.add(closed.text.String(), closed.line)
		}
	}
	return nil
}

// finish gives every shape without an id one by its place in the document, such
// as path-1, and passes over those that are taken.
func (b *builder) finish() (*document, error) {
	if b.document.root == nil {
		return nil, &Fault{Kind: NotSVG, Found: "expected an SVG drawing, found no element at all"}
	}
	for _, e := range b.shapes {
		for {
			b.unnamed[e.name]++
			e.id = fmt.Sprintf("%s-%d", e.name, b.unnamed[e.name])
			if _, taken := b.document.byID[e.id]; !taken {
				break
			}
		}
		b.document.byID[e.id] = e
	}
	return b.document, nil
}
