// Package parts is the table of a framework's parts: one row each, with what is
// shown of it and what it is made with where the case says nothing.
package parts

import "slices"

// Part says which piece of the framework a unit is.
type Part string

// The parts of a framework, by the ids they have in a drawing.
const (
	Base      Part = "base"
	Helix     Part = "helix"
	Antihelix Part = "antihelix"
	Tragus    Part = "tragus"
	Concha    Part = "concha"
)

// The recesses carved into the base frame, by the ids they have in a drawing.
const (
	Scapha = "scapha"
	Fossa  = "fossa"
)

// Place says where a part lies if the case gives no rise.
type Place int

// The places of parts.
const (
	OnPlane   Place = iota // its underside is the plane that heights are counted from
	OnBase                 // on the base frame
	UnderBase              // under the base frame, touching it
	AlongRim               // from within the concha up onto the base frame, along its centreline
)

// Row is what is known of a part. Lengths are mm.
type Row struct {
	Part       Part
	Label      string  // as it is shown
	Colour     string  // #RRGGBB
	Place      Place   // where it lies
	Thickness  float64 // layer height
	EdgeTop    float64 // radius of the lateral edge
	EdgeBottom float64 // radius of the edge toward the head
	Ribs       []int   // rib cartilages it comes from; none: what is left of the others
	Recesses   []string
	LetIn      []Part // parts that are let into it
}

// table has the base frame first, in the order in which parts are shown, carved
// and put together.
//
// Layer heights are remembered from surgical reviews, not read in any table (base
// 2.5 to 4 mm; helix 4 to 6 and antihelix 3 to 4 mm above it; 8 to 10 mm in all):
// they are unsourced. 2.5 + 3 + 4 = 9.5 mm from the conchal vault's underside to
// the helical rim, which stands highest. Edges at a face that rests on another
// unit are left sharp, so that the seam closes. The ribs are common practice.
//
// Colours are of the palette of Okabe and Ito ("Color Universal Design", 2008),
// which readers with any common colour vision tell apart.
var table = []Row{
	{
		Part: Base, Label: "Base frame", Colour: "#56B4E9", Place: OnPlane, Thickness: 3, EdgeTop: 0.6,
		Ribs: []int{6, 7}, Recesses: []string{Scapha, Fossa}, LetIn: []Part{Helix},
	},
	{Part: Helix, Label: "Helix with " +
		"crus", Colour: "#E69F00", Place: AlongRim, Thickness: 4, EdgeTop: 1.4, Ribs: []int{8}},
	{Part: Antihelix, Label: "Antihelix", Colour: "#009E73", Place: OnBase, Thickness: 3.5, EdgeTop: 1.4, Ribs: []int{9}},
	{Part: Tragus, Label: "Tragus", Colour: "#CC79A7", Place: OnBase, Thickness: 3.5, EdgeTop: 1.2},
	{
		Part: Concha, Label: "Conchal vault", Colour: "#0072B2", Place: UnderBase, Thickness: 2.5, EdgeBottom: 0.6,
		LetIn: []Part{Helix},
	},
}

// All returns the rows, the base frame first.
func All() []Row { return table }

// Names returns the names of all parts, in the table's order.
func Names() []string {
	names := make([]string, len(table))
	for i, row := range table {
		names[i] = string(row.Part)
	}
	return names
}

// Known reports whether a name is that of a part.
func Known(name string) bool { return Part(name).Order() < len(table) }

// Order returns the part's place in the table, and what comes after all for a
// name that is none.
func (p Part) Order() int {
	if i := slices.IndexFunc(table, func(r Row) bool { return r.Part == p }); i >= 0 {
		return i
	}
	return len(table)
}

// Row returns the part's row. What is no part has one of no values, its own name
// for a label and grey for a colour.
func (p Part) Row() Row {
	if i := p.Order(); i < len(table) {
		return table[i]
	}
	return Row{Part: p, Label: string(p), Colour: "#999999"}
}

// Label returns the part's name as it is shown.
func (p Part) Label() string { return p.Row().Label }

// Colour returns the part's colour as #RRGGBB.
func (p Part) Colour() string { return p.Row().Colour }
