package crossing

import (
	"math"
	"math/big"

	"github.com/go-gl/mathgl/mgl64"
)

// Signs that decide whether triangles cross must be right, not nearly right.
// Each predicate below computes its determinant in float64, trusts the sign
// where it exceeds the rounding error, and otherwise computes it exactly: with
// expansions where every coordinate difference is exact, else with integers.
//
// Error bounds and expansion arithmetic: Shewchuk, "Adaptive precision
// floating-point arithmetic and fast robust geometric predicates", 1997.

const (
	// halfUlp is half the distance from 1 to the next float64.
	halfUlp = 1.0 / (1 << 53)

	// orient3dBound times the permanent bounds the error of the determinant
	// of three rounded differences (Shewchuk, o3derrboundA).
	orient3dBound = (7 + 56*halfUlp) * halfUlp

	// orient2dBound is the same in the plane (ccwerrboundA).
	orient2dBound = (3 + 16*halfUlp) * halfUlp

	// leastPermanent is where underflow could spoil the bound; expansions keep
	// their tails exact when every factor lies between leastFactor and
	// greatestFactor in size.
	leastPermanent = 1e-200
	leastFactor    = 1e-60
	greatestFactor = 1e60
)

// orient3d returns the sign of the volume of the tetrahedron a, b, c, d: +1
// where a, b, c turn counter-clockwise seen from d, 0 where the four points lie
// in one plane. It is exact for all finite coordinates.
func orient3d(a, b, c, d *mgl64.Vec3) int {
	ax, bx, cx := a[0]-d[0], b[0]-d[0], c[0]-d[0]
	ay, by, cy := a[1]-d[1], b[1]-d[1], c[1]-d[1]
	az, bz, cz := a[2]-d[2], b[2]-d[2], c[2]-d[2]
	if (ax == 0 && bx == 0 && cx == 0) || (ay == 0 && by == 0 && cy == 0) || (az == 0 && bz == 0 && cz == 0) {
		return 0
	}
	bxcy, cxby := bx*cy, cx*by
	cxay, axcy := cx*ay, ax*cy
	axby, bxay := ax*by, bx*ay
	det := az*(bxcy-cxby) + bz*(cxay-axcy) + cz*(axby-bxay)
	permanent := (math.Abs(bxcy)+math.Abs(cxby))*math.Abs(az) +
		(math.Abs(cxay)+math.Abs(axcy))*math.Abs(bz) +
		(math.Abs(axby)+math.Abs(bxay))*math.Abs(cz)
	if bound := orient3dBound * permanent; permanent > leastPermanent && math.Abs(det) > bound {
		return signOf(-det)
	}
	differences := [9]float64{ax, bx, cx, ay, by, cy, az, bz, cz}
	exact := true
	for k := range 3 {
		exact = exact && isExactDifference(a[k], d[k], differences[3*k]) &&
			isExactDifference(b[k], d[k], differences[3*k+1]) &&
			isExactDifference(c[k], d[k], differences[3*k+2])
	}
	if exact && inExpansionRange(differences[:]) {
		return -orient3dExpansion(&differences)
	}
	return orient3dIntegers(a, b, c, d)
}

// orient3dExpansion returns the sign of the determinant of exact differences
// given row by row.
func orient3dExpansion(m *[9]float64) int {
	ax, bx, cx, ay, by, cy, az, bz, cz := m[0], m[1], m[2], m[3], m[4], m[5], m[6], m[7], m[8]
	var storage [6][24]float64
	minor := func(store []float64, p, q, r, s, factor float64) []float64 {
		four := twoProductsDifference(p, q, r, s)
		return scaleExpansion(store[:0], four[:], factor)
	}
	one := minor(storage[0][:], bx, cy, cx, by, az)
	two := minor(storage[1][:], cx, ay, ax, cy, bz)
	three := minor(storage[2][:], ax, by, bx, ay, cz)
	sum := addExpansions(storage[3][:0], one, two)
	sum = addExpansions(storage[4][:0], sum, three)
	return expansionSign(sum)
}

// orient3dIntegers scales the coordinates to integers and takes the determinant
// of those.
func orient3dIntegers(a, b, c, d *mgl64.Vec3) int {
	n := scaledIntegers(a[:], b[:], c[:], d[:])
	diff := func(point, k int) *big.Int { return new(big.Int).Sub(n[3*point+k], n[9+k]) }
	minor := func(i, j int) *big.Int { // of x and y
		left := diff(i, 0)
		left.Mul(left, diff(j, 1))
		right := diff(j, 0)
		right.Mul(right, diff(i, 1))
		return left.Sub(left, right)
	}
	det := new(big.Int)
	for k := range 3 {
		term := minor((k+1)%3, (k+2)%3)
		det.Add(det, term.Mul(term, diff(k, 2)))
	}
	return -det.Sign()
}

