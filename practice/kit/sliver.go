package kit

import (
	"fmt"
	"math"

	"earframe/field"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// sliver is what would be left standing, too thin to print, between the seat of
// a neighbour and another edge of the unit: its outline, a recess, or the next
// seat. A point between two edges is on a wall as thick as its distances from
// both together.
//
// It reaches from the seat's floor away from the unit, so that nothing is taken
// from under the seat, and only beside seats shallower than the thinnest wall:
// what stands beside a notch was drawn so.
type sliver struct {
	seat    []*field.Region // of the neighbour, seen from the side
	grown   float64         // of the seat beyond it, mm
	outline []*field.Region // of the unit
	others  []seat          // of its other neighbours
	grooves []field.Field   // its recesses
	width   float64         // of the thinnest wall that prints, mm
	floor   field.Surface   // of the seat
	face    field.Surface   // of the unit that the seat lies in: its top or underside
	upward  bool            // whether the seat lies in the unit's top, and not in its underside
	bounds  field.Box
}

// seat is where another neighbour lies. What stands between it and the sliver's
// own is a wall only above the higher of the two floors: below that there is the
// material that the shallower one lies on.
type seat struct {
	regions []*field.Region
	floor   field.Surface
}

// newSliver returns what must go beside the seat of a neighbour.
func (k *Kit) newSliver(p *Print, neighbour *units.Unit, others []*units.Unit, plan *units.Plan) (field.Field, error) {
	under, err := neighbour.Underside()
	if err != nil {
		return nil, err
	}
	s := &sliver{grown: k.Clearance, width: plan.Printer.Wall, upward: p.carries(neighbour)}
	floorOf := func(u *units.Unit, under field.Surface) field.Surface {
		if !s.upward {
			return shifted(under, u.Thickness+k.Clearance)
		}
		return shifted(under, -k.Clearance)
	}
	s.floor = floorOf(neighbour, under)
	if s.face, err = p.Unit.Underside(); err != nil {
		return nil, err
	}
	if s.upward {
		s.face = shifted(s.face, p.Unit.Thickness)
	}
	if s.seat, err = regionsOf(neighbour); err != nil {
		return nil, err
	}
	if s.outline, err = regionsOf(p.Unit); err != nil {
		return nil, err
	}
	for _, o := range others {
		regions, err := regionsOf(o)
		if err != nil {
			return nil, err
		}
		under, err := o.Underside()
		if err != nil {
			return nil, err
		}
		s.others = append(s.others, seat{regions, floorOf(o, under)})
	}
	if s.upward {
		if s.grooves, err = groovesOf(p.Unit); err != nil {
			return nil, err
		}
	}
	s.bounds = p.plain.Bounds().Grow(1)
	return s, nil
}

// carries reports whether a neighbour's seat lies in the piece's top, and not in
// its underside; what has a profile is let in from above.
func (p *Print) carries(neighbour *units.Unit) bool {
	return !p.below(neighbour) || neighbour.Rise.Profile != nil
}

func shifted(s field.Surface, by float64) field.Surface {
	if level, ok := s.(field.Level); ok {
		return level + field.Level(by)
	}
	return field.Stack(s, field.Level(by))
}

// regionsOf returns the unit's outlines.
func regionsOf(u *units.Unit) ([]*field.Region, error) {
	var regions []*field.Region
	for _, o := range u.Outlines {
		region, err := template.Region(o)
		if err != nil {
			return nil, fmt.Errorf("unit %s: %w", u.Name, err)
		}
		regions = append(regions, region)
	}
	return regions, nil
}

func nearestOf(regions []*field.Region, p mgl64.Vec2) float64 {
	least := math.Inf(1)
	for _, r := range regions {
		least = min(least, r.Distance(p))
	}
	return least
}

// groovesOf returns the material that the unit's recesses take away.
func groovesOf(u *units.Unit) ([]field.Field, error) {
	under, err := u.Underside()
	if err != nil {
		return nil, err
	}
	var grooves []field.Field
	for _, r := range u.Recesses {
		for _, o := range r.Outlines {
			region, err := template.Region(o.Filled())
			if err != nil {
				return nil, fmt.Errorf("unit %s, recess %s: %w", u.Name, r.Name, err)
			}
			groove, err := field.NewRecess(field.Recess{Region: region, Top: shifted(under, u.Thickness),
				Depth: r.Depth, Wall: r.Wall})
			if err != nil {
				return nil, fmt.Errorf("unit %s, recess %s: %w", u.Name, r.Name, err)
			}
			grooves = append(grooves, groove)
		}
	}
	return grooves, nil
}

// Bounds returns the unit's box: what lies beyond it does not matter.
func (s *sliver) Bounds() field.Box { return s.bounds }

// sliverFar is the value, mm, beyond which a sliver no longer tells how far away
// it is: more than two sampling steps.
const sliverFar = 0.5

// edgeLipschitz bounds how fast an edge's distance changes: a groove's wall, on
// a top that rises, may be twice as steep as a distance.
const edgeLipschitz = 2

// Lipschitz is that of the floor's slope, or of half the sum of two distances.
func (s *sliver) Lipschitz() float64 {
	steepest := max((1+edgeLipschitz)/2.0, math.Hypot(1, s.floor.Steepest()), s.floor.Steepest()+s.face.Steepest())
	for _, o := range s.others {
		steepest = max(steepest, math.Hypot(1, o.floor.Steepest()))
	}
	return steepest
}

// Range combines what wall and floor can be in the box.
func (s *sliver) Range(box field.Box) (lo, hi float64) {
	low, high := s.span(s.floor, box)
	faceLow, faceHigh := s.span(s.face, box)
	least, most := box.Min[2], box.Max[2]
	if !s.upward {
		least, most = -most, -least
	}
	lo = max(low-most, faceLow-high-s.width)
	hi = max(high-least, faceHigh-low-s.width)
	for _, o := range s.others {
		_, top := s.span(o.floor, box)
		hi = max(hi, top-least)
	}
	if lo >= sliverFar {
		return sliverFar, sliverFar
	}
	middle, half := box.Centre(), box.HalfDiagonal()
	seat := nearestOf(s.seat, middle.Vec2()) - s.grown
	flat := box.Max.Sub(box.Min).Vec2().Len() / 2
	wall := (max(seat-flat, 0) - s.width) / 2
	if wall >= sliverFar {
		return sliverFar, sliverFar
	}
	other := s.other(middle, s.planar(middle.Vec2()))
	for _, o := range s.others {
		other = min(other, s.fromSeat(o, middle.Vec2()))
	}
	wall += max(other-edgeLipschitz*half, 0) / 2
	lo = max(lo, wall)
	hi = max(hi, (max(seat+flat, 0)+other+edgeLipschitz*half-s.width)/2)
	return min(lo, sliverFar), min(hi, sliverFar)
}

// span returns how high a surface lies over the box, or, of a unit seen from
// below, how low.
func (s *sliver) span(of field.Surface, box field.Box) (low, high float64) {
	low, high = of.Span(box.Min.Vec2(), box.Max.Vec2())
	if !s.upward {
		return -high, -low
	}
	return low, high
}

// planar returns the distance from the outline.
func (s *sliver) planar(p mgl64.Vec2) float64 { return max(-nearestOf(s.outline, p), 0) }

// fromSeat returns the distance from another seat.
func (s *sliver) fromSeat(o seat, p mgl64.Vec2) float64 {
	return max(nearestOf(o.regions, p)-s.grown, 0)
}

// other returns the distance from the nearest edge that is no seat's, given that
// of the outline.
func (s *sliver) other(p mgl64.Vec3, planar float64) float64 {
	if len(s.grooves) == 0 || planar == 0 {
		return planar
	}
	var d [1]float64
	at := [1]mgl64.Vec3{p}
	for _, g := range s.grooves {
		g.Distances(at[:], d[:])
		planar = min(planar, max(d[0], 0))
	}
	return planar
}

// Distances writes half of how much thicker than the thinnest wall the material
// is, or the depth below the seat's floor, and sliverFar beyond that.
func (s *sliver) Distances(points []mgl64.Vec3, out []float64) {
	var seat, planar, floor, deep float64
	fromSeats, floors := make([]float64, len(s.others)), make([]float64, len(s.others))
	for i, p := range points {
		if i == 0 || p[0] != points[i-1][0] || p[1] != points[i-1][1] {
			floor, _, _ = s.floor.Height(p[0], p[1])
			deep, _, _ = s.face.Height(p[0], p[1])
			if deep -= floor; !s.upward {
				deep = -deep
			}
			deep -= s.width
			seat = (max(nearestOf(s.seat, p.Vec2())-s.grown, 0) - s.width) / 2
			if seat < sliverFar {
				planar = s.planar(p.Vec2())
				for k, o := range s.others {
					fromSeats[k] = s.fromSeat(o, p.Vec2())
					floors[k], _, _ = o.floor.Height(p[0], p[1])
				}
			}
		}
		up := func(floor float64) float64 {
			if !s.upward {
				return p[2] - floor
			}
			return floor - p[2]
		}
		below := max(up(floor), deep)
		if below >= sliverFar || seat >= sliverFar {
			out[i] = sliverFar
			continue
		}
		out[i] = min(max(seat+s.other(p, planar)/2, below), sliverFar)
		for k := range s.others {
			out[i] = min(out[i], max(seat+fromSeats[k]/2, below, up(floors[k])))
		}
	}
}

// sliverReach, mm, is the distance over which gradients are taken.
const sliverReach = 1e-5

// Gradients writes the values and their gradients, by differences.
func (s *sliver) Gradients(points []mgl64.Vec3, out []float64, gradient []mgl64.Vec3) {
	s.Distances(points, out)
	for i, p := range points {
		if gradient[i] = (mgl64.Vec3{}); out[i] == sliverFar {
			continue
		}
		var near [3]mgl64.Vec3
		var values [3]float64
		for k := range near {
			near[k] = p
			near[k][k] += sliverReach
		}
		s.Distances(near[:], values[:])
		for k, v := range values {
			gradient[i][k] = (v - out[i]) / sliverReach
		}
	}
}

// Levels returns the heights of level floors.
func (s *sliver) Levels() []float64 {
	var levels []float64
	for _, o := range append([]seat{{floor: s.floor}}, s.others...) {
		if level, ok := o.floor.(field.Level); ok {
			levels = append(levels, float64(level))
		}
	}
	return levels
}
