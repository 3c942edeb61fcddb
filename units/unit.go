package units

import (
	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
	"earframe/units/centreline"
)

// Unit is a part to be made solid. Lengths are mm, angles radians.
type Unit struct {
	Name       string             // unique in a plan: the part, or a name given to it
	Part       Part               // which piece of the framework
	Label      string             // as it is shown
	Outlines   []template.Outline // of the framework itself, skin already taken off
	Thickness  float64            // measured along z
	Rise       Rise               // height of the underside above the base frame's underside
	EdgeTop    float64            // radius of the lateral edge
	EdgeBottom float64            // radius of the edge toward the head
	Recesses   []Recess           // grooves carved into the top
	Ribs       []int              // rib cartilages it comes from; none: the remainder
	Pieces     int                // that it is carved from; 0: as few as the cartilage allows
	Cuts       [][]mgl64.Vec2     // along which it is cut, as drawn; none: wherever is best
	NotchFor   []string           // names of the units that are let into this one
	Clearance  float64            // room around a unit that is let in

	// Whole is the unit that this is a piece of; nil for a whole one. It gives the
	// underside of all its pieces.
	Whole *Unit

	// Centreline runs from the first end to the other, for units of one
	// outline that is a strip; nil otherwise.
	Centreline *centreline.Line
}

// Rise is the height of a unit's underside: one height, or a profile along the
// unit's centreline.
type Rise struct {
	Height  float64     // mm, used if there is no profile
	Profile []RisePoint // at least two, At ascending
}

// RisePoint is one point of a profile.
type RisePoint struct {
	At     float64 // 0 at the first end of the centreline, 1 at the other
	Height float64 // mm
}

// Recess is a groove carved into a unit's top.
type Recess struct {
	Name     string             // scapha, fossa or the outline's id
	Outlines []template.Outline // at the top surface
	Depth    float64            // mm below the top
	Wall     float64            // slope of the walls from the vertical, radians
}
