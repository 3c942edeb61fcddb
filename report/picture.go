package report

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"io"
	"path/filepath"

	"earframe/mesh"
)

// Picture is one finished picture.
type Picture struct {
	Name                string  // file name without extension, such as "lateral"
	PixelsPerMillimetre float64 // true scale of what is drawn
	Image               *image.RGBA
	PNG                 []byte // the image encoded
}

// encode compresses the picture's image into its PNG bytes, quickly: thorough
// compression takes ten times as long for a quarter less.
func (p *Picture) encode() error {
	var out bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := encoder.Encode(&out, p.Image); err != nil {
		return fmt.Errorf("report: picture %s: %w", p.Name, err)
	}
	p.PNG = out.Bytes()
	return nil
}

// Write writes the picture as <Name>.png into a folder that exists. The file
// takes its name only when it is complete; an error, and ctx when it ends the
// work, leaves nothing behind.
func (p *Picture) Write(ctx context.Context, folder string) error {
	write := func(w io.Writer) error { _, err := w.Write(p.PNG); return err }
	if err := mesh.WriteFile(ctx, filepath.Join(folder, p.Name+".png"), write, nil); err != nil {
		return fmt.Errorf("report: picture %s cannot be written: %w", p.Name, err)
	}
	return nil
}

// Drawing returns what a view draws, without the page's title and legend.
func (p *Picture) Drawing() image.Image {
	return p.Image.SubImage(image.Rect(viewLeft, viewTop, viewLeft+viewWidth, viewTop+viewHeight))
}
