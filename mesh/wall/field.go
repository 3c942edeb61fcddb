package wall

import (
	"context"
	"math"
	"slices"

	"earframe/field"
	"earframe/internal/workers"

	"github.com/go-gl/mathgl/mgl64"
)

// fieldSurface is where a field is zero.
type fieldSurface struct{ field.Field }

const (
	// footSteps bounds Newton's steps to the surface, footAccuracy is the last
	// one's length, mm.
	footSteps    = 4
	footAccuracy = 1e-5

	// landSteps is the same for points that start farther away.
	landSteps = 8

	// tileSide is how many lattice points a side of a tile has.
	tileSide = 5

	// band is how far, in spacings, a lattice point may be from the surface for its
	// foot to be taken: half a cell's diagonal.
	band = 0.8660254037844386
)

// walls makes a ball at each foot smaller, from the thickness most on, until it is
// held.
func (s fieldSurface) walls(feet []foot, most float64) []spot {
	balls := make([]spot, len(feet))
	for i, p := range feet {
		balls[i] = spot{foot: p, across: p.at, thickness: most}
	}
	return shrink(s, balls, most)
}

// land moves points to the surface, down the gradient. A point that does not get
// there, as where the field is flat because it knows its distance no farther, goes
// to infinity.
func (s fieldSurface) land(points []mgl64.Vec3) {
	n := len(points)
	distances, gradients := make([]float64, n), make([]mgl64.Vec3, n)
	of, moving := make([]int, n), slices.Clone(points)
	for i := range points {
		of[i] = i
	}
	for range landSteps {
		s.Gradients(moving, distances[:len(moving)], gradients)
		left := 0
		for i, p := range moving {
			square := gradients[i].Dot(gradients[i])
			if square == 0 {
				points[of[i]] = nowhere
				continue
			}
			way := gradients[i].Mul(-distances[i] / square)
			points[of[i]] = p.Add(way)
			if way.Dot(way) > footAccuracy*footAccuracy {
				moving[left], of[left] = points[of[i]], of[i]
				left++
			}
		}
		if moving = moving[:left]; left == 0 {
			return
		}
	}
	for _, i := range of[:len(moving)] {
		points[i] = nowhere
	}
}

// nowhere is no point of a surface.
var nowhere = mgl64.Vec3{math.Inf(1), math.Inf(1), math.Inf(1)}

// exits returns for each spot where the way inwards from it leaves the solid, no
// farther away than most; the normal is zero where it does not. It looks on from
// the ball's end in steps, so that a gap narrower than a step may be passed over.
func (s fieldSurface) exits(spots []spot, most float64) []foot {
	const steps, halvings = 4, 5
	points, distances := make([]mgl64.Vec3, 0, steps*len(spots)), make([]float64, steps*len(spots))
	step := func(spot *spot) float64 { return (most - spot.thickness) / steps }
	for i := range spots {
		for k := range steps {
			deep := spots[i].thickness + float64(k+1)*step(&spots[i])
			points = append(points, spots[i].at.Sub(spots[i].normal.Mul(deep)))
		}
	}
	s.Distances(points, distances)
	feet := make([]foot, len(spots))
	var out []mgl64.Vec3
	var of []int
	for i := range spots {
		for k := range steps {
			if distances[i*steps+k] > 0 {
				of, out = append(of, i), append(out, points[i*steps+k])
				break
			}
		}
	}
	// Halve the step before the place outside until Newton's steps are sure.
	for n := 2.0; n <= 1<<halvings; n *= 2 {
		s.Distances(out, distances)
		for k, i := range of {
			side := 1.0
			if distances[k] < 0 {
				side = -1
			}
			out[k] = out[k].Add(spots[i].normal.Mul(side * step(&spots[i]) / n))
		}
	}
	gradients := make([]mgl64.Vec3, len(out))
	for range footSteps {
		s.Gradients(out, distances, gradients)
		for k, i := range of {
			if along := gradients[k].Dot(spots[i].normal); along < 0 {
				out[k] = out[k].Sub(spots[i].normal.Mul(distances[k] / along))
				feet[i] = foot{out[k], gradients[k].Normalize()}
			}
		}
	}
	return feet
}

