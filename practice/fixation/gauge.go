package fixation

import (
	"fmt"
	"math"
	"strconv"
)

// Gauge is a step of a wire gauge scale.
type Gauge struct {
	Number   string  // as it is written: 38, 0, 2/0
	Diameter float64 // that the number stands for
}

// Gauges is a wire's diameter with the nearest step of both gauge scales in use.
// The same number means different wires on the two: 38 is 0.10 mm on one and
// 0.15 mm on the other.
type Gauges struct {
	Diameter float64
	AWG      Gauge // American wire gauge, Brown & Sharpe: ASTM B258
	SWG      Gauge // British standard wire gauge: BS 3737
	Text     string
}

// NearestGauges returns the steps of both scales that are nearest to a diameter
// in mm, with a text that says which scale is which.
func NearestGauges(diameter float64) Gauges {
	g := Gauges{
		Diameter: diameter,
		AWG:      nearest(diameter, thickestAWG, thinnestAWG, AWG),
		SWG: nearest(diameter, 0, len(swgInches)-1,
			func(i int) float64 { return swgInches[i] * millimetresPerInch }),
	}
	g.AWG.Number = gaugeName(g.AWG.Number)
	i, _ := strconv.Atoi(g.SWG.Number)
	g.SWG.Number = gaugeName(strconv.Itoa(i + thickestSWG))
	g.Text = fmt.Sprintf("wire of %g mm: nearest %s gauge AWG (Brown & Sharpe), %.3f mm; nearest %s gauge SWG, %.3f "+
		"mm. ",
		diameter, g.AWG.Number, g.AWG.Diameter, g.SWG.Number, g.SWG.Diameter)
	if other, ok := SWG(g.AWG.Number); ok {
		g.Text += fmt.Sprintf("%s gauge on the SWG scale is %.3f mm: order by the diameter", g.AWG.Number, other)
	} else {
		g.Text += "Order by the diameter"
	}
	return g
}

const millimetresPerInch = 25.4

// The scales run from 7/0 (-6) or 4/0 (-3) to their thinnest number.
const (
	thickestAWG = -3
	thinnestAWG = 56 // the last one in ASTM B258's table, from memory
	thickestSWG = -6
)

// AWG returns the diameter in mm of an American wire gauge number; -3 stands
// for 4/0. It is ASTM B258's formula: 0.005 in × 92^((36 - n)/39).
func AWG(n int) float64 {
	return 0.005 * math.Pow(92, float64(36-n)/39) * millimetresPerInch
}

// SWG returns the diameter in mm of a British standard wire gauge number,
// written as 38 or 2/0: the table of BS 3737. ok is false for a number that is
// not in it.
func SWG(number string) (diameter float64, ok bool) {
	for i, inches := range swgInches {
		if gaugeName(strconv.Itoa(i+thickestSWG)) == number {
			return inches * millimetresPerInch, true
		}
	}
	return 0, false
}

// swgInches are the diameters of 7/0 to 50 in inches: BS 3737, as GNU units
// gives them (brwiregauge, its corners; between those the table is even).
var swgInches = []float64{
	0.500, 0.464, 0.432, 0.400, 0.372, 0.348, 0.324, // 7/0 to 0
	0.300, 0.276, 0.252, 0.232, 0.212, 0.192, 0.176, 0.160, 0.144, 0.128, // 1 to 10
	0.116, 0.104, 0.092, 0.080, 0.072, 0.064, 0.056, 0.048, 0.040, 0.036, // 11 to 20
	0.032, 0.028, 0.024, 0.022, 0.020, 0.018, 0.0164, 0.0148, 0.0136, 0.0124, // 21 to 30
	0.0116, 0.0108, 0.0100, 0.0092, 0.0084, 0.0076, 0.0068, 0.0060, 0.0052, 0.0048, // 31 to 40
	0.0044, 0.0040, 0.0036, 0.0032, 0.0028, 0.0024, 0.0020, 0.0016, 0.0012, 0.0010, // 41 to 50
}

// nearest returns the step whose diameter differs least from the one given.
func nearest(diameter float64, first, last int, of func(n int) float64) Gauge {
	best, least := first, math.Inf(1)
	for n := first; n <= last; n++ {
		if d := math.Abs(of(n) - diameter); d < least {
			best, least = n, d
		}
	}
	return Gauge{strconv.Itoa(best), of(best)}
}

// gaugeName writes numbers below 0 as they are spoken: -1 is 2/0.
func gaugeName(number string) string {
	if n, err := strconv.Atoi(number); err == nil && n < 0 {
		return strconv.Itoa(1-n) + "/0"
	}
	return number
}
