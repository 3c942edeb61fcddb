package record

import (
	"earframe/mesh"
	"earframe/mesh/wall"
	"earframe/template"
)

// Inspected is what is said of one file.
type Inspected struct {
	File   string          `json:"file"`
	Meshes []InspectedMesh `json:"meshes,omitempty"`
	Shapes []Shape         `json:"shapes,omitempty"` // of a drawing
}

// InspectedMesh is what is said of one mesh in a file.
type InspectedMesh struct {
	Name     string  `json:"name"`
	Sound    bool    `json:"sound"`
	Verdict  Verdict `json:"verdict"`
	Thinnest *Wall   `json:"thinnest_wall"`
}

// Shape is template.Shape.
type Shape struct {
	ID       string   `json:"id"`
	Element  string   `json:"element"`
	Title    string   `json:"title,omitempty"`
	Layer    string   `json:"layer,omitempty"`
	Parts    []string `json:"parts"`
	Line     int      `json:"line"`
	Unit     string   `json:"unit"`
	Width    float64  `json:"width"`
	Height   float64  `json:"height"`
	Left     float64  `json:"left"`
	Top      float64  `json:"top"`
	Area     float64  `json:"area"`
	Outlines int      `json:"outlines"`
	Closed   bool     `json:"closed"`
	Problem  string   `json:"problem,omitempty"`
}

// NewMesh takes down what the judge found in a mesh, and its thinnest wall where it
// has one.
func NewMesh(name string, v mesh.Verdict, thinnest *wall.Wall) InspectedMesh {
	return InspectedMesh{Name: name, Sound: v.Sound(), Verdict: meshVerdict(v), Thinnest: (*Wall)(thinnest)}
}

// NewShapes takes down the shapes of a drawing.
func NewShapes(shapes []template.Shape) []Shape {
	return each(shapes, func(s template.Shape) Shape { return Shape(s) })
}
