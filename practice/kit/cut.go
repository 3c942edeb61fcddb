package kit

import (
	"context"
	"fmt"
	"math"
	"slices"

	"earframe/field"
	"earframe/internal/workers"
	"earframe/mesh"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Cut is where a piece too large for the bed was cut, square to the framework's
// x or y axis, with a dovetail wherever the cut crosses material broad enough:
// the parts are laid into one another from above.
type Cut struct {
	Axis string  // x or y, of the framework; empty for the cuts that a unit is carved with
	At   float64 // coordinate along it
	Keys int     // dovetails across it
}

// mostParts bounds into how many parts one unit is cut: a bed so small is wrong.
const mostParts = 8

// cutToFit cuts pieces that do not fit the bed in any turn, each in two until
// all parts fit.
func (k *Kit) cutToFit(ctx context.Context, plan *units.Plan) error {
	var pieces []Print
	for _, whole := range k.Pieces {
		if _, ok := k.fitting(&whole); ok {
			pieces = append(pieces, whole)
			continue
		}
		parts, err := k.parts(ctx, plan, whole)
		if err != nil {
			return err
		}
		k.Findings = append(k.Findings, k.tooLarge(&whole, parts))
		if len(parts) > 1 {
			err = workers.Each(ctx, "", len(parts), func(i int) error {
				parts[i].Name = fmt.Sprintf("%s, part %d of %d", whole.Name, i+1, len(parts))
				parts[i].part = whole.part + string(rune('A'+i))
				return parts[i].letterPart(ctx, plan)
			})
			if err != nil {
				return err
			}
		}
		pieces = append(pieces, parts...)
	}
	k.Pieces = pieces
	return nil
}

// parts cuts a piece until its parts fit; it is the piece alone where no cut
// helps.
func (k *Kit) parts(ctx context.Context, plan *units.Plan, whole Print) ([]Print, error) {
	parts := []Print{whole.bare()}
	for i := 0; i < len(parts); {
		if _, ok := k.fitting(&parts[i]); ok {
			i++
			continue
		}
		if len(parts) >= mostParts {
			return []Print{whole}, nil
		}
		of, err := k.cut(ctx, plan, parts[i])
		if err != nil {
			return nil, err
		}
		parts = slices.Replace(parts, i, i+1, of...)
	}
	return parts, nil
}

// bare returns the print without letters: each part of it has its own.
func (p Print) bare() Print {
	p.Solid, p.Letter, p.letters, p.refused = p.plain, "", nil, nil
	if p.drill != nil {
		p.Solid = field.Difference(p.plain, p.drill)
	}
	return p
}

// tooLarge says that a piece does not fit the bed, and how it was cut.
func (k *Kit) tooLarge(p *Print, parts []Print) units.Finding {
	f := units.Finding{
		Rule: "print-cut-to-fit-bed", Severity: units.Warning, Unit: p.Unit.Name,
		Message: fmt.Sprintf("its print of %.1f × %.1f mm does not fit a bed of %g × %g mm", p.Footprint[0],
			p.Footprint[1], k.Bed[0], k.Bed[1]),
		Value: math.Max(p.Footprint[0], p.Footprint[1]), Limit: math.Max(k.Bed[0], k.Bed[1]), Measure: "mm",
	}
	if len(parts) == 1 {
		f.Rule, f.Severity = "print-too-large-for-bed", units.Error
		f.Message += fmt.Sprintf(", and %d parts would not do", mostParts)
		f.Advice = "Give kit.bed the size of a larger printer."
		return f
	}
	keys := 0
	for i := range parts {
		keys += parts[i].Cut.Keys
	}
	f.Message += fmt.Sprintf("; it is cut in %d parts", len(parts))
	switch {
	case keys > 0:
		f.Advice = "Lay the parts into one another by their dovetails and glue them, or give kit.bed the size of a " +
			"larger printer."
	default:
		f.Advice = "The material is too narrow for dovetails: glue the parts end to end, or give kit.bed the size of " +
			"a larger printer."
	}
	return f
}

// cut cuts a piece across its longer side, and parts what then hangs together no
// more, as the two ends of a strip that is bent back.
func (k *Kit) cut(ctx context.Context, plan *units.Plan, p Print) ([]Print, error) {
	lo, hi := p.Mesh.Bounds()
	axis := 0
	if hi[1]-lo[1] > hi[0]-lo[0] {
		axis = 1
	}
	regions, err := regionsOf(p.Unit)
	if err != nil {
		return nil, err
	}
	at := (lo[axis] + hi[axis]) / 2
	ring, keys := keyedHalf(regions, axis, at, lo, hi, plan.Printer.Wall)
	region, err := field.NewRegion(ring)
	if err != nil {
		return nil, fmt.Errorf("kit: %s: cut: %w", p.Name, err)
	}
	half, err := field.NewPrism(field.Prism{Region: region, Underside: field.Level(lo[2] - beyond),
		Thickness: field.Level(hi[2] - lo[2] + 2*beyond)})
	if err != nil {
		return nil, fmt.Errorf("kit: %s: cut: %w", p.Name, err)
	}
	cut := &Cut{Axis: [2]string{"x", "y"}[axis], At: at, Keys: keys}
	two := [2]Print{p, p}
	two[0].Solid = field.Intersection(p.Solid, half)
	two[1].Solid = field.Difference(p.Solid, field.Offset(half, k.Clearance))
	others, err := beyondRing(ring)
	if err != nil {
		return nil, fmt.Errorf("kit: %s: cut: %w", p.Name, err)
	}
	two[0].outside = append(slices.Clone(p.outside), others)
	two[1].outside = append(slices.Clone(p.outside), region)
	var of [2][]Print
	err = workers.Each(ctx, "", len(two), func(i int) error {
		two[i].Cut = cut
		if err := two[i].print(ctx, plan); err != nil {
			return err
		}
		of[i], err = two[i].loose(ctx, plan)
		return err
	})
	return slices.Concat(of[0], of[1]), err
}

// loose returns the pieces that hang together, if there are several.
func (p *Print) loose(ctx context.Context, plan *units.Plan) ([]Print, error) {
	if len(p.Verdict.Shells)-p.Verdict.Cavities < 2 {
		return []Print{*p}, nil
	}
	var pieces []Print
	for _, m := range shells(p.Mesh) {
		if m.Volume() < 0 {
			return []Print{*p}, nil // a hollow; what it lies in is not looked for
		}
		piece := *p
		piece.Mesh = m
		lo, hi := m.Bounds()
		ring := []mgl64.Vec2{lo.Vec2(), {hi[0], lo[1]}, hi.Vec2(), {lo[0], hi[1]}}
		own, err := field.NewRegion(ring)
		if err != nil {
			return nil, err
		}
		box, err := field.NewPrism(field.Prism{Region: own, Underside: field.Level(lo[2]),
			Thickness: field.Level(hi[2] - lo[2])})
		if err != nil {
			return nil, err
		}
		piece.Solid = field.Intersection(p.Solid, box)
		others, err := beyondRing(ring)
		if err != nil {
			return nil, err
		}
		piece.outside = append(slices.Clone(p.outside), others)
		if len(pieces) > 0 {
			piece.left = crumbs{} // the first has them
		}
		if piece.Verdict, err = mesh.JudgeContext(ctx, m); err != nil {
			return nil, err
		}
		if piece.Pose, err = piece.pose(ctx, plan); err != nil {
			return nil, err
		}
		if err := piece.lieDown(ctx, plan); err != nil {
			return nil, err
		}
		pieces = append(pieces, piece)
	}
	return pieces, nil
}

// beyondRing returns what lies around an outline: all of the plane that a unit
// reaches, without it.
func beyondRing(ring []mgl64.Vec2) (*field.Region, error) {
	own, err := field.NewRegion(ring)
	if err != nil {
		return nil, err
	}
	lo, hi := own.Bounds()
	const far = 1000.0 // mm: no unit is as large
	lo, hi = lo.Sub(mgl64.Vec2{far, far}), hi.Add(mgl64.Vec2{far, far})
	hole := slices.Clone(ring)
	slices.Reverse(hole)
	return field.NewRegion([]mgl64.Vec2{lo, {hi[0], lo[1]}, hi, {lo[0], hi[1]}}, hole)
}

// letterPart carves the letter of a part that was cut off, and prints it anew.
func (p *Print) letterPart(ctx context.Context, plan *units.Plan) error {
	bare := *p
	if err := p.letter(ctx, plan, p.part); err != nil || p.letters == nil {
		return err
	}
	if err := p.print(ctx, plan); err != nil {
		return err
	}
	// Within the box of a part that is bent another may lie: then the letter may
	// have met that one, and the print is left as it was.
	if len(p.Verdict.Shells)-p.Verdict.Cavities > len(bare.Verdict.Shells)-bare.Verdict.Cavities {
		*p = bare
		p.refused = fmt.Errorf("another part lies within its box")
	}
	return nil
}

// shells returns the parts of a mesh that hang together, by their first triangle.
func shells(m *mesh.Mesh) []*mesh.Mesh {
	of := make([]int32, len(m.Vertices)) // a vertex of the same shell, in the end the first
	for i := range of {
		of[i] = int32(i)
	}
	first := func(v int32) int32 {
		for of[v] != v {
			of[v] = of[of[v]]
			v = of[v]
		}
		return v
	}
	for _, t := range m.Triangles {
		for _, v := range t[1:] {
			a, b := first(t[0]), first(v)
			of[max(a, b)] = min(a, b)
		}
	}
	index := map[int32]int{}
	number := make([]int32, len(m.Vertices))
	var parts []*mesh.Mesh
	for i, v := range m.Vertices {
		root := first(int32(i))
		k, ok := index[root]
		if !ok {
			k = len(parts)
			index[root] = k
			parts = append(parts, &mesh.Mesh{})
		}
		number[i] = int32(len(parts[k].Vertices))
		parts[k].Vertices = append(parts[k].Vertices, v)
	}
	for _, t := range m.Triangles {
		part := parts[index[first(t[0])]]
		part.Triangles = append(part.Triangles, [3]int32{number[t[0]], number[t[1]], number[t[2]]})
	}
	return parts
}

// A dovetail, as shares of the width of the material that it joins.
const (
	neckShare = 0.30
	headShare = 0.46
	keyShare  = 0.32 // how far it reaches into the other part

	beyond = 1.0 // mm that the half's border keeps from the piece
)

// keyedHalf returns the outline of the half with the lower coordinates along the
// axis, with a dovetail on each stretch of material that the cut crosses, if the
// dovetail's neck is at least as thick as the thinnest wall that prints.
func keyedHalf(regions []*field.Region, axis int, at float64, lo, hi mgl64.Vec3, wall float64) (ring []mgl64.Vec2,
	keys int) {
	place := func(along, across float64) mgl64.Vec2 {
		if axis == 0 {
			return mgl64.Vec2{along, across}
		}
		return mgl64.Vec2{across, along}
	}
	first, last := lo[1-axis]-beyond, hi[1-axis]+beyond
	ring = append(ring, place(lo[axis]-beyond, first), place(at, first))
	for _, s := range stretches(regions, place, at, first, last) {
		width := s[1] - s[0]
		neck, head, reach := neckShare*width, headShare*width, keyShare*width
		middle := (s[0] + s[1]) / 2
		tip := middle
		// A slanting limb takes the dovetail's head along.
		for _, t := range stretches(regions, place, at+reach, first, last) {
			if t[0] < middle && middle < t[1] {
				tip = (t[0] + t[1]) / 2
			}
		}
		inside := true
		for _, q := range []mgl64.Vec2{place(at+reach+wall, tip-head/2-wall), place(at+reach+wall, tip+head/2+wall)} {
			inside = inside && nearestOf(regions, q) < 0
		}
		if neck < wall || !inside {
			continue
		}
		keys++
		ring = append(ring, place(at, middle-neck/2), place(at+reach, tip-head/2), place(at+reach, tip+head/2),
			place(at, middle+neck/2))
	}
	ring = append(ring, place(at, last), place(lo[axis]-beyond, last))
	if axis == 1 { // mirrored: run it the other way round
		slices.Reverse(ring)
	}
	return ring, keys
}

// cutSample is how finely, mm, a cut is looked along for material.
const cutSample = 0.05

// stretches returns where a cut crosses material, from and to.
func stretches(regions []*field.Region, place func(along, across float64) mgl64.Vec2, at, first,
	last float64) [][2]float64 {
	var found [][2]float64
	begin := math.NaN()
	for across := first; across <= last; across += cutSample {
		in := nearestOf(regions, place(at, across)) < 0
		switch {
		case in && math.IsNaN(begin):
			begin = across
		case !in && !math.IsNaN(begin):
			found = append(found, [2]float64{begin, across})
			begin = math.NaN()
		}
	}
	return found
}
