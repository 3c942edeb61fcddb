package report

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
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
// takes its name only when it is complete; an error leaves nothing behind.
func (p *Picture) Write(folder string) error {
	beside, err := os.CreateTemp(folder, "."+p.Name+"-*.png")
	if err != nil {
		return fmt.Errorf("report: picture %s cannot be written: %w", p.Name, err)
	}
	_, err = beside.Write(p.PNG)
	if errClose := beside.Close(); err == nil {
		err = errClose
	}
	if err == nil {
		err = os.Chmod(beside.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(beside.Name(), filepath.Join(folder, p.Name+".png"))
	}
	if err != nil {
		os.Remove(beside.Name())
		return fmt.Errorf("report: picture %s cannot be written: %w", p.Name, err)
	}
	return nil
}
