package units

import "earframe/units/casefile"

// Practice is what a practice set is made to: the cartilage to carve from, the
// moulds, the kit of prints, the fixations and the sheets. Lengths are mm.
type Practice struct {
	Cartilage Cartilage
	Casting   Casting
	Kit       Kit
	Fixation  Fixation
	Sheets    Sheets
}

// The ages in years that stand for the case file's sizes of cartilage: the age of
// the children that lengths are published of, and that from which cartilages are
// taken to be grown (earframe's own choice).
const (
	ChildAge = 6.0
	AdultAge = 18.0
)

// The words of the case file for materials, kinds of mould, what a cast is made of,
// and papers.
const (
	Silicone       = casefile.Silicone
	YoungCartilage = casefile.YoungCartilage
	OldCartilage   = casefile.OldCartilage

	MouldFitting = casefile.MouldFitting
	MouldOpen    = casefile.MouldOpen
	MouldTwoPart = casefile.MouldTwoPart

	CastElastic = casefile.CastElastic
	CastRigid   = casefile.CastRigid

	A4     = casefile.A4
	Letter = casefile.Letter
)

// Cartilage is the rib cartilage at hand, or to be cast.
type Cartilage struct {
	Age          float64      // years: whose cartilages are taken where nothing is measured
	Measured     []RibMeasure // one a rib at most, in the file's order
	JointWidth   float64      // of the synchondrosis of ribs 6 and 7, along the ribs; 0 if not measured
	JointHeight  float64      // of both ribs together there; 0 if not measured
	Margin       float64      // kept clear of a piece's edge
	Kerf         float64      // lost between two units cut from one piece
	Material     string       // Silicone, YoungCartilage or OldCartilage
	StrainLimit  float64      // at which it breaks when it is bent, a fraction
	HelixReserve float64      // added to the helix's length for trimming
}

// RibMeasure is what was measured of one rib cartilage; 0 stands for what was
// not.
type RibMeasure struct {
	Rib       int
	Length    float64 // along its middle line
	Height    float64 // across, at the rib's end
	Thickness float64 // front to back, at the rib's end
	Radius    float64 // of the middle line, seen from the front
	Taper     float64 // thickness at the sternal end over that at the rib's end
	// HeightTaper is the height at the sternal end over that at the rib's end.
	HeightTaper float64
}

// Casting says how moulds are made and what is poured into them.
type Casting struct {
	Mould     string       // MouldFitting, MouldOpen or MouldTwoPart
	Cast      string       // CastElastic or CastRigid
	Wall      float64      // around the cavity
	Draft     float64      // by which the cavity narrows from its opening, radians
	Shrinkage float64      // of the cast, a fraction of its length
	Mix       []Ingredient // by volume
	Spare     float64      // mixed beyond the cavity's volume, a fraction of it
}

// Ingredient is one part of a casting mix.
type Ingredient struct {
	Name  string
	Share float64
}

// Kit says how the units are printed one by one, to be put together by hand.
type Kit struct {
	Clearance float64 // of each face to its neighbour's
	BedWidth  float64 // of the printer's plate
	BedDepth  float64
	Gap       float64 // between units on the plate
}

// Fixation says how the units are wired together.
type Fixation struct {
	Spacing   float64 // along a seam
	Wire      float64 // its diameter
	Hole      float64 // diameter of pilot holes; 0 for none
	Allowance float64 // of wire for each fixation, beyond the loop itself
}

// Sheets says how the paper sheets are drawn.
type Sheets struct {
	Paper   string  // A4 or Letter
	Contour float64 // height between contour lines
}
