package casefile

import (
	"fmt"
	"slices"
	"strings"
)

// Material is what is carved and bent.
type Material struct {
	Name   string
	Label  string  // in a sentence
	Strain float64 // percent at which it is taken to break
	Source string
}

// The materials known.
const (
	Silicone       = "silicone"
	YoungCartilage = "young"
	OldCartilage   = "old"
)

// Materials returns the materials known, with the strain at which each is taken to
// break. No published strain at break of costal cartilage, nor of the mix, was seen.
//
// A silicone rubber of 50 Shore A breaks at 550 percent (a maker's data sheet; soft
// casting silicones at up to 960, sealants at 100 to 2000: Handbook of Adhesive
// Technology). A third of filler by volume, as in the mix of 2 to 1, leaves 1 - φ^⅓ =
// 0.31 of it (Nielsen 1966); half of that is kept for air and lumps: 84.
func Materials() []Material {
	const yamada = "end of the elongation of %s costal cartilage, %s percent, from memory (Yamada 1970)"
	return []Material{
		{Silicone, "silicone mix", 80, "half of what a third of filler leaves of a silicone rubber's 550 percent (a " +
			"maker's data sheet; 1 - φ^⅓ after Nielsen 1966, from memory); the mix itself was not measured"},
		{YoungCartilage, "young cartilage", 25, "lower " + fmt.Sprintf(yamada, "young", "25 to 30")},
		{OldCartilage, "old cartilage", 10, "lower " + fmt.Sprintf(yamada, "old", "10 to 15")},
	}
}

// MaterialOf returns the material of that name, which must be one of Materials.
func MaterialOf(name string) Material {
	all := Materials()
	return all[slices.IndexFunc(all, func(m Material) bool { return m.Name == name })]
}

// strainLimits says the materials' strains in words.
func strainLimits() string {
	var words []string
	for _, m := range Materials() {
		words = append(words, m.Label+" "+Plain(m.Strain))
	}
	return strings.Join(words, ", ")
}
