package practice

import "math"

// Join is the cut along which a unit that comes out of the cartilage in two parts
// is wired together again, before it is laid on its neighbours. Its fixations are
// counted as on any seam; they have no numbers, since they go from edge to edge.
type Join struct {
	Unit   string
	Label  string
	Length float64
	Count  int
	WireMM float64
}

// joins returns the cuts that the budget had to make. A loop goes through both
// parts half a spacing from the cut and back: twice the spacing and the thickness
// besides the allowance (earframe's own choice).
func (s *Set) joins() []Join {
	plan := s.Framework.Plan
	f := plan.Practice.Fixation
	var all []Join
	for _, u := range s.Budget.Units {
		unit := plan.Unit(u.Unit)
		if u.Taken < 0 || unit == nil || u.Alternatives[u.Taken].Length <= 0 {
			continue
		}
		j := Join{Unit: u.Unit, Label: u.Label, Length: u.Alternatives[u.Taken].Length}
		j.Count = int(math.Max(1, math.Round(j.Length/f.Spacing)))
		j.WireMM = float64(j.Count) * (f.Allowance + 2*(f.Spacing+unit.Thickness))
		all = append(all, j)
	}
	return all
}
