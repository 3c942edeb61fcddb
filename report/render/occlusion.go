package render

import (
	"context"
	"math"

	"earframe/internal/workers"
)

// The depth cue: how much of the sky a point of the surface sees, and whether
// the key light reaches it, both read off the framebuffer as a height field. It makes
// grooves dark and lets a rim cast a soft shadow, so that relief reads without
// perspective. Every other pixel is looked from, as on a chequerboard. Directions and
// steps alternate over 4 × 4 pixels in a fixed pattern and are averaged over the same
// 4 × 4, which needs few samples for a smooth result (Bavoil, Sainz 2008,
// horizon-based ambient occlusion).

const (
	occlusionReach      = 6.0  // mm a neighbour may be away and still take sky
	occlusionDirections = 4    // looked along, from every pixel that is looked from
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
	sample        []int32      // the sample that stands for the pixel, −1 for none
	depth         []float32    // of that sample; farOff where there is none
	raw, smooth   []visibility // raw only where it is looked from
}

func newCue(p *Framebuffer) *cue {
	w, h := p.width/samples, p.height/samples
	return &cue{width: w, height: h, sample: make([]int32, w*h), depth: make([]float32, w*h),
		raw: make([]visibility, w*h), smooth: make([]visibility, w*h)}
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
	pattern := newPattern(p, toLight)
	err := workers.Bands(ctx, "sky and shadow", c.height, bandRows, func(first, last int) error {
		for y := first; y < last; y++ {
			for x := range c.width {
				pixel := y*c.width + x
				i := c.firstSample(p, x, y)
				c.sample[pixel], c.depth[pixel] = i, farOff
				if i < 0 {
					continue
				}
				c.depth[pixel] = p.depth[i]
				if lookedFrom(x, y) {
					c.raw[pixel] = pattern.from(p, x, y, int(i))
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
					c.smooth[y*c.width+x] = c.average(p, pattern, x, y)
				}
			}
		}
		return nil
	})
}

// lookedFrom reports whether a pixel is looked from.
func lookedFrom(x, y int) bool { return (x+y)%2 == 0 }

// pattern is where the depth cue looks from each pixel, which depends only on the
// pixel's place among 4 × 4.
type pattern struct {
	turns  [patternSide * patternSide / 2]turn // of every other pixel, row by row
	margin int                                 // samples from the framebuffer's edge from which none is looked for beyond it
}

// from returns the depth cue at sample i of the pixel (x, y).
func (n *pattern) from(p *Framebuffer, x, y, i int) visibility {
	turn, inner := &n.turns[(y%patternSide*patternSide+x%patternSide)/2], n.within(p, i)
	return visibility{sky: p.skyAt(i, turn, inner), key: p.keyAt(i, turn, inner)}
}

// turn is one place of the pattern.
type turn struct {
	sky [occlusionDirections][occlusionSteps]look
	key [shadowSteps]look
}

// look is a sample that is looked at.
type look struct {
	dx, dy, offset int     // away in samples, y downward, and in the framebuffer's list
	x, y           float32 // away on the page, mm, y upward
	square         float32 // of the distance on the page, mm²
	climb          float32 // height, mm, from which it takes key light
	softness       float32 // further height, mm, at which it takes all
	fade           float32 // share that it takes at most
}

func newPattern(p *Framebuffer, toLight [3]float32) *pattern {
	var pattern pattern
	n := len(pattern.turns)
	flat := float32(math.Hypot(float64(toLight[0]), float64(toLight[1])))
	reach := float32(occlusionReach) / p.pitch
	for k := range pattern.turns {
		t := &pattern.turns[k]
		spread := (k*3 + 1) % n                        // neighbours differ widely
		moved := (float32((k*5)%n) + 0.5) / float32(n) // by which share of a step looks are moved outward
		for d := range t.sky {
			sin, cos := math.Sincos(2 * math.Pi / occlusionDirections * (float64(d) + float64(spread)/float64(n)))
			for step := range t.sky[d] {
				share := (float32(step) + moved) / occlusionSteps
				distance := 1.5 + reach*share*share // dense near by, where grooves are
				t.sky[d][step] = pattern.look(p, float32(cos)*distance, float32(sin)*distance)
			}
		}
		for step := range t.key {
			share := (float32(step) + moved) / shadowSteps
			distance := 0.15 + shadowReach*share*share // mm
			l := pattern.look(p, toLight[0]/flat/p.pitch*distance, toLight[1]/flat/p.pitch*distance)
			l.climb = toLight[2] / flat * distance
			l.softness = 0.15 + 0.35*distance // the shadow's edge softens with distance
			l.fade = 1 - share
			t.key[step] = l
		}
	}
	return &pattern
}

