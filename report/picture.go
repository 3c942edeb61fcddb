package report

import (
	"context"
	"fmt"
	"image"
	"io"
	"path/filepath"

	"earframe/mesh/meshfile"
)

// Picture is one finished picture.
type Picture struct {
	Name                string  // file name without extension, such as "lateral"
	PixelsPerMillimetre float64 // true scale of what is drawn
	Image               *image.RGBA
	PNG                 []byte // the image encoded
}

// encode fills in the picture's PNG bytes.
func (p *Picture) encode() (err error) {
	if p.PNG, err = encodePNG(p.Image); err != nil {
		return fmt.Errorf("report: picture %s: %w", p.Name, err)
	}
	return nil
}

// Write writes the picture as <Name>.png into a folder that exists. The file
// takes its name only when it is complete; an error, and ctx when it ends the
// work, leaves nothing behind.
func (p *Picture) Write(ctx context.Context, folder string) error {
	write := func(w io.Writer) error { _, err := w.Write(p.PNG); return err }
	if err := meshfile.WriteFile(ctx, filepath.Join(folder, p.Name+".png"), write, nil); err != nil {
		return fmt.Errorf("report: picture %s cannot be written: %w", p.Name, err)
	}
	return nil
}

// Drawing returns what a view draws, without the page's title and legend.
func (p *Picture) Drawing() image.Image {
	return p.Image.SubImage(image.Rect(viewLeft, viewTop, viewLeft+viewWidth, viewTop+viewHeight))
}
