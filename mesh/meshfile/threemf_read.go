package meshfile

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image/color"
	"io"
	"path"
	"strings"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/hpinc/go3mf"
)

const (
	// maxModelBytes bounds the XML that a package unpacks to.
	maxModelBytes = 512 << 20

	// threemfParts bounds the objects that components multiply to.
	threemfParts = 4096

	// threemfDepth bounds components of components.
	threemfDepth = 32
)

// Read3MF returns what the package builds, in millimetres: an object for each
// build item, or for each mesh of an item that is put together from components.
// Where the build only moves an object its vertices are as stored and Offset
// says where to; else they are where the build puts them. Objects that are not
// built are left out. A package whose meshes lie in further model parts
// (production extension) is refused.
func Read3MF(data []byte) ([]Object, error) {
	content, err := threemfRootModel(data)
	if err != nil {
		return nil, fmt.Errorf("3MF: %w", err)
	}
	if err := checkExtensions(content); err != nil {
		return nil, fmt.Errorf("3MF: %w", err)
	}
	if content, err = plainXML(content); err != nil {
		return nil, fmt.Errorf("3MF: %w", err)
	}
	model, err := decodeModel(content)
	if err != nil {
		return nil, fmt.Errorf("3MF: %w", err)
	}
	reader := &threemfReader{model: model, meshes: map[uint32]*mesh.Mesh{}}
	for i, item := range model.Build.Items {
		if err := reader.collect(item.ObjectID, threemfMatrix(item.Transform), 0); err != nil {
			return nil, fmt.Errorf("3MF: build item %d: %w", i+1, err)
		}
	}
	if len(reader.placed) == 0 {
		return nil, errors.New("3MF: the package builds nothing")
	}
	objects := make([]Object, len(reader.placed))
	for i, p := range reader.placed {
		if objects[i], err = reader.object(p); err != nil {
			return nil, fmt.Errorf("3MF: %w", err)
		}
	}
	return objects, nil
}

// threemfRootModel unpacks the model part that the package starts with.
func threemfRootModel(data []byte) ([]byte, error) {
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	relationships, err := unpackEntry(archive, threemfRelationships, maxModelBytes)
	if err != nil {
		return nil, err
	}
	var list struct {
		Relationship []struct {
			Type   string `xml:"Type,attr"`
			Target string `xml:"Target,attr"`
		} `xml:"Relationship"`
	}
	if err := xml.Unmarshal(relationships, &list); err != nil {
		return nil, fmt.Errorf("%s: %w", threemfRelationships, err)
	}
	for _, r := range list.Relationship {
		if r.Type == go3mf.RelType3DModel {
			return unpackEntry(archive, strings.TrimPrefix(path.Clean("/"+r.Target), "/"), maxModelBytes)
		}
	}
	return nil, fmt.Errorf("%s names no 3D model", threemfRelationships)
}

// unpackEntry unpacks a part of at most limit bytes.
func unpackEntry(archive *zip.Reader, name string, limit int) ([]byte, error) {
	for _, file := range archive.File {
		if !strings.EqualFold(file.Name, name) { // part names are equal in any case (OPC)
			continue
		}
		entry, err := file.Open()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		defer entry.Close()
		content, err := io.ReadAll(io.LimitReader(entry, int64(limit)+1))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if len(content) > limit {
			return nil, fmt.Errorf("%s: unpacks to more than %d MB", name, limit>>20)
		}
		return content, nil
	}
	return nil, fmt.Errorf("the package has no %s; a 3MF package is needed", name)
}

// decodeModel keeps a fault of the library away from the caller.
func decodeModel(content []byte) (model *go3mf.Model, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("the model cannot be read: %v", fault)
		}
	}()
	model = new(go3mf.Model)
	if err := go3mf.UnmarshalModel(content, model); err != nil {
		return nil, err
	}
	return model, nil
}

// threemfReader collects the meshes that the build leads to and only then reads
// them, when it knows how much they are together.
type threemfReader struct {
	model  *go3mf.Model
	meshes map[uint32]*mesh.Mesh // as stored, by object
	placed []threemfPlaced
	places int // looked at so far
	total  readTotal
}

// threemfPlaced is an object with a mesh and where the build puts it.
type threemfPlaced struct {
	stored *go3mf.Object
	place  mgl64.Mat4
}

