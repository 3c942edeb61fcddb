package record

import (
	"github.com/go-gl/mathgl/mgl64"

	"earframe/practice/mould"
)

// Mould is mould.Mould.
type Mould struct {
	Name       string       `json:"name"`
	Label      string       `json:"label"`
	Kind       string       `json:"kind"`
	Cast       string       `json:"cast"`
	Wall       float64      `json:"wall_mm"`
	Draft      float64      `json:"draft_degrees"`
	Shrinkage  float64      `json:"shrinkage_percent"`
	Step       float64      `json:"step_mm"`
	Pieces     []MouldPiece `json:"pieces"`
	CavityML   float64      `json:"cavity_ml"`
	ChannelsML float64      `json:"channels_ml"`
	BlockML    float64      `json:"block_ml"`
	Size       mgl64.Vec3   `json:"size_mm"`
	Turned     bool         `json:"turned"`
	FlatShare  float64      `json:"flat_share"`
	Parting    *Parting     `json:"parting,omitempty"`
	Funnels    []Channel    `json:"funnels,omitempty"`
	Vents      []Channel    `json:"vents,omitempty"`
	Keys       []MouldKey   `json:"keys,omitempty"`
	Undercuts  []Undercut   `json:"undercuts"`
	Findings   []Finding    `json:"findings"`
}

// MouldPiece is mould.Section.
type MouldPiece struct {
	Name     string  `json:"name"`
	Verdict  Verdict `json:"verdict"`
	Thinnest *Wall   `json:"thinnest,omitempty"`
}

// Parting is mould.Parting.
type Parting struct {
	Planar  bool    `json:"planar"`
	Lowest  float64 `json:"lowest_mm"`
	Highest float64 `json:"highest_mm"`
}

// Channel is mould.Channel.
type Channel struct {
	At       mgl64.Vec3 `json:"at_mm"`
	Diameter float64    `json:"diameter_mm"`
	Mouth    float64    `json:"mouth_mm"`
	Reason   string     `json:"reason"`
}

// MouldKey is mould.Key.
type MouldKey struct {
	At        mgl64.Vec3 `json:"at_mm"`
	Diameter  float64    `json:"diameter_mm"`
	Height    float64    `json:"height_mm"`
	Clearance float64    `json:"clearance_mm"`
}

// Undercut is mould.Undercut.
type Undercut struct {
	Piece string     `json:"piece"`
	Area  float64    `json:"area_mm2"`
	Depth float64    `json:"depth_mm"`
	At    mgl64.Vec3 `json:"at_mm"`
}

// Mix is mould.Mix.
type Mix struct {
	Name        string    `json:"name"`
	CavityML    float64   `json:"cavity_ml"`
	PourML      float64   `json:"pour_ml"`
	MixedML     float64   `json:"mixed_ml"`
	Ingredients []Portion `json:"ingredients"`
}

// Portion is mould.Portion.
type Portion struct {
	Name string  `json:"name"`
	ML   float64 `json:"ml"`
}

func mouldOf(m *mould.Mould) *Mould {
	channel := func(c mould.Channel) Channel { return Channel{c.At, c.Diameter, c.Mouth, c.Reason} }
	record := &Mould{
		Name: m.Name, Label: m.Label, Kind: m.Kind, Cast: m.Cast, Wall: m.Wall, Draft: m.Draft, Shrinkage: m.Shrinkage,
		Step: m.Step, CavityML: m.CavityML, ChannelsML: m.ChannelsML, BlockML: m.BlockML, Size: m.Size, Turned: m.Turned,
		FlatShare: m.FlatShare, Funnels: each(m.Funnels, channel), Vents: each(m.Vents, channel),
		Pieces: each(m.Pieces, func(p mould.Section) MouldPiece {
			return MouldPiece{p.Name, meshVerdict(p.Verdict), (*Wall)(p.Thinnest)}
		}),
		Keys: each(m.Keys, func(k mould.Key) MouldKey {
			return MouldKey{k.At, k.Diameter, k.Height, k.Clearance}
		}),
		Undercuts: each(m.Undercuts, func(u mould.Undercut) Undercut { return Undercut(u) }),
		Findings:  findings(m.Findings),
	}
	if p := m.Parting; p != nil {
		record.Parting = &Parting{p.Planar, p.Lowest, p.Highest}
	}
	return record
}

func mix(m mould.Mix) Mix {
	portion := func(p mould.Portion) Portion { return Portion(p) }
	return Mix{m.Name, m.CavityML, m.PourML, m.MixedML, each(m.Ingredients, portion)}
}
