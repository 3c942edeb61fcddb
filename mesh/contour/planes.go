package contour

import (
	"math"
	"slices"

	"earframe/mesh"
)

// evenPlanes returns planes a step apart from first to last or just beyond.
func evenPlanes(first, last, step float64) []float64 {
	planes := []float64{mesh.Representable(first)}
	for i := 1; planes[i-1] < last; i++ {
		planes = append(planes, mesh.Representable(first+float64(i)*step))
	}
	return planes
}

// wholeBlocks goes on with planes a step apart until they fill whole blocks.
func wholeBlocks(planes []float64, step float64) []float64 {
	last := len(planes) - 1
	for i := 1; len(planes)%blockSide != 0; i++ {
		planes = append(planes, mesh.Representable(planes[last]+float64(i)*step))
	}
	return planes
}

// clearOfLevels returns how far, below one step, to move the first sampling
// plane down so that all planes keep as far as they can from the level faces.
func clearOfLevels(first, step float64, levels []float64) float64 {
	if len(levels) == 0 {
		return 0
	}
	phases := make([]float64, len(levels))
	for i, z := range levels {
		phase := math.Mod(z-first, step) / step
		if phase < 0 {
			phase++
		}
		phases[i] = phase
	}
	middle := middleOfWidestGap(phases)
	return (1 - middle) * step
}

// middleOfWidestGap returns the middle, in [0, 1), of the widest gap between
// the phases on a circle of circumference 1.
func middleOfWidestGap(phases []float64) float64 {
	slices.Sort(phases)
	widest, middle := -1.0, 0.0
	for i, p := range phases {
		next := phases[0] + 1
		if i+1 < len(phases) {
			next = phases[i+1]
		}
		if next-p > widest {
			widest, middle = next-p, (p+next)/2
		}
	}
	if middle >= 1 {
		middle--
	}
	return middle
}
