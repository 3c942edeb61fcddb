package mould

import (
	"earframe/field"
	"earframe/mesh"
	"earframe/mesh/wall"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// The names of a mould's pieces.
const (
	Open  = "open"
	Lower = "lower"
	Upper = "upper"
)

// Mould is what one part is cast in. Places and heights are in the mould's own
// frame: z = 0 is its underside as it is poured.
type Mould struct {
	Name      string // of the part
	Label     string
	Kind      string // units.MouldOpen or MouldTwoPart
	Cast      string
	Wall      float64
	Draft     float64
	Shrinkage float64
	Step      float64 // at which surfaces were sampled

	Pieces     []Section
	CavityML   float64    // of the part as it is cast
	ChannelsML float64    // of funnels and vents
	BlockML    float64    // of the mould before anything is taken out
	Size       mgl64.Vec3 // of the closed mould
	Turned     bool       // the part lies in it with its underside up
	FlatShare  float64    // of the part's outline that its flattest side reaches
	Parting    *Parting
	Funnels    []Channel // one a cavity
	Vents      []Channel
	Keys       []Key
	Undercuts  []Undercut
	Findings   []units.Finding
	Cavity     field.Field // as it lies in the mould
	CavityMesh *mesh.Mesh  // its surface
	Block      field.Field // the outer shape, all pieces together
	placing    placing     // of the part
}

// Section is one piece of a mould.
type Section struct {
	Name    string
	Solid   field.Field // as it stands when the mould is closed
	Mesh    *mesh.Mesh  // its surface there, simplified
	Verdict mesh.Verdict
	// Thinnest is the thinnest wall of the piece, in the mould.
	Thinnest *wall.Wall
}

// Printed returns the piece's surface as it is printed: its flat outside down,
// its cavity up, so that no support is needed. The upper half is turned by half
// a turn about x; coordinates stay numbers that a float32 holds.
func (p *Section) Printed() *mesh.Mesh {
	if p.Name != Upper {
		return p.Mesh
	}
	return placing{scale: 1, turned: true}.mesh(p.Mesh)
}

// PourML returns what fills the mould: the cavity, the funnel and the vents.
func (m *Mould) PourML() float64 { return m.CavityML + m.ChannelsML }
