package record

import (
	"github.com/go-gl/mathgl/mgl64"

	"earframe/units"
)

// Finding is units.Finding.
type Finding struct {
	Rule     string         `json:"rule"`
	Severity units.Severity `json:"severity"`
	Unit     string         `json:"unit,omitempty"`
	Place    string         `json:"place,omitempty"`
	Message  string         `json:"message"`
	At       *mgl64.Vec3    `json:"at,omitempty"`
	Value    float64        `json:"value,omitempty"`
	Limit    float64        `json:"limit,omitempty"`
	Measure  string         `json:"measure,omitempty"`
	Advice   string         `json:"advice,omitempty"`
}

// String returns the finding as one sentence or two.
func (f Finding) String() string { return units.Finding(f).String() }

// Value is units.Value.
type Value struct {
	Path   string       `json:"path"`
	Value  any          `json:"value"`
	Unit   string       `json:"unit,omitempty"`
	Origin units.Origin `json:"origin"`
	Note   string       `json:"note,omitempty"`
}

func findings(of []units.Finding) []Finding {
	return each(of, func(f units.Finding) Finding { return Finding(f) })
}

// RisePoint is units.RisePoint.
type RisePoint struct {
	At     float64 `json:"at"`
	Height float64 `json:"height"`
}

func values(of []units.Value) []Value {
	return each(of, func(v units.Value) Value {
		if profile, ok := v.Value.([]units.RisePoint); ok {
			v.Value = each(profile, func(p units.RisePoint) RisePoint { return RisePoint(p) })
		}
		return Value(v)
	})
}

// each makes a record of every element; of nil it is nil, which JSON tells from a
// list without elements.
func each[From, To any](of []From, record func(From) To) []To {
	if of == nil {
		return nil
	}
	records := make([]To, len(of))
	for i := range of {
		records[i] = record(of[i])
	}
	return records
}
