package sheet

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// timeless is the date that every document carries, so that the same input gives
// the same bytes.
var timeless = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

const fontFamily = "go"

// WritePDF writes the document as PDF at true size. The same document gives the
// same bytes.
func (d *Document) WritePDF(w io.Writer) error {
	out := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: d.paper.width, Ht: d.paper.height}})
	out.SetCatalogSort(true)
	out.SetCreationDate(timeless)
	out.SetModificationDate(timeless)
	out.SetProducer("earframe", true)
	out.SetTitle(d.Title, true)
	out.SetSubject(caution, true)
	out.SetMargins(0, 0, 0)
	out.SetAutoPageBreak(false, 0)
	out.AddUTF8FontFromBytes(fontFamily, "", goregular.TTF)
	out.AddUTF8FontFromBytes(fontFamily, "B", gobold.TTF)
	out.SetLineJoinStyle("round")
	for i := range d.Pages {
		out.AddPage()
		for k, m := range d.Pages[i].marks {
			switch {
			case m.path != nil:
				pdfPath(out, m.path)
			case m.text != nil:
				pdfText(out, m.text)
			case m.image != nil:
				if err := pdfImage(out, m.image, fmt.Sprintf("picture %d.%d", i, k)); err != nil {
					return err
				}
			}
		}
	}
	if err := out.Output(w); err != nil {
		return fmt.Errorf("sheet: writing %q as PDF: %w", d.Title, err)
	}
	return nil
}

func pdfPath(out *fpdf.Fpdf, p *path) {
	r, g, b := int(p.pen.colour.R), int(p.pen.colour.G), int(p.pen.colour.B)
	how := "D"
	if p.pen.width == 0 {
		out.SetFillColor(r, g, b)
		how = "F*" // even-odd
	} else {
		out.SetDrawColor(r, g, b)
		out.SetLineWidth(p.pen.width)
		out.SetDashPattern(dashes[p.pen.dash], 0)
	}
	for _, line := range p.lines {
		for i, q := range line {
			if i == 0 {
				out.MoveTo(q[0], q[1])
			} else {
				out.LineTo(q[0], q[1])
			}
		}
		if p.closed {
			out.ClosePath()
		}
	}
	out.DrawPath(how)
}

func pdfText(out *fpdf.Fpdf, t *text) {
	weight := ""
	if t.style.bold {
		weight = "B"
	}
	out.SetFont(fontFamily, weight, t.style.points)
	out.Text(t.at[0], t.at[1], t.words)
}

// opaque lays a picture on white, as paper does.
func opaque(picture image.Image) image.Image {
	flat := image.NewRGBA(image.Rect(0, 0, picture.Bounds().Dx(), picture.Bounds().Dy()))
	draw.Draw(flat, flat.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.Draw(flat, flat.Bounds(), picture, picture.Bounds().Min, draw.Over)
	return flat
}

func encode(picture image.Image) ([]byte, error) {
	var file bytes.Buffer
	if err := png.Encode(&file, opaque(picture)); err != nil {
		return nil, fmt.Errorf("sheet: the picture cannot be encoded: %w", err)
	}
	return file.Bytes(), nil
}

func pdfImage(out *fpdf.Fpdf, p *placedImage, name string) error {
	file, err := encode(p.picture)
	if err != nil {
		return err
	}
	kind := fpdf.ImageOptions{ImageType: "PNG"}
	out.RegisterImageOptionsReader(name, kind, bytes.NewReader(file))
	out.ImageOptions(name, p.in.left, p.in.top, p.in.width(), p.in.height(), false, kind, 0, "")
	return nil
}
