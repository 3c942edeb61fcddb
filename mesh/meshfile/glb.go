package meshfile

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"image/color"
	"io"
	"math"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/qmuntal/gltf"
)

// GLB is the binary form of glTF 2.0, whose lengths are metres and whose y axis
// points up, z towards the viewer (glTF 2.0 specification, 3.4). The frame of
// reference here has the same axes, superior up and lateral towards the viewer,
// so the meshes are stored as they are, in millimetres, below one node that
// scales them to metres. There are no normals: the specification then asks for
// flat shading. See glb_read.go for reading.

const metresToMillimetre = 0.001

// glbNote stands in the file beside the title, for a person.
type glbNote struct {
	Title       string `json:"title,omitempty"`
	Description string `json:"description,omitempty"`
	Unit        string `json:"unit"`
}

// WriteGLB writes the document as GLB: a node, a mesh and a material for each
// object. The same document gives the same bytes each time. It is an error if a
// coordinate is not held exactly by single precision.
func WriteGLB(w io.Writer, document Document) error {
	doc := &gltf.Document{
		Asset: gltf.Asset{
			Version: "2.0", Generator: Application,
			Extras: glbNote{document.Title, document.Description,
				"mesh coordinates are millimetres; the root node scales them to metres"},
		},
		Scene:  gltf.Index(0),
		Scenes: []*gltf.Scene{{Name: document.Title, Nodes: []int{0}}},
		Nodes: []*gltf.Node{{Name: "millimetres",
			Scale: [3]float64{metresToMillimetre, metresToMillimetre, metresToMillimetre}}},
	}
	var buffer []byte
	for _, object := range document.Objects {
		if err := checkStorable(object.Name, object.Mesh); err != nil {
			return fmt.Errorf("GLB: %w", err)
		}
		if len(object.Mesh.Triangles) == 0 {
			return fmt.Errorf("GLB: %s: no triangles; glTF has no empty meshes", object.Name)
		}
		buffer = addGLBObject(doc, buffer, object)
	}
	if len(buffer) > math.MaxUint32/2 {
		return fmt.Errorf("GLB: %d MB are more than the format holds", len(buffer)>>20)
	}
	if len(buffer) == 0 {
		return fmt.Errorf("GLB: no objects to write")
	}
	doc.Buffers = []*gltf.Buffer{{ByteLength: len(buffer), Data: buffer}}
	// The library passes over some errors of the writer; the buffer keeps them.
	buffered := bufio.NewWriterSize(w, 1<<16)
	if err := gltf.NewEncoder(buffered).Encode(doc); err != nil {
		return fmt.Errorf("GLB: %w", err)
	}
	return buffered.Flush()
}

// addGLBObject appends the object's coordinates and indices to the buffer, and
// what describes them to the document.
func addGLBObject(doc *gltf.Document, buffer []byte, object Object) []byte {
	m := object.Mesh
	positionsAt := len(buffer)
	for _, p := range m.Vertices {
		for _, x := range stlPoint(p) {
			buffer = binary.LittleEndian.AppendUint32(buffer, math.Float32bits(x))
		}
	}
	indicesAt := len(buffer)
	for _, t := range m.Triangles {
		for _, v := range t {
			buffer = binary.LittleEndian.AppendUint32(buffer, uint32(v))
		}
	}
	view := len(doc.BufferViews)
	doc.BufferViews = append(doc.BufferViews,
		&gltf.BufferView{ByteOffset: positionsAt, ByteLength: indicesAt - positionsAt, Target: gltf.TargetArrayBuffer},
		&gltf.BufferView{ByteOffset: indicesAt, ByteLength: len(buffer) - indicesAt, Target: gltf.TargetElementArrayBuffer})
	lo, hi := m.Bounds()
	doc.Accessors = append(doc.Accessors,
		&gltf.Accessor{BufferView: gltf.Index(view), ComponentType: gltf.ComponentFloat, Type: gltf.AccessorVec3,
			Count: len(m.Vertices), Min: lo[:], Max: hi[:]},
		&gltf.Accessor{BufferView: gltf.Index(view + 1), ComponentType: gltf.ComponentUint, Type: gltf.AccessorScalar,
			Count: 3 * len(m.Triangles)})
	doc.Materials = append(doc.Materials, &gltf.Material{
		Name: object.title(), PBRMetallicRoughness: glbPaint(object.paint()),
	})
	doc.Meshes = append(doc.Meshes, &gltf.Mesh{Name: object.title(), Primitives: []*gltf.Primitive{{
		Attributes: gltf.PrimitiveAttributes{gltf.POSITION: view}, Indices: gltf.Index(view + 1),
		Material: gltf.Index(len(doc.Materials) - 1),
	}}})
	doc.Nodes[0].Children = append(doc.Nodes[0].Children, len(doc.Nodes))
	doc.Nodes = append(doc.Nodes, &gltf.Node{
		Name: object.Name, Mesh: gltf.Index(len(doc.Meshes) - 1), Translation: object.Offset,
	})
	return buffer
}

// glbPaint returns a dull paint of the colour; glTF wants linear light.
func glbPaint(c color.RGBA) *gltf.PBRMetallicRoughness {
	return &gltf.PBRMetallicRoughness{
		BaseColorFactor: &[4]float64{linearLight(c.R), linearLight(c.G), linearLight(c.B), float64(c.A) / 255},
		MetallicFactor:  gltf.Float(0),
		RoughnessFactor: gltf.Float(0.8),
	}
}

// linearLight turns an sRGB value into linear light, and screenValue back
// (IEC 61966-2-1).
func linearLight(value uint8) float64 {
	x := float64(value) / 255
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

func screenValue(light float64) uint8 {
	x := 12.92 * light
	if light > 0.0031308 {
		x = 1.055*math.Pow(light, 1/2.4) - 0.055
	}
	return uint8(math.Round(255 * mgl64.Clamp(x, 0, 1)))
}
