package membrane

import (
	"fmt"
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// Stretch is how much longer and larger the skin is at a node than the flat
// pocket beneath it. Only the vertical map is known: Across is 1 and Along
// equals Area. Skin that slides evens this out; SectionStretch and SkinDemand
// are what is left when it slides freely along a line or over the whole pocket.
type Stretch struct {
	Area      float64    // area ratio, at least 1
	Along     float64    // largest principal linear stretch, √(1+|∇u|²)
	Across    float64    // smallest principal linear stretch, 1
	Direction mgl64.Vec2 // unit vector of Along in the plane; zero where it is flat
}

// Stretches returns the stretch at every node, averaged over the triangles
// around it; 1 outside the pocket.
func (d *Drape) Stretches() []Stretch {
	l := d.l
	flat, skin := make([]float64, len(d.u)), make([]float64, len(d.u))
	slope := make([]mgl64.Vec2, len(d.u))
	d.eachFacet(func(f facet) {
		w := math.Sqrt(1 + f.x*f.x + f.y*f.y)
		nodes := l.corners(int(f.cell))
		for _, c := range f.corner {
			if c >= 0 {
				n := nodes[c]
				flat[n] += f.area
				skin[n] += f.area * w
				slope[n] = slope[n].Add(mgl64.Vec2{f.x, f.y}.Mul(f.area))
			}
		}
	})
	stretches := make([]Stretch, len(d.u))
	for k := range stretches {
		s := Stretch{Area: 1, Along: 1, Across: 1}
		if flat[k] > 0 {
			s.Area = skin[k] / flat[k]
			s.Along = s.Area
			if length := slope[k].Len(); length > 0 {
				s.Direction = slope[k].Mul(1 / length)
			}
		}
		stretches[k] = s
	}
	return stretches
}

// eachFacet visits the triangles of the net, then what lifting changes of them.
func (d *Drape) eachFacet(visit func(f facet)) {
	for k := range len(d.u) - d.l.columns - 1 {
		if d.l.kind[k] != cellOutside {
			d.l.eachTriangle(k, d.u, visit)
		}
	}
	for _, f := range d.facets {
		visit(f)
	}
}

// eachTriangle visits the triangles of a cell.
func (l *lattice) eachTriangle(k int, u []float64, visit func(f facet)) {
	nodes, cell := l.corners(k), int32(k)
	if l.kind[k] == cellPieces {
		for n := l.first[k]; n < l.last[k]; n++ {
			p := &l.pieces[n]
			x, y := p.slope(u, &nodes)
			visit(facet{cell, p.corner, p.area, x, y})
		}
		return
	}
	per := 1 / l.step
	quarter := l.step * l.step / 4
	bottom, top := (u[nodes[1]]-u[nodes[0]])*per, (u[nodes[3]]-u[nodes[2]])*per
	left, right := (u[nodes[2]]-u[nodes[0]])*per, (u[nodes[3]]-u[nodes[1]])*per
	visit(facet{cell, cellTriangles[0], quarter, bottom, left})
	visit(facet{cell, cellTriangles[1], quarter, top, right})
	visit(facet{cell, cellTriangles[2], quarter, bottom, right})
	visit(facet{cell, cellTriangles[3], quarter, top, left})
}

// Band is a range of stretch with what to think of it.
type Band struct {
	Name      string
	From      float64 // smallest stretch in it
	Published bool    // From is a published figure; otherwise it is our default
	Source    string
}

// Bands returns the stretch bands, lowest first.
func Bands() []Band {
	const ours = "default of this program by analogy, no source"
	return []Band{
		{Name: "fine", From: 1, Source: ours},
		{Name: "caution", From: 1.10, Source: ours},
		{Name: "tight", From: 1.25, Source: ours},
		{Name: "beyond failure", From: 1.54, Published: true,
			Source: "mean failure strain 54 ± 17 % of excised back skin, Ní Annaidh et al. 2012, J. Mech. Behav. Biomed. " +
				"Mater. 5:139"},
	}
}

// BandShares returns the share of the pocket's area whose area stretch falls in
// each of Bands; the shares add up to 1.
func (d *Drape) BandShares() []float64 {
	bands := Bands()
	shares := make([]float64, len(bands))
	d.eachFacet(func(f facet) {
		w := math.Sqrt(1 + f.x*f.x + f.y*f.y)
		at := 0
		for n, band := range bands {
			if w >= band.From {
				at = n
			}
		}
		shares[at] += f.area
	})
	for n := range shares {
		shares[n] /= max(d.PocketArea, math.SmallestNonzeroFloat64)
	}
	return shares
}

// SectionStretch returns the drape's length over the straight section from a to
// b, divided by the section's own length: the linear stretch of a strip of skin
// that slides freely along it. It is an error when a and b coincide.
func (d *Drape) SectionStretch(a, b mgl64.Vec2) (float64, error) {
	length := b.Sub(a).Len()
	if !(length > 0) || math.IsInf(length, 0) {
		return 0, &ValueError{"length of the section", length, "two different places in millimetres"}
	}
	const perStep = 2
	if length/d.Grid.Step > maxNodes {
		return 0, &ValueError{"length of the section", length, fmt.Sprintf("at most %d grid steps", maxNodes)}
	}
	parts := int(math.Ceil(length/d.Grid.Step*perStep)) + 1
	sum, before := 0.0, d.Height(a)
	for n := 1; n <= parts; n++ {
		now := d.Height(a.Add(b.Sub(a).Mul(float64(n) / float64(parts))))
		sum += math.Hypot(length/float64(parts), now-before)
		before = now
	}
	return sum / length, nil
}
