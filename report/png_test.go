package report

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPNGsSayWhatWasDrawn reads pictures back with the standard library.
func TestPNGsSayWhatWasDrawn(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, size := range []image.Point{{1, 1}, {1, 40}, {300, 200}} {
		drawn := image.NewRGBA(image.Rectangle{image.Pt(3, 5), image.Pt(3, 5).Add(size)})
		for y := drawn.Rect.Min.Y; y < drawn.Rect.Max.Y; y++ {
			for x := drawn.Rect.Min.X; x < drawn.Rect.Max.X; x++ {
				shade := uint8(x * y)
				if random.IntN(4) == 0 {
					shade = uint8(random.Uint32())
				}
				drawn.SetRGBA(x, y, color.RGBA{R: shade, G: uint8(y), B: uint8(x / 2), A: 255})
			}
		}
		data, err := encodePNG(drawn)
		require.NoError(t, err)
		read, err := png.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		require.Equal(t, size, read.Bounds().Size())
		for y := range size.Y {
			for x := range size.X {
				require.Equal(t, drawn.At(x+3, y+5), read.At(x, y), "pixel %d, %d", x, y)
			}
		}
		var standard bytes.Buffer
		require.NoError(t, (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&standard, drawn))
		assert.Less(t, float64(len(data)), 1.5*float64(standard.Len())+100)
	}
}
