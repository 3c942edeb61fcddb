package mould

import (
	"errors"
	"fmt"

	"earframe/units"
)

// Mix says how much of what is mixed for one part, or for all of them.
type Mix struct {
	Name        string  // of the part; "all" for the whole set
	CavityML    float64 // of the casts
	PourML      float64 // with funnels and vents
	MixedML     float64 // with the spare
	Ingredients []Portion
}

// Portion is the volume of one ingredient.
type Portion struct {
	Name string
	ML   float64
}

// WholeSet is the name of the mix table's last row.
const WholeSet = "all"

// MixTable returns what to mix for each mould, and for all of them in the last
// row, in shares by volume and with the spare. The volumes of the ingredients add
// up to the mixed volume: what a powder loses between the grains of another is
// not taken off. It is an error if a share is not positive or the spare is less
// than 0.
//
// Silicone : cornstarch 2 : 1 is published for practice casts of ribs 6 to 9
// (PMC7380086, 2020).
func MixTable(casting units.Casting, moulds []*Mould) ([]Mix, error) {
	var shares float64
	for _, in := range casting.Mix {
		if !(in.Share > 0) || !finite(in.Share) {
			return nil, fmt.Errorf("casting.mix: the share of %s is %g, a positive one needed", in.Name, in.Share)
		}
		shares += in.Share
	}
	if shares == 0 {
		return nil, errors.New("casting.mix names no ingredient")
	}
	if !(casting.Spare >= 0) || !finite(casting.Spare) {
		return nil, fmt.Errorf("casting.spare is %g percent, 0 or more needed", 100*casting.Spare)
	}
	row := func(name string, cavity, pour float64) Mix {
		m := Mix{Name: name, CavityML: cavity, PourML: pour, MixedML: pour * (1 + casting.Spare)}
		for _, in := range casting.Mix {
			m.Ingredients = append(m.Ingredients, Portion{in.Name, m.MixedML * in.Share / shares})
		}
		return m
	}
	var table []Mix
	var cavity, pour float64
	for _, m := range moulds {
		table = append(table, row(m.Name, m.CavityML, m.PourML()))
		cavity, pour = cavity+m.CavityML, pour+m.PourML()
	}
	return append(table, row(WholeSet, cavity, pour)), nil
}
