package crossing

import (
	"context"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// rationalOrient3d is the determinant in exact fractions.
func rationalOrient3d(a, b, c, d mgl64.Vec3) int {
	var m [3][3]*big.Rat
	for i, p := range []mgl64.Vec3{b, c, d} {
		for k := range 3 {
			m[i][k] = new(big.Rat).Sub(new(big.Rat).SetFloat64(p[k]), new(big.Rat).SetFloat64(a[k]))
		}
	}
	det := new(big.Rat)
	for k := range 3 {
		x, y := (k+1)%3, (k+2)%3
		minor := new(big.Rat).Sub(new(big.Rat).Mul(m[1][x], m[2][y]), new(big.Rat).Mul(m[1][y], m[2][x]))
		det.Add(det, minor.Mul(minor, m[0][k]))
	}
	return det.Sign()
}

func rationalOrient2d(a, b, c mgl64.Vec3) int {
	r := func(p, q mgl64.Vec3, k int) *big.Rat {
		return new(big.Rat).Sub(new(big.Rat).SetFloat64(p[k]), new(big.Rat).SetFloat64(q[k]))
	}
	left, right := r(a, c, 0), r(a, c, 1)
	return left.Mul(left, r(b, c, 1)).Cmp(right.Mul(right, r(b, c, 0)))
}

// awkwardPoint draws points that lie on common planes and lines more often than
// not, at sizes from the smallest float64 to the greatest.
func awkwardPoint() *rapid.Generator[mgl64.Vec3] {
	number := rapid.OneOf(
		rapid.Map(rapid.IntRange(-3, 3), func(i int) float64 { return float64(i) }),
		rapid.Map(rapid.IntRange(-3, 3), func(i int) float64 { return 0.1 * float64(i) }),
		rapid.Map(rapid.IntRange(-2, 2), func(i int) float64 { return 12 + float64(i)*0x1p-49 }),
		rapid.Map(rapid.Float32Range(-100, 100), func(x float32) float64 { return float64(x) }),
		rapid.SampledFrom([]float64{5e-324, -5e-324, 1e-310, 1e-150, 1e150, -1e300, math.MaxFloat64, -math.MaxFloat64}),
	)
	return rapid.Custom(func(t *rapid.T) mgl64.Vec3 {
		return mgl64.Vec3{number.Draw(t, "x"), number.Draw(t, "y"), number.Draw(t, "z")}
	})
}

func TestOrientationIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p [4]mgl64.Vec3
		for i := range p {
			p[i] = awkwardPoint().Draw(t, fmt.Sprint("p", i))
		}
		if rapid.Bool().Draw(t, "d near the plane") { // as float64 rounds it
			s, u := rapid.Float64Range(-2, 2).Draw(t, "s"), rapid.Float64Range(-2, 2).Draw(t, "u")
			p[3] = p[0].Add(p[1].Sub(p[0]).Mul(s)).Add(p[2].Sub(p[0]).Mul(u))
			if !IsFinite(p[3]) {
				t.Skip("beyond float64")
			}
		}
		require.Equal(t, rationalOrient3d(p[0], p[1], p[2], p[3]), orient3d(&p[0], &p[1], &p[2], &p[3]))
		require.Equal(t, rationalOrient3d(p[0], p[1], p[2], p[3]), orient3dIntegers(&p[0], &p[1], &p[2], &p[3]))
		require.Equal(t, rationalOrient2d(p[0], p[1], p[2]), orient2d(&p[0], &p[1], &p[2], 0, 1))
	})
}

// apartOnAxis reports whether the two sets of integer points lie strictly apart
// along the axis.
func apartOnAxis(axis [3]int, s, t [][3]int) bool {
	span := func(points [][3]int) (lo, hi int) {
		lo, hi = math.MaxInt, math.MinInt
		for _, p := range points {
			d := p[0]*axis[0] + p[1]*axis[1] + p[2]*axis[2]
			lo, hi = min(lo, d), max(hi, d)
		}
		return lo, hi
	}
	sLo, sHi := span(s)
	tLo, tHi := span(t)
	return sHi < tLo || tHi < sLo
}

