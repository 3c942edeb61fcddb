package casefile

// Side says which ear is built.
type Side string

// The two sides of the head.
const (
	Left  Side = "left"
	Right Side = "right"
)

// Letter returns L or R.
func (s Side) Letter() string {
	if s == Right {
		return "R"
	}
	return "L"
}

// How a template is drawn.
const (
	DrawnSkin  = "skin"
	DrawnFrame = "frame"
)

// The printers known.
const (
	Filament = "filament"
	Resin    = "resin"
)

// NoSuction is the word for no suction, and for a bridging radius without end.
const NoSuction = "none"

// The sizes of rib cartilage that are known where none is measured.
const (
	SizeChild = "child"
	SizeAdult = "adult"
)

// The kinds of mould, and what a cast is made of.
const (
	MouldFitting = "fitting" // open where the part has a flat face, else in two parts
	MouldOpen    = "open"
	MouldTwoPart = "two-part"

	CastElastic = "elastic"
	CastRigid   = "rigid"
)

// The papers known.
const (
	A4     = "a4"
	Letter = "letter"
)
