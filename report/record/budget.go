package record

import (
	"github.com/go-gl/mathgl/mgl64"

	"earframe/practice/budget"
)

// Budget is budget.Budget.
type Budget struct {
	Enough   bool         `json:"enough"`
	Text     string       `json:"text"`
	Units    []BudgetUnit `json:"units"`
	Pieces   []Stock      `json:"pieces"`
	Casts    []Stock      `json:"further_casts,omitempty"`
	Findings []Finding    `json:"findings,omitempty"`
	Notes    []string     `json:"notes"`
}

// BudgetUnit is budget.Unit.
type BudgetUnit struct {
	Unit         string         `json:"unit"`
	Label        string         `json:"label"`
	Ribs         []int          `json:"ribs,omitempty"`
	Verdict      budget.Verdict `json:"verdict"`
	Text         string         `json:"text"`
	Piece        string         `json:"piece,omitempty"`
	Spare        float64        `json:"spare_mm"`
	Gap          float64        `json:"gap_mm"`
	Proven       bool           `json:"proven"`
	AlongSpare   float64        `json:"along_spare_mm"`
	Slant        float64        `json:"slant_degrees"`
	Height       float64        `json:"height_mm"`
	HeightSpare  float64        `json:"height_spare_mm"`
	Bend         *Bend          `json:"bend,omitempty"`
	Alternatives []Alternative  `json:"alternatives,omitempty"`
	Taken        int            `json:"taken"`
	Parts        []Part         `json:"parts,omitempty"`
	Cuts         [][]mgl64.Vec2 `json:"cuts_mm,omitempty"`
	Placements   []Placement    `json:"placements,omitempty"`
	Drawn        bool           `json:"drawn_only,omitempty"`
}

// Part is budget.Part.
type Part struct {
	Name string `json:"name"`
}

// Alternative is budget.Alternative.
type Alternative struct {
	Way        budget.Way  `json:"way"`
	Text       string      `json:"text"`
	Cost       string      `json:"cost"`
	Works      bool        `json:"works"`
	Spare      float64     `json:"spare_mm"`
	ExtraCasts int         `json:"extra_casts"`
	Seams      int         `json:"seams"`
	Length     float64     `json:"seam_length_mm"`
	Placements []Placement `json:"placements"`
}

// Placement is budget.Placement.
type Placement struct {
	Unit    string  `json:"unit"`
	Part    string  `json:"part,omitempty"`
	Piece   string  `json:"piece"`
	Further bool    `json:"further_cast,omitempty"`
	Behind  bool    `json:"behind,omitempty"`
	X       float64 `json:"x_mm"`
	Y       float64 `json:"y_mm"`
	Turn    float64 `json:"turn_degrees"`
	Spare   float64 `json:"spare_mm"`
	Gap     float64 `json:"gap_mm"`
	Proven  bool    `json:"proven"`
	Strip   bool    `json:"strip,omitempty"`
}

// Stock is budget.Nesting.
type Stock struct {
	Name       string      `json:"name"`
	Label      string      `json:"label"`
	Ribs       []int       `json:"ribs"`
	Text       string      `json:"text"`
	Area       float64     `json:"area_mm2"`
	Used       float64     `json:"used_mm2"`
	Left       float64     `json:"left_mm2"`
	Largest    float64     `json:"largest_mm2"`
	Roundest   float64     `json:"roundest_mm"`
	Placements []Placement `json:"placements"`
}