func crossInt(a, b [3]int) [3]int {
	return [3]int{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// meetBySeparatingAxes decides whether two convex sets (segments or triangles)
// with integer corners meet, by the separating axis theorem.
func meetBySeparatingAxes(s, t [][3]int) bool {
	edges := func(points [][3]int) (out [][3]int) {
		for i, p := range points {
			q := points[(i+1)%len(points)]
			out = append(out, [3]int{q[0] - p[0], q[1] - p[1], q[2] - p[2]})
		}
		return out
	}
	all := slices.Concat(edges(s), edges(t))
	var axes [][3]int
	for i := range all {
		for k := range all {
			normal := crossInt(all[i], all[k])
			axes = append(axes, normal)
			for _, e := range all { // for sets in one plane
				axes = append(axes, crossInt(normal, e))
			}
		}
	}
	for _, axis := range axes {
		if apartOnAxis(axis, s, t) {
			return false
		}
	}
	return true
}

func TestTrianglesCrossAsSeparatingAxesSay(t *testing.T) {
	// Corners on a small lattice: most pairs touch, share a plane or a line.
	const trials = 60000
	random := rand.New(rand.NewPCG(1, 2))
	var crossing, apart [3]int
	for range trials {
		size := 2 + random.IntN(5)
		point := func() [3]int { return [3]int{random.IntN(size), random.IntN(size), random.IntN(size)} }
		shared := random.IntN(3)
		s := [][3]int{point(), point(), point()}
		u := [][3]int{point(), point(), point()}
		copy(u, s[:shared])
		triangles := [][3]int32{{0, 1, 2}, {3, 4, 5}}
		var vertices []mgl64.Vec3
		for _, p := range slices.Concat(s, u) {
			vertices = append(vertices, mgl64.Vec3{float64(p[0]), float64(p[1]), float64(p[2])})
		}
		for i := range shared {
			triangles[1][i] = int32(i)
		}
		turn := int32(random.IntN(3)) // any corner may be the shared one
		triangles[1] = [3]int32{triangles[1][turn], triangles[1][(turn+1)%3], triangles[1][(turn+2)%3]}
		if !Usable(vertices, triangles[0]) || !Usable(vertices, triangles[1]) {
			continue
		}
		var want bool
		switch shared {
		case 0:
			want = meetBySeparatingAxes(s, u)
		case 1:
			want = meetBySeparatingAxes(s[1:], u) || meetBySeparatingAxes(u[1:], s)
		case 2: // the sides that begin on the shared edge, but not the edge itself
			want = sameHalfPlane(s[0], s[1], s[2], u[2])
		}
		got := Cross(vertices, triangles[0], triangles[1])
		require.Equal(t, want, got, "%v and %v share %d", s, u, shared)
		if got {
			crossing[shared]++
		} else {
			apart[shared]++
		}
	}
	for shared := range 3 {
		assert.Greater(t, crossing[shared], 100, "with %d shared", shared)
		assert.Greater(t, apart[shared], 100, "with %d shared", shared)
	}
}

// sameHalfPlane reports whether p and q lie in one half plane that ends at u v.
func sameHalfPlane(u, v, p, q [3]int) bool {
	sub := func(a, b [3]int) [3]int { return [3]int{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
	np, nq := crossInt(sub(v, u), sub(p, u)), crossInt(sub(v, u), sub(q, u))
	dot := np[0]*nq[0] + np[1]*nq[1] + np[2]*nq[2]
	return crossInt(np, nq) == [3]int{} && dot > 0
}

// scatteredTriangles returns triangles of about the given size in a box.
func scatteredTriangles(random *rand.Rand, count int, size float64) (vertices []mgl64.Vec3, triangles [][3]int32) {
	for range count {
		centre := mgl64.Vec3{random.Float64() * 20, random.Float64() * 20, random.Float64() * 20}
		if random.IntN(2) == 0 {
			centre[2] = 7 // many in one plane
		}
		first := int32(len(vertices))
		for range 3 {
			p := centre.Add(mgl64.Vec3{random.NormFloat64(), random.NormFloat64(), random.NormFloat64() * float64(random.IntN(2))}.Mul(size))
			vertices = append(vertices, p)
		}
		triangles = append(triangles, [3]int32{first, first + 1, first + 2})
	}
	return vertices, triangles
}

func TestPairsAreThoseOfAllPairs(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, count := range []int{0, 1, 2, 5, 100, 1500} {
		vertices, triangles := scatteredTriangles(random, count, 0.8)
		var want [][2]int32
		for i := range triangles {
			for k := i + 1; k < len(triangles); k++ {
				if Cross(vertices, triangles[i], triangles[k]) {
					want = append(want, [2]int32{int32(i), int32(k)})
				}
			}
		}
		got, err := Pairs(context.Background(), vertices, triangles, 0)
		require.NoError(t, err)
		require.Equal(t, len(want), len(got))
		require.True(t, slices.Equal(want, got))
		if count == 1500 {
			require.Greater(t, len(got), 100)
		}
	}
}

func TestPairsAreTheSameOnAnyNumberOfCores(t *testing.T) {
	vertices, triangles := scatteredTriangles(rand.New(rand.NewPCG(5, 6)), 6000, 0.6)
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	for _, limit := range []int{0, 1, 7, 100} {
		runtime.GOMAXPROCS(1)
		alone, err := Pairs(context.Background(), vertices, triangles, limit)
		require.NoError(t, err)
		runtime.GOMAXPROCS(8)
		for range 5 {
			together, err := Pairs(context.Background(), vertices, triangles, limit)
			require.NoError(t, err)
			require.Equal(t, alone, together)
		}
		if limit > 0 {
			require.Len(t, alone, limit)
		}
	}
}

func TestPairsStopWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	vertices, triangles := scatteredTriangles(rand.New(rand.NewPCG(7, 8)), 100, 1)
	_, err := Pairs(ctx, vertices, triangles, 0)
	assert.ErrorIs(t, err, context.Canceled)
}
