package meshfile

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"image/color"
	"math"

	"earframe/mesh"
	"earframe/mesh/internal/places"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/qmuntal/gltf"
)

const (
	glbHeadBytes = 20 // of the file, 12, and of its first chunk, 8
	glbChunkHead = 8

	// glbNodes bounds the nodes that are visited: in a file that keeps the
	// rules, which forbid two ways to a node, there are never more than it has.
	glbNodes = 1 << 16
)

// ReadGLB returns the meshes in the file's scene, in millimetres, with the axes
// as they are stored: an object for each node with a mesh. Where the nodes above
// only scale to metres and move, vertices are as stored and Offset says where
// to; else they are where the nodes put them. Vertices at exactly equal places
// become one, since glTF splits them where normals or textures differ.
func ReadGLB(data []byte) ([]Object, error) {
	doc, buffer, err := splitGLB(data)
	if err != nil {
		return nil, fmt.Errorf("GLB: %w", err)
	}
	r := &glbReader{doc: doc, buffer: buffer, visited: make([]bool, len(doc.Nodes))}
	scene := 0
	if doc.Scene != nil {
		scene = *doc.Scene
	}
	if scene < 0 || scene >= len(doc.Scenes) {
		return nil, fmt.Errorf("GLB: scene %d of %d", scene, len(doc.Scenes))
	}
	const millimetresToMetre = 1000
	for _, node := range doc.Scenes[scene].Nodes {
		if err := r.visit(node, mgl64.Scale3D(millimetresToMetre, millimetresToMetre, millimetresToMetre)); err != nil {
			return nil, fmt.Errorf("GLB: %w", err)
		}
	}
	if len(r.placed) == 0 {
		return nil, errors.New("GLB: the scene has no meshes")
	}
	objects := make([]Object, len(r.placed))
	for i, p := range r.placed {
		if objects[i], err = r.object(*p.node.Mesh); err != nil {
			return nil, fmt.Errorf("GLB: node %d: %w", p.index, err)
		}
		objects[i].Name = p.node.Name
		objects[i].Mesh, objects[i].Offset = placed(objects[i].Mesh, p.place)
	}
	return objects, nil
}

// splitGLB cuts the file into its JSON, decoded, and its buffer.
func splitGLB(data []byte) (*gltf.Document, []byte, error) {
	if len(data) < glbHeadBytes || string(data[:4]) != "glTF" {
		return nil, nil, errors.New("cut short, or not GLB")
	}
	word := func(at int) uint32 { return binary.LittleEndian.Uint32(data[at:]) }
	if version := word(4); version != 2 {
		return nil, nil, fmt.Errorf("version %d; 2 is read", version)
	}
	if length := word(8); int64(length) != int64(len(data)) {
		return nil, nil, fmt.Errorf("%d bytes, its header says %d", len(data), length)
	}
	jsonLength := int64(word(12))
	if string(data[16:20]) != "JSON" || jsonLength > int64(len(data)-glbHeadBytes) {
		return nil, nil, errors.New("the first chunk is not JSON, or is cut short")
	}
	doc := new(gltf.Document)
	if err := json.Unmarshal(data[glbHeadBytes:glbHeadBytes+jsonLength], doc); err != nil {
		return nil, nil, err
	}
	rest := data[glbHeadBytes+jsonLength:]
	if len(rest) < glbChunkHead || !bytes.Equal(rest[4:8], []byte("BIN\x00")) ||
		int64(binary.LittleEndian.Uint32(rest)) > int64(len(rest)-glbChunkHead) {
		return nil, nil, errors.New("no binary chunk, or it is cut short; meshes in further files are not read")
	}
	return doc, rest[glbChunkHead : glbChunkHead+int(binary.LittleEndian.Uint32(rest))], nil
}

// glbReader walks a document's nodes and only then reads the meshes, when it
// knows how much they are together.
type glbReader struct {
	doc     *gltf.Document
	buffer  []byte
	visited []bool
	placed  []glbPlaced
	total   readTotal
}

// glbPlaced is a node with a mesh and where the nodes above put it.
type glbPlaced struct {
	index int
	node  *gltf.Node
	place mgl64.Mat4
}