// Bend is budget.Bend.
type Bend struct {
	Length      float64 `json:"length_mm"`
	Reserve     float64 `json:"reserve_mm"`
	Available   float64 `json:"available_mm"`
	LengthSpare float64 `json:"length_spare_mm"`
	Width       float64 `json:"width_mm"`
	Straight    float64 `json:"straight_spare_mm"`
	LeastRadius float64 `json:"least_radius_mm"`
	LeastAt     float64 `json:"least_radius_at"`
	Limit       float64 `json:"limit_percent"`
	Strain      float64 `json:"strain_percent"`
	StrainAt    float64 `json:"strain_at"`
	StrainWidth float64 `json:"strain_width_mm"`
	Own         float64 `json:"own_radius_mm"`
	Rise        float64 `json:"rise_strain_percent"`
	RiseAt      float64 `json:"rise_at"`
	RiseHeight  float64 `json:"rise_height_mm"`
	Corner      float64 `json:"corner_strain_percent"`
	CornerAt    float64 `json:"corner_at"`

	Thin          []Thinning  `json:"thin,omitempty"`
	Lower         []Thinning  `json:"lower,omitempty"`
	Concave       budget.Edge `json:"concave_border_becomes,omitempty"`
	Stretched     budget.Edge `json:"stretched,omitempty"`
	Perichondrium budget.Edge `json:"perichondrium,omitempty"`
}

// Thinning is budget.Thinning.
type Thinning struct {
	From   float64 `json:"from"`
	Until  float64 `json:"until"`
	Length float64 `json:"length_mm"`
	To     float64 `json:"to_mm"`
	Off    float64 `json:"off_mm"`
}

func bendOf(b *budget.Bend) *Bend {
	if b == nil {
		return nil
	}
	return &Bend{
		Length: b.Length, Reserve: b.Reserve, Available: b.Available, LengthSpare: b.LengthSpare, Width: b.Width,
		Straight: b.Straight, LeastRadius: b.LeastRadius, LeastAt: b.LeastAt, Limit: b.Limit, Strain: b.Strain,
		StrainAt: b.StrainAt, StrainWidth: b.StrainWidth, Own: b.Own, Rise: b.Rise, RiseAt: b.RiseAt,
		RiseHeight: b.RiseHeight,
		Corner:     b.Corner, CornerAt: b.CornerAt, Thin: each(b.Thin, thinning), Lower: each(b.Lower, thinning),
		Concave: b.Concave, Stretched: b.Stretched, Perichondrium: b.Perichondrium,
	}
}

func thinning(t budget.Thinning) Thinning { return Thinning(t) }

func budgetOf(b *budget.Budget) *Budget {
	return &Budget{
		Enough: b.Enough, Text: b.Text, Units: each(b.Units, budgetUnit), Pieces: each(b.Pieces, stock),
		Casts: each(b.Casts, stock), Findings: findings(b.Findings), Notes: b.Notes,
	}
}

func budgetUnit(u budget.Unit) BudgetUnit {
	return BudgetUnit{
		Unit: u.Unit, Label: u.Label, Ribs: u.Ribs, Verdict: u.Verdict, Text: u.Text, Piece: u.Piece, Spare: u.Spare,
		Gap: u.Gap, Proven: u.Proven, AlongSpare: u.AlongSpare, Slant: u.Slant, Height: u.Height,
		HeightSpare: u.HeightSpare, Bend: bendOf(u.Bend), Alternatives: each(u.Alternatives, alternative),
		Taken: u.Taken, Parts: each(u.Parts, func(p budget.Part) Part { return Part{p.Name} }), Cuts: u.Cuts, Placements: each(u.Placements, placement), Drawn: u.Drawn,
	}
}

func alternative(a budget.Alternative) Alternative {
	return Alternative{
		Way: a.Way, Text: a.Text, Cost: a.Cost, Works: a.Works, Spare: a.Spare, ExtraCasts: a.ExtraCasts,
		Seams: a.Seams, Length: a.Length, Placements: each(a.Placements, placement),
	}
}

func placement(p budget.Placement) Placement {
	return Placement{
		Unit: p.Unit, Part: p.Part, Piece: p.Piece, Further: p.Further, Behind: p.Behind, X: p.X, Y: p.Y, Turn: p.Turn,
		Spare: p.Spare, Gap: p.Gap, Proven: p.Proven, Strip: p.Strip,
	}
}

func stock(p budget.Nesting) Stock {
	return Stock{
		Name: p.Name, Label: p.Label, Ribs: p.Ribs, Text: p.Text, Area: p.Area, Used: p.Used, Left: p.Left,
		Largest: p.Largest, Roundest: p.Roundest, Placements: each(p.Placements, placement),
	}
}