// orient2d returns +1 where a, b, c turn counter-clockwise in the plane of the
// axes x and y, 0 where they lie on one line. It is exact for all finite
// coordinates.
func orient2d(a, b, c *mgl64.Vec3, x, y int) int {
	ax, ay := a[x]-c[x], a[y]-c[y]
	bx, by := b[x]-c[x], b[y]-c[y]
	if (ax == 0 && bx == 0) || (ay == 0 && by == 0) || (ax == 0 && ay == 0) || (bx == 0 && by == 0) {
		return 0
	}
	left, right := ax*by, ay*bx
	det := left - right
	permanent := math.Abs(left) + math.Abs(right)
	if bound := orient2dBound * permanent; permanent > leastPermanent && math.Abs(det) > bound {
		return signOf(det)
	}
	if isExactDifference(a[x], c[x], ax) && isExactDifference(a[y], c[y], ay) &&
		isExactDifference(b[x], c[x], bx) && isExactDifference(b[y], c[y], by) &&
		inExpansionRange([]float64{ax, ay, bx, by}) {
		four := twoProductsDifference(ax, by, ay, bx)
		return expansionSign(four[:])
	}
	n := scaledIntegers([]float64{a[x], a[y], b[x], b[y], c[x], c[y]})
	for i := range 4 {
		n[i].Sub(n[i], n[4+i%2])
	}
	return n[0].Mul(n[0], n[3]).Cmp(n[1].Mul(n[1], n[2]))
}

func signOf(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// isExactDifference reports whether difference is a - b without rounding.
func isExactDifference(a, b, difference float64) bool {
	virtualB := a - difference
	virtualA := difference + virtualB
	return virtualB-b == 0 && a-virtualA == 0
}

func inExpansionRange(factors []float64) bool {
	for _, x := range factors {
		if size := math.Abs(x); size != 0 && !(size > leastFactor && size < greatestFactor) {
			return false
		}
	}
	return true
}

// twoSum returns the rounded sum and the rounding error.
func twoSum(a, b float64) (sum, tail float64) {
	sum = a + b
	virtual := sum - a
	return sum, (a - (sum - virtual)) + (b - virtual)
}

// twoProduct returns the rounded product and the rounding error.
func twoProduct(a, b float64) (product, tail float64) {
	product = a * b
	return product, math.FMA(a, b, -product)
}

// twoProductsDifference returns p·q - r·s as an expansion, least part first.
func twoProductsDifference(p, q, r, s float64) [4]float64 {
	left, leftTail := twoProduct(p, q)
	right, rightTail := twoProduct(r, s)
	var out [4]float64
	var carry, middle float64
	carry, out[0] = twoSum(leftTail, -rightTail)
	carry, middle = twoSum(left, carry)
	middle, out[1] = twoSum(middle, -right)
	out[3], out[2] = twoSum(carry, middle)
	return out
}

// scaleExpansion appends factor times the expansion to out.
func scaleExpansion(out, expansion []float64, factor float64) []float64 {
	carry, tail := twoProduct(expansion[0], factor)
	out = append(out, tail)
	for _, part := range expansion[1:] {
		product, productTail := twoProduct(part, factor)
		sum, tail := twoSum(carry, productTail)
		out = append(out, tail)
		carry, tail = twoSum(product, sum)
		out = append(out, tail)
	}
	return append(out, carry)
}

// addExpansions appends the sum of two expansions to out, part by part.
func addExpansions(out, e, f []float64) []float64 {
	out = append(out, e...)
	for _, part := range f {
		carry := part
		for i := range out {
			carry, out[i] = twoSum(out[i], carry)
		}
		out = append(out, carry)
	}
	return out
}

// expansionSign returns the sign of the greatest part that is not zero.
func expansionSign(expansion []float64) int {
	for i := len(expansion) - 1; i >= 0; i-- {
		if expansion[i] != 0 {
			return signOf(expansion[i])
		}
	}
	return 0
}

// scaledIntegers returns the coordinates times one power of two that makes all
// of them integers.
func scaledIntegers(points ...[]float64) []*big.Int {
	const mantissaBits = 53
	least := math.MaxInt
	for _, point := range points {
		for _, x := range point {
			if x != 0 {
				_, exponent := math.Frexp(x)
				least = min(least, exponent-mantissaBits)
			}
		}
	}
	var out []*big.Int
	for _, point := range points {
		for _, x := range point {
			fraction, exponent := math.Frexp(x)
			n := big.NewInt(int64(math.Ldexp(fraction, mantissaBits)))
			if x != 0 {
				n.Lsh(n, uint(exponent-mantissaBits-least))
			}
			out = append(out, n)
		}
	}
	return out
}
