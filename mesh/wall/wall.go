package wall

import (
	"cmp"
	"context"
	"math"
	"slices"

	"earframe/field"
	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// Wall is a place where the solid was measured from one side to the other.
type Wall struct {
	Thickness float64    // mm
	At        mgl64.Vec3 // on the surface, mm
	// Extent is how far from At, mm, the wall stays thinner than Options.Below;
	// 0 where it is not.
	Extent float64
}

// Walls are the thinnest walls of a solid that things were cut out of. One of them
// is nil if it is neither thinner than the other nor than Options.Below.
type Walls struct {
	Drawn *Wall // between two faces of the solid as drawn
	Cut   *Wall // where a cut made one of the faces or both
}

// Least returns the thinner of both; nil if the solid has no wall.
func (w Walls) Least() *Wall {
	if w.Drawn == nil || w.Cut != nil && w.Cut.Thickness < w.Drawn.Thickness {
		return w.Cut
	}
	return w.Drawn
}

// Options say what to tell apart.
type Options struct {
	Drawn field.Field // the solid before it was cut; nil: nothing was cut
	Below float64     // mm; walls thinner than this are found of both kinds
	Ridge float64     // mm; what stands no higher over a cut is no wall

	// Of a mesh: the field as which it is but for something that does not count,
	// as letters, and how far from that field's surface, mm, its own may lie. Walls
	// of which a side lies farther off are passed over.
	Plain field.Field
	Slack float64
}

const (
	// spacing is that of the lattice, mm, whose points' feet are measured from
	// first, closeSpacing that of those closer by.
	spacing      = 0.5
	closeSpacing = 0.06

	// closeReach is how far around a thin place, mm, is looked at closer.
	closeReach = 0.4

	// leastArea is how much of the surface within closeReach, mm², must be as
	// thin for it to count as a wall.
	leastArea = 0.1

	// accuracy is what, mm, another look must promise.
	accuracy = 0.01

	// mostLooks bounds how many places are looked at closer.
	mostLooks = 24

	// feetATask is how many feet are measured from side by side. One in firstOf is
	// first, so that the others look for thinner walls only.
	feetATask = 256
	firstOf   = 16
)

// surface is what a solid is bounded by.
type surface interface {
	// feet returns points spread over the surface within reach mm of a place,
	// area what of it one stands for, mm², if that is where a ball was held.
	feet(ctx context.Context, place mgl64.Vec3, reach, spacing float64) ([]foot, error)
	area(s *spot, spacing float64) float64

	// walls returns those of the walls met from the feet that are thinner than most.
	walls(feet []foot, most float64) []spot
}

// OfField measures the thinnest walls of a field's solid.
func OfField(ctx context.Context, f field.Field, options Options) (Walls, error) {
	m := &measuring{Options: options, surface: fieldSurface{f}, spacing: spacing}
	return m.all(ctx, f.Bounds())
}

// measuring is one solid's.
type measuring struct {
	Options
	surface
	spacing float64 // of the feet measured from first, mm
	spots   []spot  // facing ones, by thickness
}

// all measures the walls within the bounds, than which none is thicker.
func (m *measuring) all(ctx context.Context, bounds field.Box) (Walls, error) {
	size := bounds.Max.Sub(bounds.Min)
	most := min(size[0], size[1], size[2]) + m.spacing
	feet, err := m.feet(ctx, mgl64.Vec3{}, math.Inf(1), m.spacing)
	if err != nil {
		return Walls{}, err
	}
	var some []foot
	for i := 0; i < len(feet); i += firstOf {
		some = append(some, feet[i])
	}
	first, err := m.measure(ctx, some, most)
	if err != nil {
		return Walls{}, err
	}
	if len(first) > 0 {
		most = max(first[0].thickness, m.Below) + m.spacing/2
	}
	if m.spots, err = m.measure(ctx, feet, most); err != nil {
		return Walls{}, err
	}
	var found Walls
	if found.Drawn, err = m.thinnest(ctx, false); err != nil {
		return Walls{}, err
	}
	found.Cut, err = m.thinnest(ctx, true)
	return found, err
}

// measure returns the walls met from the feet that are not thicker than most, the
// thinnest first.
func (m *measuring) measure(ctx context.Context, feet []foot, most float64) ([]spot, error) {
	tasks := (len(feet) + feetATask - 1) / feetATask
	parts := make([][]spot, tasks)
	err := workers.Each(ctx, "balls in walls", tasks, func(task int) error {
		some := feet[task*feetATask : min((task+1)*feetATask, len(feet))]
		parts[task] = m.sorted(m.counted(m.surface.walls(some, most)))
		return nil
	})
	all := slices.Concat(parts...)
	slices.SortStableFunc(all, func(a, b spot) int { return cmp.Compare(a.thickness, b.thickness) })
	return all, err
}

// counted returns the spots of which both ends are on the plain field's surface,
// and face as it does there, within 45 degrees.
func (m *measuring) counted(spots []spot) []spot {
	if m.Plain == nil || len(spots) == 0 {
		return spots
	}
	ends := make([]mgl64.Vec3, 0, 2*len(spots))
	for _, s := range spots {
		ends = append(ends, s.at, s.across)
	}
	off, up := make([]float64, len(ends)), make([]mgl64.Vec3, len(ends))
	m.Plain.Gradients(ends, off, up)
	kept := spots[:0]
	for i, s := range spots {
		away := s.centre().Sub(s.across).Normalize()
		here, there := up[2*i], up[2*i+1]
		if max(math.Abs(off[2*i]), math.Abs(off[2*i+1])) <= m.Slack &&
			here.Dot(s.normal) >= math.Sqrt2/2*here.Len() && -there.Dot(away) >= math.Sqrt2/2*there.Len() {
			kept = append(kept, s)
		}
	}
	return kept
}

// sorted says of each spot whether a cut made its wall, and drops ridges.
func (m *measuring) sorted(spots []spot) []spot {
	if m.Drawn == nil || len(spots) == 0 {
		return spots
	}
	on := onFace + m.Slack
	ends := make([]mgl64.Vec3, 0, 2*len(spots))
	for _, s := range spots {
		ends = append(ends, s.at, s.across)
	}
	depths, up := make([]float64, len(ends)), make([]mgl64.Vec3, len(ends))
	m.Drawn.Gradients(ends, depths, up)
	kept := spots[:0]
	for i, s := range spots {
		way := s.across.Sub(s.at)
		ridge := false
		for _, end := range []int{2 * i, 2*i + 1} {
			steep := up[end].Len()
			depth := math.Abs(depths[end]) / max(steep, 1)
			s.cut = s.cut || depth > on
			along := math.Abs(way.Dot(up[end])) / (way.Len() * steep)
			// Seats are carved along z, and ridges stand up so; beside an upright face,
			// what is nearer than the surface is placed to is its edge.
			high := m.Slack
			if math.Abs(up[end][2]) > math.Sqrt2/2*steep {
				high = m.Ridge
			}
			ridge = ridge || depth > onFace && depth <= high && along < math.Sqrt2/2
		}
		if !ridge {
			kept = append(kept, s)
		}
	}
	return kept
}

// onFace is how near a contact lies, mm, to the face it is on: a hundred times as
// far as a foot may be from its surface, and less than any cut is deep.
const onFace = 1e-3

// thinnest looks closer at where walls of the kind seem thinnest.
func (m *measuring) thinnest(ctx context.Context, cut bool) (*Wall, error) {
	var order []*spot
	for i := range m.spots {
		if m.spots[i].cut == cut {
			order = append(order, &m.spots[i])
		}
	}
	slices.SortStableFunc(order, func(a, b *spot) int { return cmp.Compare(a.atLeast(m.spacing), b.atLeast(m.spacing)) })
	var best *spot
	var seen []mgl64.Vec3
	for _, s := range order {
		if len(seen) == mostLooks || best != nil && s.atLeast(m.spacing) >= best.thickness-accuracy {
			break
		}
		if slices.ContainsFunc(seen, func(at mgl64.Vec3) bool { return at.Sub(s.at).Len() < closeReach }) {
			continue
		}
		seen = append(seen, s.at)
		feet, err := m.feet(ctx, s.at, closeReach+min(closeReach, m.spacing/2), closeSpacing)
		if err != nil {
			return nil, err
		}
		most := s.thickness + m.spacing/2
		if best != nil {
			most = min(most, best.thickness)
		}
		near, err := m.measure(ctx, feet, most)
		if err != nil {
			return nil, err
		}
		near = slices.DeleteFunc(near, func(s spot) bool { return s.cut != cut })
		if found := m.enough(near); found != nil && (best == nil || found.thickness < best.thickness) {
			best = found
		}
	}
	if best == nil {
		return nil, nil
	}
	return &Wall{Thickness: best.thickness, At: best.at, Extent: m.extent(best)}, nil
}

// enough returns the first of the spots, thinnest first, around which enough of
// the surface is as thin.
func (m *measuring) enough(spots []spot) *spot {
	for i := range spots {
		area := 0.0
		for k := range spots[:i+1] {
			if spots[k].at.Sub(spots[i].at).Len() <= closeReach {
				area += m.area(&spots[k], closeSpacing)
			}
		}
		if area >= leastArea {
			return &spots[i]
		}
	}
	return nil
}

// extent returns how far from the spot one gets through cells of two
// spacings that hold thin places, from each to those beside it.
func (m *measuring) extent(from *spot) float64 {
	if from.thickness >= m.Below {
		return 0
	}
	const side = 2 * spacing
	cell := func(p mgl64.Vec3) (c [3]int) {
		for k, x := range p {
			c[k] = int(math.Floor(x / side))
		}
		return c
	}
	thin := map[[3]int][]mgl64.Vec3{}
	for _, s := range m.spots {
		if s.cut == from.cut && s.thickness < m.Below {
			thin[cell(s.at)] = append(thin[cell(s.at)], s.at)
		}
	}
	farthest := 0.0
	for next := [][3]int{cell(from.at)}; len(next) > 0; next = next[1:] {
		c := next[0]
		for _, p := range thin[c] {
			farthest = max(farthest, p.Sub(from.at).Len())
		}
		delete(thin, c)
		for i := range 27 {
			beside := [3]int{c[0] + i/9 - 1, c[1] + i/3%3 - 1, c[2] + i%3 - 1}
			if len(thin[beside]) > 0 && !slices.Contains(next, beside) {
				next = append(next, beside)
			}
		}
	}
	return farthest
}