func (r *glbReader) visit(index int, above mgl64.Mat4) error {
	if index < 0 || index >= len(r.doc.Nodes) || r.doc.Nodes[index] == nil {
		return fmt.Errorf("node %d of %d", index, len(r.doc.Nodes))
	}
	if r.visited[index] {
		return fmt.Errorf("node %d is reached twice", index)
	}
	if r.visited[index] = true; index >= glbNodes {
		return fmt.Errorf("more than %d nodes", glbNodes)
	}
	node := r.doc.Nodes[index]
	place := above.Mul4(glbMatrix(node))
	if node.Mesh != nil {
		if err := r.count(*node.Mesh); err != nil {
			return fmt.Errorf("node %d: %w", index, err)
		}
		r.placed = append(r.placed, glbPlaced{index, node, place})
	}
	for _, child := range node.Children {
		if err := r.visit(child, place); err != nil {
			return err
		}
	}
	return nil
}

// glbMatrix returns the node's own matrix, or the one of its translation,
// rotation and scale.
func glbMatrix(node *gltf.Node) mgl64.Mat4 {
	if matrix := mgl64.Mat4(node.MatrixOrDefault()); matrix != mgl64.Ident4() {
		return matrix
	}
	move, turn, scale := node.TranslationOrDefault(), node.RotationOrDefault(), node.ScaleOrDefault()
	rotation := mgl64.Ident4()
	if turn != gltf.DefaultRotation {
		rotation = mgl64.Quat{W: turn[3], V: mgl64.Vec3{turn[0], turn[1], turn[2]}}.Normalize().Mat4()
	}
	return mgl64.Translate3D(move[0], move[1], move[2]).Mul4(rotation).Mul4(mgl64.Scale3D(scale[0], scale[1], scale[2]))
}

// object reads a mesh's primitives into one.
func (r *glbReader) object(index int) (Object, error) {
	stored := r.doc.Meshes[index]
	object := Object{Label: stored.Name}
	joined := places.NewIndex(0)
	var triangles [][3]int32
	for i, primitive := range stored.Primitives {
		corners, err := r.primitive(primitive, joined)
		if err != nil {
			return Object{}, fmt.Errorf("mesh %d, primitive %d: %w", index, i, err)
		}
		triangles = append(triangles, corners...)
		if i == 0 {
			object.Color = r.color(primitive.Material)
		}
	}
	object.Mesh = &mesh.Mesh{Vertices: joined.Points, Triangles: triangles}
	return object, nil
}

// count adds what the mesh's accessors promise: thousands of primitives may
// stand on one accessor.
func (r *glbReader) count(index int) error {
	if index < 0 || index >= len(r.doc.Meshes) || r.doc.Meshes[index] == nil {
		return fmt.Errorf("mesh %d of %d", index, len(r.doc.Meshes))
	}
	values := func(index int) int {
		if index < 0 || index >= len(r.doc.Accessors) || r.doc.Accessors[index] == nil {
			return 0 // said when it is read
		}
		return min(max(r.doc.Accessors[index].Count, 0), maxFileBytes)
	}
	for i, p := range r.doc.Meshes[index].Primitives {
		if p == nil {
			continue
		}
		vertices := 0
		if position, has := p.Attributes[gltf.POSITION]; has {
			vertices = values(position)
		}
		corners := vertices
		if p.Indices != nil {
			corners = values(*p.Indices)
		}
		if err := r.total.add(vertices, corners/3); err != nil {
			return fmt.Errorf("mesh %d, primitive %d: %w", index, i, err)
		}
	}
	return nil
}

// primitive adds the primitive's places to joined and returns its triangles on them.
func (r *glbReader) primitive(p *gltf.Primitive, joined *places.Index) ([][3]int32, error) {
	if p == nil || p.Mode != gltf.PrimitiveTriangles {
		return nil, errors.New("not a list of triangles")
	}
	position, has := p.Attributes[gltf.POSITION]
	if !has {
		return nil, errors.New("no positions")
	}
	bits, err := r.words(position, gltf.AccessorVec3)
	if err != nil {
		return nil, fmt.Errorf("positions: %w", err)
	}
	vertices := make([]int32, len(bits)/3)
	for i := range vertices {
		var at mgl64.Vec3
		for k := range at {
			at[k] = float64(math.Float32frombits(bits[3*i+k]))
		}
		if !mesh.IsFinite(at) {
			return nil, fmt.Errorf("vertex %d at %v is not finite", i, at)
		}
		vertices[i], _ = joined.Add(at)
	}
	var indices []uint32
	if p.Indices != nil {
		if indices, err = r.words(*p.Indices, gltf.AccessorScalar); err != nil {
			return nil, fmt.Errorf("indices: %w", err)
		}
	} else {
		for i := range vertices {
			indices = append(indices, uint32(i))
		}
	}
	if len(indices)%3 != 0 {
		return nil, fmt.Errorf("%d indices are no triangles", len(indices))
	}
	triangles := make([][3]int32, len(indices)/3)
	for i, v := range indices {
		if int64(v) >= int64(len(vertices)) {
			return nil, fmt.Errorf("triangle %d names vertex %d of %d", i/3, v, len(vertices))
		}
		triangles[i/3][i%3] = vertices[v]
	}
	return triangles, nil
}

