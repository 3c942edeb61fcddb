package report

import (
	"context"
	"fmt"
	"image"
	"path"

	"earframe/publish"
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

// Write writes the picture as <Name>.png into a folder of the place.
func (p *Picture) Write(ctx context.Context, to publish.Writer, folder string) error {
	return publish.WriteBytes(ctx, to, path.Join(folder, p.Name+".png"), p.PNG)
}

// Drawing returns what a view draws, without the page's title and legend.
func (p *Picture) Drawing() image.Image {
	return p.Image.SubImage(image.Rect(viewLeft, viewTop, viewLeft+viewWidth, viewTop+viewHeight))
}
