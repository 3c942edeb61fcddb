package record

import (
	"earframe/practice"
	"earframe/practice/rib"
)

// Blank is a rib blank, rib.Blank, and its surface's measures.
type Blank struct {
	Name          string    `json:"name"`
	Label         string    `json:"label"`
	Ribs          []int     `json:"ribs"`
	Length        float64   `json:"length_mm"`
	Height        float64   `json:"height_mm"`
	ThicknessMost float64   `json:"thickness_most_mm"`
	Thickness     float64   `json:"thickness_least_mm"`
	Middle        float64   `json:"middle_mm"`
	Sizes         []RibSize `json:"sizes"`
	Joint         *RibJoint `json:"joint,omitempty"`
	Values        []Value   `json:"values"`
	Surface       Solid     `json:"surface"`
}

// RibSize is rib.Size.
type RibSize struct {
	Rib         int     `json:"rib"`
	Length      float64 `json:"length_mm"`
	Height      float64 `json:"height_mm"`
	Thickness   float64 `json:"thickness_mm"`
	Radius      float64 `json:"radius_mm"`
	Taper       float64 `json:"taper"`
	HeightTaper float64 `json:"height_taper"`
}

// RibJoint is rib.Joint.
type RibJoint struct {
	Width     float64 `json:"width_mm"`
	Height    float64 `json:"height_mm"`
	Thickness float64 `json:"thickness_mm"`
}

func blank(b practice.Blank) Blank {
	return Blank{
		Name: b.Name, Label: b.Label, Ribs: b.Ribs, Length: b.Length, Height: b.Height, ThicknessMost: b.ThicknessMost,
		Thickness: b.Thickness, Middle: b.Middle, Sizes: each(b.Sizes, func(s rib.Size) RibSize { return RibSize(s) }),
		Joint: (*RibJoint)(b.Joint), Values: values(b.Values), Surface: solidOf(b.Verdict, nil),
	}
}