// words returns the values of an accessor that lies in the file's own buffer:
// single precision numbers as their bits, or indices.
func (r *glbReader) words(index int, kind gltf.AccessorType) ([]uint32, error) {
	if index < 0 || index >= len(r.doc.Accessors) || r.doc.Accessors[index] == nil {
		return nil, fmt.Errorf("accessor %d of %d", index, len(r.doc.Accessors))
	}
	a := r.doc.Accessors[index]
	size, parts := 0, 1
	switch {
	case a.Type != kind || a.Sparse != nil || a.BufferView == nil || a.Normalized:
	case kind == gltf.AccessorVec3 && a.ComponentType == gltf.ComponentFloat:
		size, parts = 4, 3
	case kind == gltf.AccessorScalar && a.ComponentType == gltf.ComponentUint:
		size = 4
	case kind == gltf.AccessorScalar && a.ComponentType == gltf.ComponentUshort:
		size = 2
	case kind == gltf.AccessorScalar && a.ComponentType == gltf.ComponentUbyte:
		size = 1
	}
	if size == 0 {
		return nil, fmt.Errorf(
			"accessor %d: only plain positions and indices are read, not sparse, quantised or compressed ones", index)
	}
	bytes, stride, err := r.view(*a.BufferView, a.ByteOffset)
	if err != nil {
		return nil, fmt.Errorf("accessor %d: %w", index, err)
	}
	if stride == 0 {
		stride = size * parts
	}
	if a.Count < 0 || stride < size*parts ||
		(a.Count > 0 && (len(bytes)-size*parts)/stride < a.Count-1) || (a.Count > 0 && len(bytes) < size*parts) {
		return nil, fmt.Errorf("accessor %d: %d values do not fit into %d bytes", index, a.Count, len(bytes))
	}
	out := make([]uint32, 0, a.Count*parts)
	for i := range a.Count {
		for k := range parts {
			at := bytes[i*stride+k*size:]
			switch size {
			case 4:
				out = append(out, binary.LittleEndian.Uint32(at))
			case 2:
				out = append(out, uint32(binary.LittleEndian.Uint16(at)))
			default:
				out = append(out, uint32(at[0]))
			}
		}
	}
	return out, nil
}

// view returns the bytes of a buffer view from the offset on.
func (r *glbReader) view(index, offset int) (bytes []byte, stride int, err error) {
	if index < 0 || index >= len(r.doc.BufferViews) || r.doc.BufferViews[index] == nil {
		return nil, 0, fmt.Errorf("buffer view %d of %d", index, len(r.doc.BufferViews))
	}
	v := r.doc.BufferViews[index]
	if v.Buffer != 0 || len(r.doc.Buffers) == 0 || r.doc.Buffers[0] == nil || r.doc.Buffers[0].URI != "" {
		return nil, 0, fmt.Errorf("buffer view %d does not lie in the file's own buffer", index)
	}
	if v.ByteOffset < 0 || v.ByteLength < 0 || v.ByteStride < 0 || offset < 0 ||
		v.ByteOffset > len(r.buffer) || v.ByteLength > len(r.buffer)-v.ByteOffset || offset > v.ByteLength {
		return nil, 0, fmt.Errorf("buffer view %d reaches beyond the buffer", index)
	}
	return r.buffer[v.ByteOffset+offset : v.ByteOffset+v.ByteLength], v.ByteStride, nil
}

// color returns the base colour of a material as on the screen.
func (r *glbReader) color(material *int) color.RGBA {
	if material == nil || *material < 0 || *material >= len(r.doc.Materials) || r.doc.Materials[*material] == nil ||
		r.doc.Materials[*material].PBRMetallicRoughness == nil {
		return color.RGBA{R: 255, G: 255, B: 255, A: 255}
	}
	c := r.doc.Materials[*material].PBRMetallicRoughness.BaseColorFactorOrDefault()
	opacity := uint8(math.Round(255 * mgl64.Clamp(c[3], 0, 1)))
	return color.RGBA{screenValue(c[0]), screenValue(c[1]), screenValue(c[2]), opacity}
}
