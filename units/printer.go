package units

import "earframe/units/casefile"

// Printer holds what a kind of 3D printer can make, in mm.
type Printer struct {
	Name         string  // filament or resin
	Wall         float64 // least wall thickness
	EngraveWidth float64 // least width of an engraved stroke
	EngraveDepth float64 // least depth that still reads
	Clearance    float64 // per side, for parts put together by hand
	Hole         float64 // least diameter of a hole
	Pin          float64 // least diameter of a pin
	Source       string
}

// The names of the printers known.
const (
	Filament = casefile.Filament
	Resin    = casefile.Resin
)

// PrinterLimits returns the limits of the named printer; ok is false for a name
// that is not known.
//
// Filament: public design rules for fused filament printing with a 0.4 mm
// nozzle: wall 0.9 (two lines), pin 1.8, hole 2, clearance a side 0.2 loose,
// engraved line 0.5 wide. Resin: a desktop stereolithography maker's table of
// 2017: free wall 0.6, hole 0.5, clearance 0.5 between parts (half of it a
// side), wire 0.3 to 1.5 by height, of which the upper is taken for a pin,
// engraved line 0.4 wide. Engraving depths follow the widths (no source).
func PrinterLimits(name string) (limits Printer, ok bool) {
	switch name {
	case Filament:
		return Printer{
			Name: Filament, Wall: 0.9, EngraveWidth: 0.5, EngraveDepth: 0.3, Clearance: 0.2, Hole: 2, Pin: 1.8,
			Source: "public design rules for filament printing, 0.4 mm nozzle; engraving depth: no source",
		}, true
	case Resin:
		return Printer{
			Name: Resin, Wall: 0.6, EngraveWidth: 0.4, EngraveDepth: 0.2, Clearance: 0.25, Hole: 0.5, Pin: 1.5,
			Source: "a desktop resin printer maker's design table, 2017; engraving depth: no source",
		}, true
	}
	return Printer{}, false
}