// feet returns the feet of the points near the surface that a lattice has, within
// reach mm of a place. Its columns along z stand irregularly, each somewhere in its
// own cell, so that none of the solid's edges can keep between them.
func (s fieldSurface) feet(ctx context.Context, place mgl64.Vec3, reach, spacing float64) ([]foot, error) {
	box := s.Bounds()
	side := tileSide * spacing
	var first, count [3]int
	for k := range count {
		lo, hi := max(box.Min[k], place[k]-reach)-band*spacing, min(box.Max[k], place[k]+reach)+band*spacing
		first[k] = int(math.Floor(lo / side))
		count[k] = int(math.Floor(hi/side)) + 1 - first[k]
	}
	rows := make([][]foot, count[0]*count[1])
	err := workers.Each(ctx, "surface points for walls", len(rows), func(row int) error {
		t := tiler{surface: s, spacing: spacing, place: place, reach: reach}
		for k := range count[2] {
			t.tile(first[0]+row%count[0], first[1]+row/count[0], first[2]+k)
		}
		rows[row] = t.feet
		return nil
	})
	return slices.Concat(rows...), err
}

// scattered returns where in its cell a column stands, in spacings: three numbers
// of 0 to 1 that look random (Steele, Lea, Flood, "Fast splittable pseudorandom
// number generators", OOPSLA 2014, doi 10.1145/2660193.2660195).
func scattered(column, row int) (in mgl64.Vec3) {
	state := uint64(int64(column))<<32 ^ uint64(uint32(row))
	for k := range in {
		state += 0x9e3779b97f4a7c15
		z := (state ^ state>>30) * 0xbf58476d1ce4e5b9
		z = (z ^ z>>27) * 0x94d049bb133111eb
		in[k] = float64((z^z>>31)>>11) / (1 << 53)
	}
	return in
}

// tiler takes the feet of one tile of the lattice after another.
type tiler struct {
	surface        fieldSurface
	spacing, reach float64
	place          mgl64.Vec3
	feet           []foot

	points, seeds, gradients []mgl64.Vec3
	distances                []float64
}

func (t *tiler) tile(column, row, layer int) {
	side, most := tileSide*t.spacing, band*t.spacing*t.surface.Lipschitz()
	at := mgl64.Vec3{float64(column), float64(row), float64(layer)}.Mul(side)
	lo, hi := t.surface.Range(field.Box{Min: at, Max: at.Add(mgl64.Vec3{side, side, side})})
	if lo > most || hi < -most {
		return
	}
	t.points = t.points[:0]
	for i := range tileSide {
		for k := range tileSide {
			stand := scattered(column*tileSide+i, row*tileSide+k)
			for level := range tileSide {
				cell := mgl64.Vec3{float64(i), float64(k), float64(level)}
				p := at.Add(cell.Add(stand).Mul(t.spacing))
				if p.Sub(t.place).Len() <= t.reach+t.spacing {
					t.points = append(t.points, p)
				}
			}
		}
	}
	t.sized(len(t.points))
	t.surface.Distances(t.points, t.distances)
	near := t.points[:0]
	for i, d := range t.distances {
		if math.Abs(d) <= most {
			near = append(near, t.points[i])
		}
	}
	t.descend(near)
}

func (t *tiler) sized(n int) {
	if cap(t.distances) < n {
		t.distances, t.gradients = make([]float64, n), make([]mgl64.Vec3, n)
	}
	t.distances, t.gradients = t.distances[:n], t.gradients[:n]
}

// descend takes the points that reach the surface within the band.
func (t *tiler) descend(moving []mgl64.Vec3) {
	t.seeds = append(t.seeds[:0], moving...)
	for range footSteps {
		if len(moving) == 0 {
			return
		}
		t.sized(len(moving))
		t.surface.Gradients(moving, t.distances, t.gradients)
		left := 0
		for i, p := range moving {
			square := t.gradients[i].Dot(t.gradients[i])
			if square == 0 {
				continue
			}
			way := t.gradients[i].Mul(-t.distances[i] / square)
			if way.Dot(way) < footAccuracy*footAccuracy {
				t.take(p, t.gradients[i].Mul(1/math.Sqrt(square)), t.seeds[i])
			} else if p = p.Add(way); p.Sub(t.seeds[i]).Len() <= band*t.spacing {
				moving[left], t.seeds[left] = p, t.seeds[i]
				left++
			}
		}
		moving = moving[:left]
	}
}

// squareToSurface is the least cosine between a seed's way to its foot and the
// normal there. It is less at an edge seen from outside, where there is no normal.
const squareToSurface = 0.98

func (t *tiler) take(at, normal, seed mgl64.Vec3) {
	way := seed.Sub(at)
	if length := way.Len(); length > 100*footAccuracy && math.Abs(way.Dot(normal)) < squareToSurface*length {
		return
	}
	if at.Sub(t.place).Len() <= t.reach {
		t.feet = append(t.feet, foot{at, normal})
	}
}

// area returns the foot's share: points of a lattice have it that lie in the band
// on both sides, or as deep as the wall lets them.
func (fieldSurface) area(s *spot, spacing float64) float64 {
	deep := band * spacing
	return spacing * spacing * spacing / (deep + min(deep, s.thickness/2))
}
