package mesh

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"slices"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/hpinc/go3mf"
	"github.com/hpinc/go3mf/spec"
)

// 3MF as its Core Specification 1.4.0 says: a zip package of XML with a unit,
// names, materials and shared vertices. See threemf_read.go for reading.

// Write3MF writes the document as 3MF in millimetres: an object and a base
// material for each mesh, all of them in the build, moved by their offset
// (rounded to 0.001 mm). The same document gives the same bytes each time. It is
// an error if a coordinate is not held exactly by single precision.
func Write3MF(w io.Writer, document Document) error {
	model, err := threemfModel(document)
	if err != nil {
		return err
	}
	var packed bytes.Buffer
	encoder := go3mf.NewEncoder(&packed)
	encoder.FloatPrecision = -1 // as many digits as tell the number from any other
	if err := encoder.Encode(model); err != nil {
		return fmt.Errorf("3MF: %w", err)
	}
	return repack(w, packed.Bytes())
}

// threemfMaterials is the id of the one group of materials; objects follow.
const threemfMaterials = 1

func threemfModel(document Document) (*go3mf.Model, error) {
	materials := &go3mf.BaseMaterials{ID: threemfMaterials}
	model := &go3mf.Model{
		Units:    go3mf.UnitMillimeter,
		Language: "en-US",
		// Known beforehand, so that the library does not draw a random id.
		RootRelationships: []go3mf.Relationship{{ID: "rel0", Type: go3mf.RelType3DModel, Path: go3mf.DefaultModelPath}},
		Resources:         go3mf.Resources{Assets: []go3mf.Asset{materials}},
	}
	for _, entry := range [][2]string{{"Title", document.Title}, {"Description", document.Description}, {"Application", Application}} {
		if entry[1] != "" {
			model.Metadata = append(model.Metadata, go3mf.Metadata{Name: xml.Name{Local: entry[0]}, Value: entry[1]})
		}
	}
	for i, object := range document.Objects {
		if err := checkStorable(object.Name, object.Mesh); err != nil {
			return nil, fmt.Errorf("3MF: %w", err)
		}
		materials.Materials = append(materials.Materials, go3mf.Base{Name: object.title(), Color: object.paint()})
		id := uint32(threemfMaterials + 1 + i)
		model.Resources.Objects = append(model.Resources.Objects, &go3mf.Object{
			ID: id, Name: object.Name, PID: threemfMaterials, Mesh: threemfMesh(object.Mesh),
			AnyAttr: spec.AnyAttr{threemfIndex(i)},
		})
		item := &go3mf.Item{ObjectID: id}
		if object.Offset != (mgl64.Vec3{}) {
			item.Transform = go3mf.Identity().Translate(float32(object.Offset[0]), float32(object.Offset[1]), float32(object.Offset[2]))
		}
		model.Build.Items = append(model.Build.Items, item)
	}
	return model, nil
}

func threemfMesh(m *Mesh) *go3mf.Mesh {
	out := new(go3mf.Mesh)
	out.Vertices.Vertex = make([]go3mf.Point3D, len(m.Vertices))
	for i, p := range m.Vertices {
		out.Vertices.Vertex[i] = go3mf.Point3D(stlPoint(p))
	}
	out.Triangles.Triangle = make([]go3mf.Triangle, len(m.Triangles))
	for i, t := range m.Triangles {
		out.Triangles.Triangle[i] = go3mf.Triangle{V1: uint32(t[0]), V2: uint32(t[1]), V3: uint32(t[2])}
	}
	return out
}

// threemfIndex writes the attribute pindex, which the library leaves out where
// it is 0.
type threemfIndex int

func (threemfIndex) Namespace() string                   { return "" }
func (threemfIndex) Unmarshal3MFAttr(spec.XMLAttr) error { return nil }

func (i threemfIndex) Marshal3MF(_ spec.Encoder, start *xml.StartElement) error {
	start.Attr = append(start.Attr, xml.Attr{Name: xml.Name{Local: "pindex"}, Value: fmt.Sprint(int(i))})
	return nil
}

// threemfContentTypes says of the package's parts what they are.
const threemfContentTypes = xml.Header + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
    <Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"></Default>
    <Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"></Default>
</Types>`

const (
	threemfTypesPart     = "[Content_Types].xml"
	threemfRelationships = "_rels/.rels"
	threemfModelPart     = "3D/3dmodel.model"
)

// repack copies the library's package, compressed as it is, so that it repeats:
// its entries carry the time of writing and its content types come in random
// order. Here each entry is of the zip epoch, and the content types are fixed.
func repack(w io.Writer, packed []byte) error {
	in, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return fmt.Errorf("3MF: %w", err)
	}
	out := zip.NewWriter(w)
	types, err := out.CreateHeader(&zip.FileHeader{Name: threemfTypesPart, Method: zip.Deflate, ModifiedDate: zipEpoch})
	if err != nil {
		return err
	}
	if _, err := io.WriteString(types, threemfContentTypes); err != nil {
		return err
	}
	for _, name := range []string{threemfRelationships, threemfModelPart} {
		at := slices.IndexFunc(in.File, func(f *zip.File) bool { return f.Name == name })
		if at < 0 {
			return fmt.Errorf("3MF: the library wrote no %s", name)
		}
		if err := repackEntry(out, in.File[at]); err != nil {
			return err
		}
	}
	return out.Close()
}

// zipEpoch is 1 January 1980: day 1, month 1, years since 1980: 0.
const zipEpoch = 1<<5 | 1

func repackEntry(out *zip.Writer, file *zip.File) error {
	header := file.FileHeader
	header.ModifiedDate, header.ModifiedTime, header.Extra = zipEpoch, 0, nil
	header.Flags &^= 0x8 // sizes stand in the header, not behind the data
	raw, err := file.OpenRaw()
	if err != nil {
		return fmt.Errorf("3MF: %w", err)
	}
	entry, err := out.CreateRaw(&header)
	if err != nil {
		return err
	}
	_, err = io.Copy(entry, raw)
	return err
}
