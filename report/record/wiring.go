package record

import (
	"github.com/go-gl/mathgl/mgl64"

	"earframe/practice/fixation"
)

// Wiring is fixation.Plan.
type Wiring struct {
	Seams       []Seam     `json:"seams"`
	Points      []Fixation `json:"points"`
	Count       int        `json:"count"`
	SpacingMM   float64    `json:"spacing_mm"`
	AllowanceMM float64    `json:"allowance_mm"`
	WireMM      float64    `json:"wire_mm"`
	HoleMM      float64    `json:"hole_mm"`
	Gauges      Gauges     `json:"gauges"`
}

// Seam is fixation.Seam.
type Seam struct {
	Name   string       `json:"name"`
	Upper  string       `json:"upper"`
	Lower  string       `json:"lower"`
	Length float64      `json:"length_mm"`
	Closed bool         `json:"closed"`
	Step   float64      `json:"step_mm"`
	Count  int          `json:"count"`
	WireMM float64      `json:"wire_mm"`
	Line   []mgl64.Vec3 `json:"line_mm"`
}

// Fixation is fixation.Point.
type Fixation struct {
	Seam      int        `json:"seam"`
	Number    int        `json:"number"`
	Upper     string     `json:"upper"`
	Lower     string     `json:"lower"`
	At        mgl64.Vec3 `json:"at_mm"`
	Direction mgl64.Vec3 `json:"direction"`
	UpperMM   float64    `json:"upper_mm"`
	LowerMM   float64    `json:"lower_mm"`
	EdgeMM    float64    `json:"edge_mm"`
	LoopMM    float64    `json:"loop_mm"`
	Under     string     `json:"under,omitempty"`
}

// Gauges is fixation.Gauges.
type Gauges struct {
	Diameter float64 `json:"diameter_mm"`
	AWG      Gauge   `json:"awg"`
	SWG      Gauge   `json:"swg"`
	Text     string  `json:"text"`
}

// Gauge is fixation.Gauge.
type Gauge struct {
	Number   string  `json:"number"`
	Diameter float64 `json:"diameter_mm"`
}

func wiring(p *fixation.Plan) *Wiring {
	return &Wiring{
		Seams:  each(p.Seams, func(s fixation.Seam) Seam { return Seam(s) }),
		Points: each(p.Points, func(p fixation.Point) Fixation { return Fixation(p) }),
		Count:  p.Count, SpacingMM: p.SpacingMM, AllowanceMM: p.AllowanceMM, WireMM: p.WireMM, HoleMM: p.HoleMM,
		Gauges: Gauges{p.Gauges.Diameter, Gauge(p.Gauges.AWG), Gauge(p.Gauges.SWG), p.Gauges.Text},
	}
}
