package meshfile

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"

	"earframe/mesh"
	"earframe/mesh/internal/solids"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSTLIsLaidOutAsPublished(t *testing.T) {
	// 80-byte header, count, and per triangle normal, three corners, attribute,
	// little-endian (3D Systems; Bourke, "STL format", 1999).
	m := exact(solids.Box(mgl64.Vec3{-1, -2, -3}, mgl64.Vec3{1.5, 2.5, 3.5}))
	var file bytes.Buffer
	require.NoError(t, WriteSTL(&file, m))
	data := file.Bytes()
	require.Len(t, data, 84+50*12)
	assert.True(t, bytes.HasPrefix(data, []byte("earframe binary STL, unit: millimetre\x00")))
	assert.NotContains(t, strings.ToLower(string(data[:80])), "solid")
	assert.Equal(t, uint32(12), binary.LittleEndian.Uint32(data[80:84]))
	number := func(at int) float64 { return float64(math.Float32frombits(binary.LittleEndian.Uint32(data[at:]))) }
	for i, triangle := range m.Triangles {
		at := 84 + 50*i
		normal := mgl64.Vec3{number(at), number(at + 4), number(at + 8)}
		a, b, c := m.Vertices[triangle[0]], m.Vertices[triangle[1]], m.Vertices[triangle[2]]
		assert.Equal(t, b.Sub(a).Cross(c.Sub(a)).Normalize(), normal, "right-hand rule, unit length")
		assert.Positive(t, normal.Dot(a.Add(b).Add(c)), "outwards: the origin is inside")
		for k, v := range triangle {
			for axis := range 3 {
				assert.Equal(t, m.Vertices[v][axis], number(at+12+12*k+4*axis))
			}
		}
		assert.Zero(t, binary.LittleEndian.Uint16(data[at+48:]), "attribute")
	}
}

func TestBinarySTLIsKnownByItsSize(t *testing.T) {
	m := exact(solids.Box(mgl64.Vec3{}, mgl64.Vec3{1, 2, 3}))
	var file bytes.Buffer
	require.NoError(t, WriteSTL(&file, m))
	misleading := bytes.Clone(file.Bytes())
	copy(misleading, "solid made elsewhere")
	objects, err := ReadSTL(misleading)
	require.NoError(t, err)
	require.Len(t, objects, 1)
	assert.NoError(t, sameSurface(m, objects[0].Mesh))
}

// stlText writes a mesh as text.
func stlText(name string, m *mesh.Mesh) string {
	var b strings.Builder
	fmt.Fprintf(&b, "solid %s\n", name)
	for _, t := range m.Triangles {
		b.WriteString("facet normal 0 0 0\nouter loop\n")
		for _, v := range t {
			fmt.Fprintf(&b, "vertex %g %e %f\n", m.Vertices[v][0], m.Vertices[v][1], m.Vertices[v][2])
		}
		b.WriteString("endloop\nendfacet\n")
	}
	fmt.Fprintf(&b, "endsolid %s\n", name)
	return b.String()
}

func TestTextSTLIsRead(t *testing.T) {
	box, other := exact(solids.Box(mgl64.Vec3{}, mgl64.Vec3{1, 2, 3})), exact(solids.Box(mgl64.Vec3{5, 5, 5}, mgl64.Vec3{6.5, 7, 8}))
	one := stlText("a box", box)
	for name, text := range map[string]string{
		"plain":             one,
		"in capitals":       strings.ToUpper(one),
		"Windows lines":     strings.ReplaceAll(one, "\n", "\r\n"),
		"indented":          strings.ReplaceAll(one, "\n", "\n   "),
		"byte order mark":   "\xef\xbb\xbf" + one,
		"space in front":    "\n  " + one,
		"no name":           strings.ReplaceAll(one, " a box", ""),
		"no newline at end": strings.TrimSpace(one),
	} {
		t.Run(name, func(t *testing.T) {
			objects, err := Read([]byte(text))
			require.NoError(t, err)
			require.Len(t, objects, 1)
			assert.NoError(t, sameSurface(box, objects[0].Mesh))
			assert.NoError(t, mesh.Judge(objects[0].Mesh).Err())
		})
	}
	objects, err := Read([]byte(one + stlText("", other) + "\n\n"))
	require.NoError(t, err)
	require.Len(t, objects, 2)
	assert.Equal(t, []string{"a box", ""}, []string{objects[0].Name, objects[1].Name})
	assert.NoError(t, sameSurface(other, objects[1].Mesh))
}

func TestTextSTLThatIsBrokenSaysWhere(t *testing.T) {
	one := stlText("box", exact(solids.Box(mgl64.Vec3{}, mgl64.Vec3{1, 2, 3})))
	for _, c := range []struct{ name, text, says string }{
		{"not a number", strings.Replace(one, "vertex 0", "vertex zero", 1), "solid 1 of the STL text: "},
		{"nan", strings.Replace(one, "vertex 0", "vertex nan", 1), "not a finite number"},
		{"too large", strings.Replace(one, "vertex 1", "vertex 1e39", 1), "solid 1"},
		{"two corners", strings.Replace(one, "endloop", "", 1), "solid 1"},
		{"no end", strings.ReplaceAll(one, "endsolid", "end"), "solid 1"},
		{"more behind", one + "and more", `found "and more" where "solid" was expected`},
		{"second solid broken", one + "solid\nfacet", "solid 2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadSTL([]byte(c.text))
			assert.ErrorContains(t, err, c.says)
		})
	}
}

// smallDocument is a seed that mutates and shrinks fast.
func smallDocument() Document {
	return Document{Title: "t", Objects: []Object{{Name: "wedge", Mesh: rounded(solids.Wedge(0.5, 2, 3)), Offset: mgl64.Vec3{1, 0, 0}}}}
}

func FuzzReadSTL(f *testing.F) {
	addOthers(f, "*.stl")
	var file bytes.Buffer
	require.NoError(f, WriteSTL(&file, smallDocument().Objects[0].Mesh))
	f.Add(file.Bytes())
	f.Add(file.Bytes()[:200])
	f.Add([]byte(stlText("box", smallDocument().Objects[0].Mesh)))
	f.Add([]byte("solid \nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid\nsolid\nendsolid"))
	f.Fuzz(requireReadable(ReadSTL))
}

// requireReadable returns a fuzz target: whatever the bytes, a reader returns an
// error or meshes that can be judged, and that come back from a file as they are.
func requireReadable(read func([]byte) ([]Object, error)) func(t *testing.T, data []byte) {
	return func(t *testing.T, data []byte) {
		objects, err := read(data)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		require.NotEmpty(t, objects)
		for _, object := range objects {
			require.NotNil(t, object.Mesh)
			mesh.Judge(object.Mesh)
			for _, triangle := range object.Mesh.Triangles {
				for _, v := range triangle {
					require.True(t, v >= 0 && int(v) < len(object.Mesh.Vertices))
				}
			}
			if checkStorable("", object.Mesh) != nil {
				continue // moved or scaled on reading
			}
			var file bytes.Buffer
			require.NoError(t, Write3MF(&file, Document{Objects: []Object{object}}))
			require.NoError(t, compareWritten(context.Background(), file.Bytes(), []Object{object}))
		}
	}
}
