package units

import (
	"math"

	"earframe/field"
	"earframe/units/centreline"
)

// Defaults of the helix's profile.
const (
	crusFloor   = 1.0  // mm of the conchal vault left under the end of the crus
	crusDip     = 1.0  // mm below the base frame's underside, without a vault
	crusLevel   = 0.35 // share of the crus that lies level in its notch
	tailBegins  = 0.88 // where the rim begins to come down
	tailDrop    = 1.0  // mm that the tail is let into the base frame
	rootEarly   = 0.08 // the root is nowhere nearer to the end of the crus
	rootLate    = 0.45 // nor farther from it
	rootSettled = 0.06 // share of the length over which the root stays on the base
)

// helixProfile returns the default rise of a helix: its crus lies in the
// concha, dipping beneath the base frame's underside, climbs from there to the
// root, where the base frame begins to carry it, follows the rim level on the
// base, and its tail is let down into it. A helix that lies on the base from its
// very end, with no opening for the crus, is let in there as at its tail.
func helixProfile(line *centreline.Line, base []*field.Region, floor, top float64) []RisePoint {
	root, opening := rootOf(line, base)
	if !opening {
		floor = top - tailDrop // nowhere to dip: the crus is let in like the tail
	}
	round := func(x float64) float64 { return math.Round(x*100) / 100 }
	return []RisePoint{
		{0, round(floor)},
		{round(root * crusLevel), round(floor)},
		{round(root), round(top)},
		{tailBegins, round(top)},
		{1, round(top - tailDrop)},
	}
}

// rootOf returns the fraction of the centreline from which on it lies on the
// base, and whether it begins off the base.
func rootOf(line *centreline.Line, base []*field.Region) (root float64, opening bool) {
	const divisions = 200
	for i := range divisions {
		f := float64(i) / divisions
		carried := true
		for g := f; g <= f+rootSettled; g += 1.0 / divisions {
			if distanceTo(base, line, g) > 0 {
				carried = false
				break
			}
		}
		if carried {
			return math.Min(math.Max(f, rootEarly), rootLate), i > 0
		}
	}
	return rootEarly, true
}

func distanceTo(regions []*field.Region, line *centreline.Line, fraction float64) float64 {
	least := math.Inf(1)
	for _, region := range regions {
		least = math.Min(least, region.Distance(line.At(fraction)))
	}
	return least
}

// limited returns a default length that is at most half the thickness, and what to
// say of it.
func limited(length, thickness float64) (float64, string) {
	if length <= thickness/2 {
		return length, ""
	}
	return thickness / 2, "limited to half the thickness"
}
