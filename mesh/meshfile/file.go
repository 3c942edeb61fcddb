package meshfile

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/color"
	"io"
	"math"
	"path/filepath"
	"strings"

	"earframe/internal/regular"
	"earframe/mesh"
	"earframe/publish"

	"github.com/go-gl/mathgl/mgl64"
)

// Object is a mesh with what a file says of it.
type Object struct {
	Name  string     // short and plain, as in a file name: "helix"
	Label string     // for a reader: "helix with its crus"; STL does not keep it
	Color color.RGBA // as on the screen (sRGB); STL does not keep it
	Mesh  *mesh.Mesh

	// Offset is where the object stands, mm, added to its vertices by the
	// program that shows or prints it: 3MF keeps thousandths of a millimetre,
	// GLB all digits, STL nothing.
	Offset mgl64.Vec3

	// Verdict is what Judge said of the mesh, if it has been asked; Save asks
	// where it is nil.
	Verdict *mesh.Verdict
}

// Document is what one file holds.
type Document struct {
	Title       string
	Description string // for a person; the place for what the model is not for
	Objects     []Object
}

// Application is the name that written files give as their maker.
const Application = "earframe"

const (
	// maxFileBytes bounds what is read into memory: ten million triangles of
	// binary STL.
	maxFileBytes = 512 << 20

	// maxTriangles bounds what a small file with many copies grows to.
	maxTriangles = 10 << 20

	// maxVertices bounds its vertices likewise; a closed mesh has half as many
	// as triangles.
	maxVertices = 10 << 20
)

// readTotal counts what a file has grown to.
type readTotal struct{ vertices, triangles int }

// add counts a mesh more, or says that it is too much.
func (t *readTotal) add(vertices, triangles int) error {
	t.vertices, t.triangles = t.vertices+vertices, t.triangles+triangles
	switch {
	case t.triangles > maxTriangles:
		return fmt.Errorf("more than %d triangles", maxTriangles)
	case t.vertices > maxVertices:
		return fmt.Errorf("more than %d vertices", maxVertices)
	}
	return nil
}

// title returns the label, or the name where there is none.
func (o Object) title() string {
	if o.Label != "" {
		return o.Label
	}
	return o.Name
}

// paint returns the colour, or a grey where none was given.
func (o Object) paint() color.RGBA {
	if o.Color == (color.RGBA{}) {
		return color.RGBA{R: 187, G: 187, B: 187, A: 255}
	}
	return o.Color
}

// ReadFile returns the objects in an STL, 3MF or GLB file, told apart by content,
// in millimetres. Errors name the file and say what was found; where it is another
// format that is known, which. A mesh that has no name is named after the file,
// where it is the only one. When ctx ends the work, so does ReadFile.
func ReadFile(ctx context.Context, path string) ([]Object, error) {
	data, err := regular.Read(path, maxFileBytes)
	if err != nil {
		return nil, err
	}
	objects, err := readUntil(ctx, data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)); len(objects) == 1 && objects[0].Name == "" {
		objects[0].Name = name
	}
	return objects, nil
}

// readUntil is Read that ctx can end. The formats' libraries cannot be stopped:
// after ctx they go on to their end, and what they return is dropped.
func readUntil(ctx context.Context, data []byte) ([]Object, error) {
	var objects []Object
	done := make(chan error, 1)
	go func() {
		read, err := Read(data)
		objects = read
		done <- err
	}()
	select {
	case <-ctx.Done():
		return nil, ctx.Err()
	case err := <-done:
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return objects, err
	}
}

// Read is ReadFile for content that is in memory.
func Read(data []byte) ([]Object, error) {
	switch {
	case len(data) == 0:
		return nil, errors.New("the file is empty")
	case bytes.HasPrefix(data, []byte("glTF")):
		return ReadGLB(data)
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return Read3MF(data)
	case isBinarySTL(data):
		return ReadSTL(data)
	}
	if says := foreign(data); says != "" {
		return nil, errors.New(says)
	}
	return ReadSTL(data)
}

