package render

import (
	"context"
	"math"

	"earframe/internal/workers"
)

// The depth cue: how much of the sky a point of the surface sees, and whether
// the key light reaches it, both read off the framebuffer as a height field. It makes
// grooves dark and lets a rim cast a soft shadow, so that relief reads without
// perspective. Directions and steps alternate over 4 × 4 pixels in a fixed
// pattern and are averaged over the same 4 × 4, which needs few samples for a
// smooth result (Bavoil, Sainz 2008, horizon-based ambient occlusion).

const (
	occlusionReach      = 6.0  // mm a neighbour may be away and still take sky
	occlusionDirections = 4    // looked along, from every pixel
	occlusionSteps      = 5    // taken in each
	occlusionBias       = 0.08 // sine of the angle that flat faceting may rise
	shadowReach         = 9.0  // mm, measured on the page
	shadowSteps         = 9
	patternSide         = 4 // pixels
)

// visibility is the depth cue at one pixel: shares of sky seen and of key light
// received, each 0 to 1.
type visibility struct{ sky, key float32 }

// cue holds the depth cue of a framebuffer at one value a pixel.
type cue struct {
	width, height int
	sample        []int32 // the sample that stands for the pixel, −1 for none
	raw, smooth   []visibility
}

func newCue(p *Framebuffer) *cue {
	w, h := p.width/samples, p.height/samples
	return &cue{width: w, height: h, sample: make([]int32, w*h), raw: make([]visibility, w*h), smooth: make([]visibility, w*h)}
}

// firstSample returns a pixel's first sample with surface, or −1.
func (c *cue) firstSample(p *Framebuffer, x, y int) int32 {
	for dy := range samples {
		for dx := range samples {
			i := (y*samples+dy)*p.width + x*samples + dx
			if p.face[i] != noFace {
				return int32(i)
			}
		}
	}
	return -1
}

