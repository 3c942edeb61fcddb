package render

import (
	"image/color"
	"math"
)

// Mix blends two colours as displayed: share 0 gives a, 1 gives b.
func Mix(a, b color.RGBA, share float64) color.RGBA {
	blend := func(p, q uint8) uint8 {
		return uint8(math.Round(float64(p) + share*(float64(q)-float64(p))))
	}
	return color.RGBA{R: blend(a.R, b.R), G: blend(a.G, b.G), B: blend(a.B, b.B), A: 255}
}

// Lighten is the colour a lit, flat face of an object shows: shading can only
// darken, so the palette is raised a little first.
func Lighten(c color.RGBA) color.RGBA {
	return Mix(c, color.RGBA{R: 255, G: 255, B: 255, A: 255}, 0.22)
}

// light is an amount of red, green and blue in linear light, 1 being white.
type light [3]float32

// linear decodes a displayed colour (IEC 61966-2-1, the sRGB transfer curve).
func linear(c color.RGBA) light {
	decode := func(v uint8) float32 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return float32(s / 12.92)
		}
		return float32(math.Pow((s+0.055)/1.055, 2.4))
	}
	return light{decode(c.R), decode(c.G), decode(c.B)}
}

// Luminance is a colour's relative luminance, 0 to 1 (WCAG 2.2, section
// "relative luminance").
func Luminance(c color.RGBA) float64 {
	l := linear(c)
	return 0.2126*float64(l[0]) + 0.7152*float64(l[1]) + 0.0722*float64(l[2])
}

// encoder turns linear light into displayed bytes by a table fine enough that
// neighbouring entries differ by at most one step.
type encoder [4096]uint8

func newEncoder() *encoder {
	var e encoder
	for i := range e {
		v := float64(i) / float64(len(e)-1)
		if v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		e[i] = uint8(math.Round(255 * v))
	}
	return &e
}

func (e *encoder) byteOf(v float32) uint8 {
	i := int(v*float32(len(e)-1) + 0.5)
	return e[max(0, min(len(e)-1, i))]
}
