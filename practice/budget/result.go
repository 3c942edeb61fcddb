package budget

import (
	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
	"earframe/units"
)

// Verdict says how a unit comes out of its piece.
type Verdict string

// The verdicts, from the best to the worst.
const (
	Fits          Verdict = "fits"                    // lying along the piece
	FitsTurned    Verdict = "fits only turned"        // at another turn than along the piece
	FitsElsewhere Verdict = "fits from another piece" // than those named, or from the leaf behind what is carved
	FitsInPieces  Verdict = "fits in pieces"
	Short         Verdict = "short"
	NoPiece       Verdict = "no piece" // of the ribs named is at hand
)

// Budget is what the cartilage at hand yields.
type Budget struct {
	Enough   bool      // every unit comes out of a piece at hand, if need be by an alternative
	Text     string    // in one sentence
	Units    []Unit    // in the order in which they are laid
	Pieces   []Nesting // as the stocks were given
	Casts    []Nesting // to be made besides, for the alternatives taken
	Findings []units.Finding
	Notes    []string // what holds for every number here
}

// Unit is what becomes of one unit.
type Unit struct {
	Unit         string
	Label        string
	Ribs         []int // named for it; none: the remainder
	Verdict      Verdict
	Text         string
	Piece        string  // the verdict is about
	Spare        float64 // beyond margin and kerf; negative: short by
	Gap          float64 // no place is better by more, if proven
	Proven       bool    // by branch and bound, with what lies beside it
	AlongSpare   float64 // lying along the piece
	Slant        float64 // from lying along the piece, -90 to 90
	Height       float64 // of the slab it is carved from
	HeightSpare  float64 // of the piece's thickness
	Bend         *Bend
	Alternatives []Alternative  // the best first
	Taken        int            // the alternative that is laid; -1: none
	Parts        []Part         // that it is cut in, in the order in which they are put together; none: whole
	Cuts         [][]mgl64.Vec2 // between them, from edge to edge of the unit
	Placements   []Placement    // of the whole unit or of its parts
	Drawn        bool           // over what is laid: it takes nothing away
}

// Works reports whether the unit comes out of the pieces at hand, or of those and
// one more cast of one of them.
func (u Unit) Works() bool {
	return u.Taken >= 0 || u.Verdict == Fits || u.Verdict == FitsTurned
}

// Part is one of the pieces that a unit is cut in.
type Part struct {
	Name    string           // as in Placement: "upper piece"
	Outline template.Outline // where it belongs in the unit, mm
}

// Way is what an alternative does.
type Way string

// The ways, from the cheapest to the dearest.
const (
	OtherPiece   Way = "from another piece"
	BehindUnits  Way = "from the leaf behind what is carved"
	InPieces     Way = "in pieces"
	FurtherCast  Way = "from one more cast"
	CastInPieces Way = "in pieces from one more cast"
)

// Alternative is another way to a unit, tried by the same search.
type Alternative struct {
	Way        Way
	Text       string
	Cost       string // in words
	Works      bool
	Spare      float64 // the least of its parts; negative: short by
	ExtraCasts int     // of a further piece
	Seams      int     // to be wired besides
	Length     float64 // of those seams
	Placements []Placement
}

// Placement is where a unit, or a part of it, lies in a piece: the unit's own
// coordinates are turned about their origin and then shifted.
type Placement struct {
	Unit    string
	Part    string // of a unit that is cut: "upper", "rim"
	Piece   string
	Further bool // in one more cast of that piece
	Behind  bool // in the leaf behind what is carved
	X       float64
	Y       float64
	Turn    float64          // counter-clockwise, -180 to 180
	Spare   float64          // negative: sticks out
	Gap     float64          // no place is better by more, if proven
	Proven  bool             // by branch and bound: not of several in one piece
	Strip   bool             // cut straight or along the rib, and bent
	Outline template.Outline // as it lies in the piece, mm
}

// Nesting is one piece of stock with what is laid in it.
type Nesting struct {
	Name       string
	Label      string
	Ribs       []int
	Text       string
	Area       float64
	Used       float64          // by units
	Left       float64          // beyond margin and kerf
	Largest    float64          // connected part of what is left
	Roundest   float64          // diameter of the largest circle in what is left
	Placements []Placement      // the order in which they were laid
	Outline    template.Outline // mm
}

// Bend is how a unit is bent.
type Bend struct {
	Length      float64    // developed, of the centreline
	Reserve     float64    // for trimming
	Available   float64    // along the piece, less the margin at both ends
	LengthSpare float64    // negative: the piece is too short by
	Width       float64    // greatest, in the plane in which it is bent
	Straight    float64    // of the straight strip in the piece's outline
	LeastRadius float64    // of its centreline; 0: straight
	LeastAt     float64    // fraction of the length
	Limit       float64    // strain at which it breaks
	Strain      float64    // greatest, of the outer fibre, from the curve it is cut with
	StrainAt    float64    // fraction of the length
	StrainWidth float64    // width there
	Own         float64    // radius that it is cut with there; 0: straight
	Rise        float64    // greatest, where it is bent up or down
	RiseAt      float64    // fraction of the length
	RiseHeight  float64    // of a slab to carve it from without bending
	Corner      float64    // greatest of both together, at a corner of its section
	CornerAt    float64    // fraction of the length
	Thin        []Thinning // in width, so that it does not break
	Lower       []Thinning // in height, so that it does not break
	// Concave is the edge that the rib's concave border becomes, none if it is not
	// cut along a rib; Stretched the edge whose fibres are lengthened where it is bent
	// most. Perichondrium is the other edge, on which it is left: cartilage bends
	// towards the side whose outer layer is left on (Gibson and Davis 1958), and the
	// helix is thinned on its outer, convex side to that end (The Artistry of
	// Reconstructive Surgery, 1987, pp. 113-127).
	Concave       Edge
	Stretched     Edge
	Perichondrium Edge
}

// Thinning is a stretch of a unit that is carved thinner before it is bent.
type Thinning struct {
	From   float64 // fraction of the unit's length
	Until  float64 // fraction of the unit's length
	Length float64
	To     float64 // where it is thinned most
	Off    float64 // most that is taken off
}
