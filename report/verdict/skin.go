package verdict

import (
	"fmt"

	"earframe/pocket"
	"earframe/units"
)

// OfSkin answers the questions of the skin laid over a framework.
func OfSkin(r *pocket.Result) []Verdict { return ofSkin(r, r.Findings) }

func ofSkin(r *pocket.Result, findings []units.Finding) []Verdict {
	return []Verdict{
		fit(&r.Measures, findings), demand(&r.Measures, findings), relief(&r.Measures, findings),
	}
}

// fit answers whether the pocket takes the frame.
func fit(m *pocket.Measures, findings []units.Finding) Verdict {
	d := m.Depth
	high := max(d.Frame.Height, d.Peak.Height)
	if d.Available == nil {
		return unknown(units.AboutPocket, findings,
			fmt.Sprintf("the frame is %.1f mm high, %.1f mm with the skin; give pocket.depth to know", high, d.Outside))
	}
	says := fmt.Sprintf("the frame is %.1f mm high, the pocket takes %.1f mm: ", high, *d.Available)
	if *d.Room < 0 {
		says += fmt.Sprintf("%.1f mm too little", -*d.Room)
	} else {
		says += fmt.Sprintf("%.1f mm to spare", *d.Room)
	}
	return judge(units.AboutPocket, findings, says, "pocket-too-shallow")
}

// demand answers whether there is skin enough.
func demand(m *pocket.Measures, findings []units.Finding) Verdict {
	d := m.Demand
	return judge(units.AboutSkin, findings, fmt.Sprintf("%.0f mm² asked for, %.0f mm² there: stretched %.2f times (%s)",
		d.Drape, m.Pocket.Area+d.Extra, d.Sliding, d.Band), "skin-too-tight")
}

// relief answers how much of grooves and ridges shows: the least, by name, with the
// drain as the case has it and once it has filled.
func relief(m *pocket.Measures, findings []units.Finding) Verdict {
	least, ok := m.Least()
	if !ok {
		return unknown(units.AboutRelief, findings, "no groove or ridge is deep enough to be measured")
	}
	says := fmt.Sprintf("the %s shows least: %.0f %%", least.Name, percent*least.Kept)
	for _, s := range m.Bridging.States {
		if s.Suction >= m.Bridging.Suction {
			continue // another tension under the same suction
		}
		for _, k := range s.Kept {
			if k.Name == least.Name {
				says += fmt.Sprintf(", %s %.0f %%", s.Name, percent*k.Kept)
			}
		}
	}
	return judge(units.AboutRelief, findings, says, "relief-lost", "groove-filled-by-skin")
}

const percent = 100
