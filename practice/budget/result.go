package budget

import (
	"earframe/template"
	"earframe/units"
)

// Verdict says how a unit comes out of its piece.
type Verdict string

// The verdicts, from the best to the worst.
const (
	Fits       Verdict = "fits"             // lying along the piece
	FitsTurned Verdict = "fits only turned" // at another turn than along the piece
	FitsInTwo  Verdict = "fits in two parts"
	Short      Verdict = "short"
	NoPiece    Verdict = "no piece" // of the ribs named is at hand
)

// Budget is what the cartilage at hand yields.
type Budget struct {
	Enough   bool            `json:"enough"`                  // every unit comes out of a piece at hand, if need be by an alternative
	Text     string          `json:"text"`                    // in one sentence
	Units    []Unit          `json:"units"`                   // in the order in which they are laid
	Pieces   []Piece         `json:"pieces"`                  // as the stocks were given
	Casts    []Piece         `json:"further_casts,omitempty"` // to be made besides, for the alternatives taken
	Findings []units.Finding `json:"findings,omitempty"`
	Notes    []string        `json:"notes"` // what holds for every number here
}

// Unit is what becomes of one unit.
type Unit struct {
	Unit         string        `json:"unit"`
	Label        string        `json:"label"`
	Ribs         []int         `json:"ribs,omitempty"` // named for it; none: the remainder
	Verdict      Verdict       `json:"verdict"`
	Text         string        `json:"text"`
	Piece        string        `json:"piece,omitempty"` // the verdict is about
	Spare        float64       `json:"spare_mm"`        // beyond margin and kerf; negative: short by
	Gap          float64       `json:"gap_mm"`          // no place is better by more, if proven
	Proven       bool          `json:"proven"`          // by branch and bound, with what lies beside it
	AlongSpare   float64       `json:"along_spare_mm"`  // lying along the piece
	Slant        float64       `json:"slant_degrees"`   // from lying along the piece, -90 to 90
	Height       float64       `json:"height_mm"`       // of the slab it is carved from
	HeightSpare  float64       `json:"height_spare_mm"` // of the piece's thickness
	Bend         *Bend         `json:"bend,omitempty"`
	Alternatives []Alternative `json:"alternatives,omitempty"` // the best first
	Taken        int           `json:"taken"`                  // the alternative that is laid; -1: none
	Placements   []Placement   `json:"placements,omitempty"`   // of the whole unit or of its parts
	Drawn        bool          `json:"drawn_only,omitempty"`   // over what is laid: it takes nothing away
}

// Works reports whether the unit comes out of the pieces at hand, or of those and
// one more cast of one of them.
func (u Unit) Works() bool {
	return u.Taken >= 0 || u.Verdict == Fits || u.Verdict == FitsTurned || u.Verdict == FitsInTwo
}

// Way is what an alternative does.
type Way string

// The ways, from the cheapest to the dearest.
const (
	OtherPiece  Way = "from another piece"
	BehindUnits Way = "from the leaf behind what is carved"
	InTwo       Way = "in two parts"
	FurtherCast Way = "from one more cast"
	CastInTwo   Way = "in two parts from one more cast"
)

// Alternative is another way to a unit, tried by the same search.
type Alternative struct {
	Way        Way         `json:"way"`
	Text       string      `json:"text"`
	Cost       string      `json:"cost"` // in words
	Works      bool        `json:"works"`
	Spare      float64     `json:"spare_mm"`       // the least of its parts; negative: short by
	ExtraCasts int         `json:"extra_casts"`    // of a further piece
	Seams      int         `json:"seams"`          // to be wired besides
	Length     float64     `json:"seam_length_mm"` // of those seams
	Placements []Placement `json:"placements"`
}

// Placement is where a unit, or a part of it, lies in a piece: the unit's own
// coordinates are turned about their origin and then shifted.
type Placement struct {
	Unit    string           `json:"unit"`
	Part    string           `json:"part,omitempty"` // of a unit that is cut: "upper", "rim"
	Piece   string           `json:"piece"`
	Further bool             `json:"further_cast,omitempty"` // in one more cast of that piece
	Behind  bool             `json:"behind,omitempty"`       // in the leaf behind what is carved
	X       float64          `json:"x_mm"`
	Y       float64          `json:"y_mm"`
	Turn    float64          `json:"turn_degrees"`    // counter-clockwise, -180 to 180
	Spare   float64          `json:"spare_mm"`        // negative: sticks out
	Gap     float64          `json:"gap_mm"`          // no place is better by more, if proven
	Proven  bool             `json:"proven"`          // by branch and bound: not of several in one piece
	Strip   bool             `json:"strip,omitempty"` // cut straight or along the rib, and bent
	Outline template.Outline `json:"-"`               // as it lies in the piece, mm
}

// Piece is one piece of stock with what is laid in it.
type Piece struct {
	Name       string           `json:"name"`
	Label      string           `json:"label"`
	Ribs       []int            `json:"ribs"`
	Text       string           `json:"text"`
	Area       float64          `json:"area_mm2"`
	Used       float64          `json:"used_mm2"`    // by units
	Left       float64          `json:"left_mm2"`    // beyond margin and kerf
	Largest    float64          `json:"largest_mm2"` // connected part of what is left
	Roundest   float64          `json:"roundest_mm"` // diameter of the largest circle in what is left
	Placements []Placement      `json:"placements"`  // the order in which they were laid
	Outline    template.Outline `json:"-"`           // mm
}

// Bend is how a unit is bent.
type Bend struct {
	Length      float64 `json:"length_mm"`           // developed, of the centreline
	Reserve     float64 `json:"reserve_mm"`          // for trimming
	Available   float64 `json:"available_mm"`        // along the piece, less the margin at both ends
	LengthSpare float64 `json:"length_spare_mm"`     // negative: the piece is too short by
	Width       float64 `json:"width_mm"`            // greatest, in the plane in which it is bent
	Straight    float64 `json:"straight_spare_mm"`   // of the straight strip in the piece's outline
	LeastRadius float64 `json:"least_radius_mm"`     // of its centreline; 0: straight
	LeastAt     float64 `json:"least_radius_at"`     // fraction of the length
	Strain      float64 `json:"strain_percent"`      // greatest, of the outer fibre
	StrainAt    float64 `json:"strain_at"`           // fraction of the length
	StrainWidth float64 `json:"strain_width_mm"`     // width there
	Limit       float64 `json:"limit_percent"`       // at which it breaks
	ThinTo      float64 `json:"thin_to_mm"`          // width that bends there without breaking
	Beyond      float64 `json:"beyond_limit_mm"`     // length over which the limit is passed
	Rise        float64 `json:"rise_strain_percent"` // greatest, where it is bent up or down
	RiseAt      float64 `json:"rise_at"`             // fraction of the length
	RiseThin    float64 `json:"rise_thin_to_mm"`     // height that bends there without breaking
	RiseHeight  float64 `json:"rise_height_mm"`      // of a slab to carve it from without bending
}