// measure fills the cue from the framebuffer; toLight is the direction of the key
// light in camera axes.
func (c *cue) measure(ctx context.Context, p *Framebuffer, toLight [3]float32) error {
	pattern := newPattern()
	err := workers.Bands(ctx, "sky and shadow", c.height, bandRows, func(first, last int) error {
		for y := first; y < last; y++ {
			for x := range c.width {
				pixel := y*c.width + x
				i := c.firstSample(p, x, y)
				c.sample[pixel] = i
				if i >= 0 {
					turn := &pattern[(y%patternSide)*patternSide+x%patternSide]
					c.raw[pixel] = visibility{sky: p.skyAt(int(i), turn), key: p.keyAt(int(i), turn.offset, toLight)}
				}
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return workers.Bands(ctx, "smoothing sky and shadow", c.height, bandRows, func(first, last int) error {
		for y := first; y < last; y++ {
			for x := range c.width {
				if c.sample[y*c.width+x] >= 0 {
					c.smooth[y*c.width+x] = c.average(p, x, y)
				}
			}
		}
		return nil
	})
}

// turn is one place of the pattern: its directions, and by which share of a
// step its samples are moved outward.
type turn struct {
	directions [occlusionDirections][2]float32
	offset     float32
}

func newPattern() *[patternSide * patternSide]turn {
	var pattern [patternSide * patternSide]turn
	n := len(pattern)
	for k := range pattern {
		spread := (k*5 + 3) % n // neighbours differ widely
		for d := range occlusionDirections {
			angle := 2 * math.Pi / occlusionDirections * (float64(d) + float64(spread)/float64(n))
			sin, cos := math.Sincos(angle)
			pattern[k].directions[d] = [2]float32{float32(cos), float32(sin)}
		}
		pattern[k].offset = (float32((k*7)%n) + 0.5) / float32(n)
	}
	return &pattern
}

// skyAt returns the share of the sky that a sample's surface sees.
func (p *Framebuffer) skyAt(i int, turn *turn) float32 {
	x0, y0 := i%p.width, i/p.width
	depth, n := p.depth[i], p.normal[i]
	reach := float32(occlusionReach) / p.pitch
	taken := float32(0)
	for _, direction := range turn.directions {
		highest := float32(0)
		for step := range occlusionSteps {
			share := (float32(step) + turn.offset) / occlusionSteps
			distance := 1.5 + reach*share*share // dense near by, where grooves are
			x, y := x0+nearest(direction[0]*distance), y0-nearest(direction[1]*distance)
			if x < 0 || y < 0 || x >= p.width || y >= p.height {
				break
			}
			j := y*p.width + x
			if p.face[j] == noFace {
				continue
			}
			vx, vy, vz := float32(x-x0)*p.pitch, float32(y0-y)*p.pitch, p.depth[j]-depth
			away := vx*vx + vy*vy + vz*vz
			if away >= occlusionReach*occlusionReach {
				continue
			}
			rise := (n[0]*vx+n[1]*vy+n[2]*vz)/float32(math.Sqrt(float64(away))) - occlusionBias
			highest = max(highest, rise*(1-away/(occlusionReach*occlusionReach)))
		}
		taken += highest
	}
	return 1 - min(1, taken/(occlusionDirections*(1-occlusionBias)))
}

// keyAt returns the share of the key light that reaches a sample past the
// surface between them. The shadow's edge softens with distance.
func (p *Framebuffer) keyAt(i int, offset float32, toLight [3]float32) float32 {
	x0, y0 := i%p.width, i/p.width
	flat := float32(math.Hypot(float64(toLight[0]), float64(toLight[1])))
	climb := toLight[2] / flat // mm toward the viewer per mm on the page
	alongX, alongY := toLight[0]/flat/p.pitch, toLight[1]/flat/p.pitch
	deepest := float32(0)
	for step := range shadowSteps {
		share := (float32(step) + offset) / shadowSteps
		distance := 0.15 + shadowReach*share*share
		x, y := x0+nearest(alongX*distance), y0-nearest(alongY*distance)
		if x < 0 || y < 0 || x >= p.width || y >= p.height {
			break
		}
		j := y*p.width + x
		if p.face[j] == noFace {
			continue
		}
		above := p.depth[j] - p.depth[i] - climb*distance
		softness := 0.15 + 0.35*distance
		deepest = max(deepest, min(1, above/softness)*(1-share))
	}
	return 1 - deepest
}

// nearest rounds to a whole number of samples; the framebuffer is far smaller than
// the offset that makes truncation round down on both sides of zero.
func nearest(v float32) int {
	const offset = 1 << 14
	return int(v+(offset+0.5)) - offset
}

// average smooths the cue over the pattern, among pixels of the same surface.
func (c *cue) average(p *Framebuffer, x, y int) visibility {
	i := int(c.sample[y*c.width+x])
	n := p.normal[i]
	reach := 4 * samples * p.pitch // mm that neighbours may depart from the tangent plane
	var sum visibility
	count := float32(0)
	for dy := -patternSide / 2; dy < patternSide/2; dy++ {
		for dx := -patternSide / 2; dx < patternSide/2; dx++ {
			u, v := x+dx, y+dy
			if u < 0 || v < 0 || u >= c.width || v >= c.height {
				continue
			}
			j := c.sample[v*c.width+u]
			if j < 0 {
				continue
			}
			vx := float32(dx*samples) * p.pitch
			vy := float32(-dy*samples) * p.pitch
			off := n[0]*vx + n[1]*vy + n[2]*(p.depth[j]-p.depth[i])
			if off > reach/2 || off < -reach/2 {
				continue
			}
			sum.sky += c.raw[v*c.width+u].sky
			sum.key += c.raw[v*c.width+u].key
			count++
		}
	}
	if count == 0 {
		return c.raw[y*c.width+x]
	}
	return visibility{sky: sum.sky / count, key: sum.key / count}
}

// at returns the cue for sample i of the pixel (x, y): the pixel's own or, where
// that was measured on another surface, that of the neighbour nearest in height.
func (c *cue) at(p *Framebuffer, x, y, i int) visibility {
	const same = 0.3 // mm in height that still is the same surface
	departure := func(pixel int) float32 {
		d := p.depth[c.sample[pixel]] - p.depth[i]
		return max(d, -d)
	}
	best := y*c.width + x
	least := departure(best)
	if least <= same {
		return c.smooth[best]
	}
	for v := max(0, y-1); v <= min(c.height-1, y+1); v++ {
		for u := max(0, x-1); u <= min(c.width-1, x+1); u++ {
			pixel := v*c.width + u
			if c.sample[pixel] < 0 {
				continue
			}
			if d := departure(pixel); d < least {
				best, least = pixel, d
			}
		}
	}
	return c.smooth[best]
}