// collect appends the object's mesh, or those of its components, as the matrix
// places them.
func (r *threemfReader) collect(id uint32, place mgl64.Mat4, depth int) error {
	object, found := r.model.Resources.FindObject(id)
	switch r.places++; {
	case !found:
		return fmt.Errorf("object %d is not in the model part", id)
	case depth > threemfDepth:
		return fmt.Errorf("object %d: components more than %d deep, or that contain themselves", id, threemfDepth)
	case r.places > threemfParts:
		return fmt.Errorf("more than %d components", threemfParts)
	}
	if object.Components != nil {
		for _, c := range object.Components.Component {
			if err := r.collect(c.ObjectID, place.Mul4(threemfMatrix(c.Transform)), depth+1); err != nil {
				return err
			}
		}
		return nil
	}
	if object.Mesh == nil {
		return fmt.Errorf("object %d has neither a mesh nor components", object.ID)
	}
	r.placed = append(r.placed, threemfPlaced{object, place})
	return r.total.add(len(object.Mesh.Vertices.Vertex), len(object.Mesh.Triangles.Triangle))
}

func (r *threemfReader) object(p threemfPlaced) (Object, error) {
	m, err := r.mesh(p.stored)
	if err != nil {
		return Object{}, err
	}
	read := Object{Name: p.stored.Name}
	read.Label, read.Color = r.material(p.stored)
	read.Mesh, read.Offset = placed(m, threemfScale(r.model.Units).Mul4(p.place))
	return read, nil
}

func (r *threemfReader) mesh(object *go3mf.Object) (*mesh.Mesh, error) {
	if m, known := r.meshes[object.ID]; known {
		return m, nil
	}
	m := &mesh.Mesh{
		Vertices:  make([]mgl64.Vec3, len(object.Mesh.Vertices.Vertex)),
		Triangles: make([][3]int32, len(object.Mesh.Triangles.Triangle)),
	}
	for i, p := range object.Mesh.Vertices.Vertex {
		m.Vertices[i] = mgl64.Vec3{float64(p[0]), float64(p[1]), float64(p[2])}
		if !mesh.IsFinite(m.Vertices[i]) {
			return nil, fmt.Errorf("object %d: vertex %d at %v is not finite", object.ID, i, m.Vertices[i])
		}
	}
	for i, t := range object.Mesh.Triangles.Triangle {
		for k, v := range [3]uint32{t.V1, t.V2, t.V3} {
			if int64(v) >= int64(len(m.Vertices)) {
				return nil, fmt.Errorf("object %d: triangle %d names vertex %d of %d", object.ID, i, v, len(m.Vertices))
			}
			m.Triangles[i][k] = int32(v)
		}
	}
	r.meshes[object.ID] = m
	return m, nil
}

// material returns the name and colour of the object's base material.
func (r *threemfReader) material(object *go3mf.Object) (label string, shade color.RGBA) {
	asset, _ := r.model.Resources.FindAsset(object.PID)
	if group, is := asset.(*go3mf.BaseMaterials); is && int(object.PIndex) < len(group.Materials) {
		base := group.Materials[object.PIndex]
		return base.Name, base.Color
	}
	return "", color.RGBA{}
}

// placed returns the mesh and the offset that the matrix says: the mesh itself
// where the matrix only moves it, else one with moved vertices. A mirroring
// matrix turns the triangles too, so that they stay wound outwards.
func placed(m *mesh.Mesh, matrix mgl64.Mat4) (*mesh.Mesh, mgl64.Vec3) {
	offset := matrix.Col(3).Vec3()
	if matrix.Mat3() == mgl64.Ident3() {
		return m, offset
	}
	out := &mesh.Mesh{Vertices: make([]mgl64.Vec3, len(m.Vertices)), Triangles: m.Triangles}
	for i, p := range m.Vertices {
		out.Vertices[i] = mgl64.TransformCoordinate(p, matrix)
	}
	if matrix.Mat3().Det() < 0 {
		out.Triangles = make([][3]int32, len(m.Triangles))
		for i, t := range m.Triangles {
			out.Triangles[i] = [3]int32{t[0], t[2], t[1]}
		}
	}
	return out, mgl64.Vec3{}
}

// threemfMatrix turns the package's matrix, which takes rows of coordinates,
// into one that takes columns. The zero matrix stands for none.
func threemfMatrix(m go3mf.Matrix) mgl64.Mat4 {
	if m == (go3mf.Matrix{}) {
		return mgl64.Ident4()
	}
	var out mgl64.Mat4 // columns first: row-major for rows is the same memory
	for i, x := range m {
		out[i] = float64(x)
	}
	return out
}

// threemfScale returns millimetres to the unit.
func threemfScale(unit go3mf.Units) mgl64.Mat4 {
	scale := 1.0
	switch unit {
	case go3mf.UnitMicrometer:
		scale = 0.001
	case go3mf.UnitCentimeter:
		scale = 10
	case go3mf.UnitInch:
		scale = 25.4
	case go3mf.UnitFoot:
		scale = 304.8
	case go3mf.UnitMeter:
		scale = 1000
	}
	return mgl64.Scale3D(scale, scale, scale)
}
