package render

import (
	"context"
	"image"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/internal/workers"
)

// lighting is a studio of three lamps in camera axes: a key from above and one
// side, a weak fill from the other, and sky.
type lighting struct {
	toKey, toFill, half [3]float32 // unit; half is between the key and the viewer
	key, fill, sky      float32
}

// studio sets the lamps. The key stands on that side of the page to which
// lateral points, so that the carved surfaces are lit in every view; where it
// points at the viewer, on the left, where light on a page is expected.
func studio(c Camera) lighting {
	side := -1.0
	if c.See(Lateral)[0] > 0.1 {
		side = 1
	}
	toKey := mgl64.Vec3{0.62 * side, 0.62, 0.72}.Normalize()
	toFill := mgl64.Vec3{-0.75 * side, -0.1, 0.6}.Normalize()
	toViewer := mgl64.Vec3{0, 0, 1}
	return lighting{
		toKey: single(toKey), key: 0.86,
		toFill: single(toFill), fill: 0.16,
		half: single(toKey.Add(toViewer).Normalize()), sky: 0.50,
	}
}

func single(v mgl64.Vec3) [3]float32 {
	return [3]float32{float32(v[0]), float32(v[1]), float32(v[2])}
}

func dot(a, b *[3]float32) float32 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// on returns how much light a surface with normal n sends to the viewer, and
// how much of it is a white highlight.
func (l *lighting) on(n *[3]float32, s visibility) (diffuse, highlight float32) {
	hemisphere := 0.72 + 0.28*n[1]
	sky := s.sky * s.sky // light that bounces in a groove is lost twice
	diffuse = l.key*max(0, dot(n, &l.toKey))*s.key + l.fill*max(0, dot(n, &l.toFill))*sky + l.sky*hemisphere*sky
	shine := max(0, dot(n, &l.half))
	for range 5 { // to the 32nd power: a satin surface
		shine *= shine
	}
	return diffuse, 0.10 * shine * s.key * s.sky
}

// shade shades the framebuffer and puts it, averaged to pixels in linear light, into
// the picture with its corner at the given place.
func (p *Framebuffer) shade(ctx context.Context, shot *Shot, lamps lighting, into *image.RGBA, at image.Point) error {
	s, c := shot.Scene, p.cue
	encode := newEncoder()
	background := linear(shot.Paper)
	albedo, line := make([]light, len(shot.Colors)), make([]light, len(shot.Colors))
	for i, col := range shot.Colors {
		albedo[i] = linear(Lighten(col))
		line[i] = linear(Mix(col, shot.Ink, 0.82))
	}
	return workers.Bands(ctx, "shading", c.height, bandRows, func(first, last int) error {
		for y := first; y < last; y++ {
			for x := range c.width {
				if c.sample[y*c.width+x] < 0 {
					continue
				}
				var sum light
				for k := range samples * samples {
					u, v := x*samples+k%samples, y*samples+k/samples
					i := v*p.width + u
					if p.face[i] == noFace {
						sum = sum.plus(background)
						continue
					}
					owner := s.owners[p.face[i]]
					diffuse, highlight := lamps.on(&p.normal[i], c.at(p, x, y, i))
					dark := p.lineAt(s, u, v)
					sum = sum.plus(albedo[owner].lit(diffuse, highlight, line[owner], dark))
				}
				const share = 1.0 / (samples * samples)
				o := into.PixOffset(at.X+x, at.Y+y)
				for k := range sum {
					into.Pix[o+k] = encode.byteOf(sum[k] * share)
				}
			}
		}
		return nil
	})
}

func (a light) plus(b light) light {
	return light{a[0] + b[0], a[1] + b[1], a[2] + b[2]}
}

// lit is an albedo under light, with a line of the given darkness over it.
func (a light) lit(diffuse, highlight float32, line light, dark float32) light {
	for k := range a {
		a[k] = min(1, a[k]*diffuse+highlight)*(1-dark) + line[k]*dark
	}
	return a
}
