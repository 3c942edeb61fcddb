package render

import "math"

// Drawn edges: a thin dark line on the nearer side of every break, as a
// draughtsman's outline. How dark, 0 to 1:
const (
	lineAroundAll = 0.80 // against the background
	lineBetween   = 0.62 // where one object ends in front of another
	lineOverStep  = 0.50 // where an object's surface steps behind itself
	lineOnCrease  = 0.34 // at a sharp edge
)

const (
	// A neighbour departs from the sample's own tangent plane by this much (mm)
	// before the surface counts as broken: about the depth of the shallowest
	// recess that should show as a line.
	stepDepth = 0.45
	// Cosine of the turn between neighbouring samples that counts as a sharp
	// edge: 38 degrees, clear of the crease angle at which shading stops being
	// smooth, so that coarse facets of a rounding draw no broken lines.
	creaseCosine = 0.79
)

// lineAt returns how dark the drawn line is at a sample: 0 for none.
func (p *Framebuffer) lineAt(s *Scene, x, y int) float32 {
	const far = 3
	i := y*p.width + x
	n, face := &p.normal[i], p.face[i]
	if min(x, y, p.width-1-x, p.height-1-y) >= far && p.face[i-far] == face && p.face[i+far] == face &&
		p.face[i-far*p.width] == face && p.face[i+far*p.width] == face { // within a flat area
		return 0
	}
	owner := s.owners[face]
	slopeX, slopeY := n[0]/max(n[2], 0.1), n[1]/max(n[2], 0.1)
	dark := float32(0)
	for _, direction := range [...][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		u, v := x+far*direction[0], y+far*direction[1]
		if u < 0 || v < 0 || u >= p.width || v >= p.height {
			continue // the drawing has a clear border
		}
		j := v*p.width + u
		switch p.face[j] {
		case face:
			continue
		case noFace:
			dark = max(dark, lineAroundAll)
			continue
		}
		ahead := float32(far) * p.pitch
		rise := p.depth[j] - p.depth[i] + slopeX*ahead*float32(direction[0]) - slopeY*ahead*float32(direction[1])
		m := &p.normal[j]
		if owner == s.owners[p.face[j]] && rise < smoothRise && rise > -smoothRise &&
			n[0]*m[0]+n[1]*m[1]+n[2]*m[2] > smoothCosine {
			continue // one smooth surface
		}
		for away := 1; away <= 2; away++ {
			u, v := x+away*direction[0], y+away*direction[1]
			dark = max(dark, p.breakBetween(s, i, v*p.width+u,
				float32(away*direction[0])*p.pitch, float32(-away*direction[1])*p.pitch, away))
		}
	}
	return dark
}

const (
	// A neighbour three samples off that leaves the tangent plane by less (mm),
	// and whose normal turns less, has no break before it.
	smoothRise   = 0.1
	smoothCosine = 0.95
)

// breakBetween judges the surface between the samples i and j; j lies (vx, vy)
// mm away on the page.
func (p *Framebuffer) breakBetween(s *Scene, i, j int, vx, vy float32, away int) float32 {
	if p.face[j] == noFace {
		return lineAroundAll
	}
	rise := p.depth[j] - p.depth[i]
	if s.owners[p.face[i]] != s.owners[p.face[j]] {
		if rise <= 0 {
			return lineBetween
		}
		return 0
	}
	n, m := &p.normal[i], &p.normal[j]
	// Both tangent planes are tried: at a crease one of them fits.
	own := float32(math.Abs(float64(rise + (n[0]*vx+n[1]*vy)/max(n[2], 0.1))))
	other := float32(math.Abs(float64(rise + (m[0]*vx+m[1]*vy)/max(m[2], 0.1))))
	if rise < 0 && min(own, other) > stepDepth {
		return lineOverStep
	}
	if away == 1 && n[0]*m[0]+n[1]*m[1]+n[2]*m[2] < creaseCosine {
		return lineOnCrease
	}
	return 0
}
