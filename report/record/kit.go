package record

import (
	"earframe/practice/kit"
)

// Kit is kit.Kit.
type Kit struct {
	Clearance float64    `json:"clearance_mm"`
	Bed       [2]float64 `json:"bed_mm"`
	Gap       float64    `json:"gap_mm"`
	Pieces    []Print    `json:"pieces"`
	Plates    []Plate    `json:"plates"`
}

// Print is kit.Print.
type Print struct {
	Order     int        `json:"order"`
	Name      string     `json:"name"`
	Letter    string     `json:"letter"`
	GivesWay  []string   `json:"gives_way_to,omitempty"`
	Removed   float64    `json:"removed_mm3"`
	Thinnest  *Wall      `json:"thinnest_wall,omitempty"` // beside room for neighbours
	Pose      Pose       `json:"pose"`
	Footprint [2]float64 `json:"footprint_mm"`
	Height    float64    `json:"height_mm"`
	Cut       *Cut       `json:"cut,omitempty"`
}

// Pose is kit.Pose.
type Pose struct {
	Text     string  `json:"text"`
	Tilt     float64 `json:"tilt_degrees"`
	Overhang float64 `json:"overhang_mm2"`
	Supports bool    `json:"supports"`
	Rests    float64 `json:"rests_mm2"`
}

// Cut is kit.Cut.
type Cut struct {
	Axis string  `json:"axis"`
	At   float64 `json:"at_mm"`
	Keys int     `json:"keys"`
}

// Plate is kit.Plate.
type Plate struct {
	Pieces []int `json:"pieces"`
}

func kitOf(k *kit.Kit) *Kit {
	return &Kit{
		Clearance: k.Clearance, Bed: k.Bed, Gap: k.Gap, Pieces: each(k.Pieces, printed),
		Plates: each(k.Plates, func(p kit.Plate) Plate { return Plate{p.Pieces} }),
	}
}

func printed(p kit.Print) Print {
	return Print{
		Order: p.Order, Name: p.Name, Letter: p.Letter, GivesWay: p.GivesWay, Removed: p.Removed,
		Thinnest:  (*Wall)(p.Thinnest),
		Pose:      Pose{p.Pose.Text, p.Pose.Tilt, p.Pose.Overhang, p.Pose.Supports, p.Pose.Rests},
		Footprint: p.Footprint, Height: p.Height, Cut: (*Cut)(p.Cut),
	}
}
