package mould

import (
	"earframe/field"
	"earframe/mesh"
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
	Name      string  `json:"name"` // of the part
	Label     string  `json:"label"`
	Kind      string  `json:"kind"` // units.MouldOpen or MouldTwoPart
	Cast      string  `json:"cast"`
	Wall      float64 `json:"wall_mm"`
	Draft     float64 `json:"draft_degrees"`
	Shrinkage float64 `json:"shrinkage_percent"`
	Step      float64 `json:"step_mm"` // at which surfaces were sampled

	Pieces     []Piece         `json:"pieces"`
	CavityML   float64         `json:"cavity_ml"`   // of the part as it is cast
	ChannelsML float64         `json:"channels_ml"` // of funnels and vents
	BlockML    float64         `json:"block_ml"`    // of the mould before anything is taken out
	Size       mgl64.Vec3      `json:"size_mm"`     // of the closed mould
	Turned     bool            `json:"turned"`      // the part lies in it with its underside up
	FlatShare  float64         `json:"flat_share"`  // of the part's outline that its flattest side reaches
	Parting    *Parting        `json:"parting,omitempty"`
	Funnels    []Channel       `json:"funnels,omitempty"` // one a cavity
	Vents      []Channel       `json:"vents,omitempty"`
	Keys       []Key           `json:"keys,omitempty"`
	Undercuts  []Undercut      `json:"undercuts"`
	Findings   []units.Finding `json:"findings"`
	Cavity     field.Field     `json:"-"` // as it lies in the mould
	CavityMesh *mesh.Mesh      `json:"-"` // its surface
	Block      field.Field     `json:"-"` // the outer shape, all pieces together
	placing    placing         // of the part
}

// Piece is one piece of a mould.
type Piece struct {
	Name    string       `json:"name"`
	Solid   field.Field  `json:"-"` // as it stands when the mould is closed
	Mesh    *mesh.Mesh   `json:"-"` // its surface there, simplified
	Verdict mesh.Verdict `json:"verdict"`
	// Thinnest is the thinnest wall of the piece, in the mould.
	Thinnest *mesh.Wall `json:"thinnest,omitempty"`
}

// Printed returns the piece's surface as it is printed: its flat outside down,
// its cavity up, so that no support is needed. The upper half is turned by half
// a turn about x; coordinates stay numbers that a float32 holds.
func (p *Piece) Printed() *mesh.Mesh {
	if p.Name != Upper {
		return p.Mesh
	}
	return placing{scale: 1, turned: true}.mesh(p.Mesh)
}

// IntoMould returns where a point of the part, mm, lies in the mould.
func (m *Mould) IntoMould(p mgl64.Vec3) mgl64.Vec3 { return m.placing.intoMould(p) }

// IntoPart returns which point of the part a place in the mould is of.
func (m *Mould) IntoPart(p mgl64.Vec3) mgl64.Vec3 { return m.placing.intoPart(p) }

// PourML returns what fills the mould: the cavity, the funnel and the vents.
func (m *Mould) PourML() float64 { return m.CavityML + m.ChannelsML }
