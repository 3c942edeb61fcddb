package assemble_test

import (
	"math"
	"math/rand/v2"
	"slices"

	"earframe/field"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// feet returns how far each place is from the field's surface, at the most: the
// length of a walk along the gradient that ends where the field is zero. A walk
// need not end at the nearest place of the surface; where it ends beyond
// surfaceBound, walks from places round it are tried too.
func feet(f field.Field, places []mgl64.Vec3) []float64 {
	away := walks(f, places, places)
	const tries = 200
	random := rand.New(rand.NewPCG(1, 1))
	for i, p := range places {
		if away[i] <= surfaceBound {
			continue
		}
		starts, ends := make([]mgl64.Vec3, tries), make([]mgl64.Vec3, tries)
		for k := range starts {
			ends[k] = p
			starts[k] = p.Add(mgl64.Vec3{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}.Mul(surfaceBound))
		}
		away[i] = min(away[i], slices.Min(walks(f, starts, ends)))
	}
	return away
}

// walks walks from each start to the field's surface and returns how far its end
// is from the place of the same index, +Inf if it did not get there.
func walks(f field.Field, starts, places []mgl64.Vec3) []float64 {
	const rounds, arrived = 30, 1e-5 // mm
	away := make([]float64, len(starts))
	walking := make([]int, len(starts))
	walked := slices.Clone(starts)
	for i := range walking {
		walking[i], away[i] = i, math.Inf(1)
	}
	for range rounds {
		out, gradient := make([]float64, len(walked)), make([]mgl64.Vec3, len(walked))
		f.Gradients(walked, out, gradient)
		left := 0
		for k, i := range walking {
			if math.Abs(out[k]) <= arrived {
				away[i] = walked[k].Sub(places[i]).Len()
				continue
			}
			walking[left], walked[left] = i, walked[k].Sub(gradient[k].Mul(out[k]/gradient[k].LenSqr()))
			left++
		}
		walking, walked = walking[:left], walked[:left]
	}
	return away
}

func largest(values []float64) (at int, value float64) {
	for i, v := range values {
		if v > value {
			at, value = i, v
		}
	}
	return at, value
}

// rms returns the root of the mean square.
func rms(values []float64) float64 {
	square := 0.0
	for _, v := range values {
		square += v * v
	}
	return math.Sqrt(square / float64(len(values)))
}

// farthest is how far from a sample the mesh is searched, mm; a sample that has
// nothing nearer is that far away.
const farthest = 0.6

// distances returns how far each sample is from the mesh. The samples are sorted
// into a grid and each triangle looks for those near it.
func (r exactReference) distances(m *mesh.Mesh) []float64 {
	const cell = 0.6 // mm
	cellOf := func(p mgl64.Vec3) [3]int {
		return [3]int{int(math.Floor(p[0] / cell)), int(math.Floor(p[1] / cell)), int(math.Floor(p[2] / cell))}
	}
	grid := map[[3]int][]int{}
	places := make([]mgl64.Vec3, len(r.Samples))
	squares := make([]float64, len(r.Samples))
	for i, s := range r.Samples {
		places[i] = mgl64.Vec3{s[0], s[1], s[2]}
		squares[i] = farthest * farthest
		grid[cellOf(places[i])] = append(grid[cellOf(places[i])], i)
	}
	for _, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		var low, high mgl64.Vec3
		for k := range low {
			low[k] = min(a[k], b[k], c[k]) - farthest
			high[k] = max(a[k], b[k], c[k]) + farthest
		}
		from, to := cellOf(low), cellOf(high)
		for x := from[0]; x <= to[0]; x++ {
			for y := from[1]; y <= to[1]; y++ {
				for z := from[2]; z <= to[2]; z++ {
					for _, i := range grid[[3]int{x, y, z}] {
						if boxSquare(places[i], low, high) < squares[i] {
							squares[i] = min(squares[i], triangleSquare(places[i], a, b, c))
						}
					}
				}
			}
		}
	}
	for i, s := range squares {
		squares[i] = math.Sqrt(s)
	}
	return squares
}

// boxSquare returns a lower bound of the squared distance to what the box, grown
// by farthest, was made of.
func boxSquare(p, low, high mgl64.Vec3) float64 {
	square := 0.0
	for k := range p {
		d := max(low[k]+farthest-p[k], p[k]-high[k]+farthest, 0)
		square += d * d
	}
	return square
}

// triangleSquare returns the squared distance of p from the triangle: from its
// plane where the foot is inside, else from the nearest side.
func triangleSquare(p, a, b, c mgl64.Vec3) float64 {
	normal := b.Sub(a).Cross(c.Sub(a))
	inside := true
	least := math.Inf(1)
	corners := [3]mgl64.Vec3{a, b, c}
	for k, from := range corners {
		along := corners[(k+1)%3].Sub(from)
		out := p.Sub(from)
		if along.Cross(out).Dot(normal) < 0 {
			inside = false
		}
		share := math.Min(math.Max(out.Dot(along)/along.LenSqr(), 0), 1)
		least = math.Min(least, out.Sub(along.Mul(share)).LenSqr())
	}
	if inside {
		height := p.Sub(a).Dot(normal)
		return math.Min(least, height*height/normal.LenSqr())
	}
	return least
}
