package budget

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"earframe/units"
	"earframe/units/casefile"
)

func checkInput(plan *units.Plan, stocks []Stock) error {
	if plan == nil || len(plan.Units) == 0 {
		return errors.New("cartilage budget: the plan has no units")
	}
	var faults []error
	if len(stocks) == 0 {
		faults = append(faults, errors.New("cartilage budget: no piece of cartilage is given: give at least one"))
	}
	seen := map[string]bool{}
	for _, s := range stocks {
		if err := s.check(); err != nil {
			faults = append(faults, err)
		}
		if seen[s.Name] {
			faults = append(faults, fmt.Errorf("piece %q is given twice: give each piece a name of its own", s.Name))
		}
		seen[s.Name] = true
	}
	c := plan.Practice.Cartilage
	for _, number := range []struct {
		key   string
		value float64
	}{{"margin", c.Margin}, {"kerf", c.Kerf}, {"helix_reserve", c.HelixReserve}} {
		if !(number.value >= 0) || math.IsInf(number.value, 0) {
			faults = append(faults, fmt.Errorf("cartilage.%s is %g mm, expected 0 or more", number.key, number.value))
		}
	}
	if !(c.StrainLimit > 0) || math.IsInf(c.StrainLimit, 0) {
		faults = append(faults, fmt.Errorf("cartilage.strain_limit is %g percent, expected more than 0",
			c.StrainLimit*percent))
	}
	if !slices.ContainsFunc(casefile.Materials(), func(m casefile.Material) bool { return m.Name == c.Material }) {
		faults = append(faults, fmt.Errorf("cartilage.material is %q, which is not known", c.Material))
	}
	for _, u := range plan.Units {
		if !(u.Thickness > 0) || math.IsInf(u.Thickness, 0) {
			faults = append(faults, fmt.Errorf("unit %s: thickness is %g mm, expected more than 0", u.Name,
				u.Thickness))
		}
		if len(u.Outlines) == 0 {
			faults = append(faults, fmt.Errorf("unit %s has no outline", u.Name))
		}
		for _, o := range u.Outlines {
			if _, err := newShape(o); err != nil {
				faults = append(faults, fmt.Errorf("unit %s: %w", u.Name, err))
			}
		}
	}
	return errors.Join(faults...)
}