// Save writes the document under the name, in the format that its extension says
// (.stl for a single object, .3mf or .glb), and lets nothing stand there that was
// not proved: each mesh has to be sound, and what was written is read back and
// compared with the meshes corner by corner.
func Save(ctx context.Context, to publish.Writer, name string, document Document) error {
	write, err := writerFor(name, document)
	if err != nil {
		return err
	}
	for _, object := range document.Objects {
		verdict := object.Verdict
		if verdict == nil {
			judged, err := mesh.JudgeContext(ctx, object.Mesh)
			if err != nil {
				return err
			}
			verdict = &judged
		}
		if err := verdict.Err(); err != nil {
			return fmt.Errorf("%s: not written: %s: %w", name, object.Name, err)
		}
	}
	return to.Write(ctx, name, write, func(data []byte) error { return compareWritten(ctx, data, document.Objects) })
}

func writerFor(name string, document Document) (func(io.Writer) error, error) {
	switch extension := strings.ToLower(filepath.Ext(name)); extension {
	case ".stl":
		if len(document.Objects) != 1 {
			return nil, fmt.Errorf("%s: an STL file holds one object, not %d", name, len(document.Objects))
		}
		return func(w io.Writer) error { return WriteSTL(w, document.Objects[0].Mesh) }, nil
	case ".3mf":
		return func(w io.Writer) error { return Write3MF(w, document) }, nil
	case ".glb":
		return func(w io.Writer) error { return WriteGLB(w, document) }, nil
	default:
		return nil, fmt.Errorf("%s: extension %q; .stl, .3mf or .glb is needed", name, extension)
	}
}

// compareWritten reads a file's content and holds it against the objects.
func compareWritten(ctx context.Context, data []byte, objects []Object) error {
	read, err := readUntil(ctx, data)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return fmt.Errorf("reading back: %w", err)
	}
	if len(read) != len(objects) {
		return fmt.Errorf("reading back: %d objects, %d were written", len(read), len(objects))
	}
	for i, object := range objects {
		if err := sameSurface(object.Mesh, read[i].Mesh); err != nil {
			return fmt.Errorf("reading back: %s: %w", object.Name, err)
		}
	}
	return nil
}

// sameSurface says how two meshes differ. They are the same when their
// triangles follow in the same order, corner for corner at equal places, and
// share vertices alike; how vertices are numbered does not matter.
func sameSurface(written, read *mesh.Mesh) error {
	if len(written.Triangles) != len(read.Triangles) || len(written.Vertices) != len(read.Vertices) {
		return fmt.Errorf("%d triangles on %d vertices, %d on %d were written",
			len(read.Triangles), len(read.Vertices), len(written.Triangles), len(written.Vertices))
	}
	counterpart := make([]int32, len(read.Vertices)) // 1 + the written vertex
	for i, t := range written.Triangles {
		for k, v := range t {
			other := read.Triangles[i][k]
			if written.Vertices[v] != read.Vertices[other] {
				return fmt.Errorf("corner %d of triangle %d is at %v, was written at %v",
					k, i, read.Vertices[other], written.Vertices[v])
			}
			if counterpart[other] != 0 && counterpart[other] != v+1 {
				return fmt.Errorf("vertices %d and %d at %v became one", counterpart[other]-1, v, read.Vertices[other])
			}
			counterpart[other] = v + 1
		}
	}
	return nil
}

// checkStorable says why a mesh cannot be written exactly: an index without a
// vertex, or a coordinate that single precision does not hold.
func checkStorable(name string, m *mesh.Mesh) error {
	if m == nil {
		return fmt.Errorf("%s: no mesh to write", name)
	}
	if len(m.Vertices) > math.MaxInt32 || len(m.Triangles) > math.MaxInt32 {
		return fmt.Errorf("%s: %d triangles are more than a file holds", name, len(m.Triangles))
	}
	for i, p := range m.Vertices {
		for _, x := range p {
			if !mesh.IsFinite(p) || mesh.Representable(x) != x {
				return fmt.Errorf("%s: vertex %d at %v is not held exactly by single precision", name, i, p)
			}
		}
	}
	for i, t := range m.Triangles {
		for _, v := range t {
			if v < 0 || int(v) >= len(m.Vertices) {
				return fmt.Errorf("%s: triangle %d names vertex %d of %d", name, i, v, len(m.Vertices))
			}
		}
	}
	return nil
}