// look returns the look at the sample nearest to so many samples rightward and
// upward.
func (n *pattern) look(p *Framebuffer, right, up float32) look {
	dx, dy := nearest(right), -nearest(up)
	n.margin = max(n.margin, dx, -dx, dy, -dy)
	l := look{dx: dx, dy: dy, offset: dy*p.width + dx, x: float32(dx) * p.pitch, y: float32(-dy) * p.pitch}
	l.square = l.x*l.x + l.y*l.y
	return l
}

// within reports whether all looks from a sample are at samples of the framebuffer.
func (n *pattern) within(p *Framebuffer, i int) bool {
	x, y := i%p.width, i/p.width
	return min(x, y, p.width-1-x, p.height-1-y) >= n.margin
}

// has reports whether a look from sample i is at a sample of the framebuffer.
func (p *Framebuffer) has(i int, l *look) bool {
	x, y := i%p.width+l.dx, i/p.width+l.dy
	return x >= 0 && y >= 0 && x < p.width && y < p.height
}

// skyAt returns the share of the sky that a sample's surface sees; inner says that
// no look leaves the framebuffer.
func (p *Framebuffer) skyAt(i int, turn *turn, inner bool) float32 {
	const square = occlusionReach * occlusionReach
	depth, n := p.depth[i], p.normal[i]
	taken := float32(0)
	for d := range turn.sky {
		highest := float32(0)
		for step := range turn.sky[d] {
			l := &turn.sky[d][step]
			if !inner && !p.has(i, l) {
				break
			}
			z := p.depth[i+l.offset] - depth // of an empty sample, endlessly far down
			away := l.square + z*z
			rise := n[0]*l.x + n[1]*l.y + n[2]*z
			// Most of what is looked at does not rise by the bias: no root is taken.
			if away >= square || rise <= 0 || rise*rise <= occlusionBias*occlusionBias*away {
				continue
			}
			rise = (rise/float32(math.Sqrt(float64(away))) - occlusionBias) * (1 - away/square)
			if rise > highest {
				highest = rise
			}
		}
		taken += highest
	}
	return 1 - min(1, taken/(occlusionDirections*(1-occlusionBias)))
}

// keyAt returns the share of the key light that reaches a sample past the
// surface between them; inner says that no look leaves the framebuffer.
func (p *Framebuffer) keyAt(i int, turn *turn, inner bool) float32 {
	depth, deepest := p.depth[i], float32(0)
	for step := range turn.key {
		l := &turn.key[step]
		if !inner && !p.has(i, l) {
			break
		}
		if above := p.depth[i+l.offset] - depth - l.climb; above > 0 {
			deepest = max(deepest, min(1, above/l.softness)*l.fade)
		}
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
func (c *cue) average(p *Framebuffer, pattern *pattern, x, y int) visibility {
	pixel := y*c.width + x
	n, depth := p.normal[c.sample[pixel]], c.depth[pixel]
	reach := 4 * samples * p.pitch // mm that neighbours may depart from the tangent plane
	across, up := n[0]*samples*p.pitch, n[1]*samples*p.pitch
	var sum visibility
	count := float32(0)
	left, right := max(0, x-patternSide/2), min(c.width, x+patternSide/2)
	for v := max(0, y-patternSide/2); v < min(c.height, y+patternSide/2); v++ {
		row := v * c.width
		for u := left + (left+v)%2; u < right; u += 2 {
			off := across*float32(u-x) - up*float32(v-y) + n[2]*(c.depth[row+u]-depth)
			if off > reach/2 || off < -reach/2 { // so is a pixel without surface
				continue
			}
			sum.sky += c.raw[row+u].sky
			sum.key += c.raw[row+u].key
			count++
		}
	}
	if count == 0 {
		return pattern.from(p, x, y, int(c.sample[pixel]))
	}
	return visibility{sky: sum.sky / count, key: sum.key / count}
}

// at returns the cue for sample i of the pixel (x, y): the pixel's own or, where
// that was measured on another surface, that of the neighbour nearest in height.
func (c *cue) at(p *Framebuffer, x, y, i int) visibility {
	const same = 0.3 // mm in height that still is the same surface
	departure := func(pixel int) float32 {
		d := c.depth[pixel] - p.depth[i]
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
