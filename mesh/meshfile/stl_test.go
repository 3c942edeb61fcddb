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
	"github.com/hschendel/stl"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
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

func TestTextSTLThatIsBrokenSaysTheLine(t *testing.T) {
	one := stlText("box", exact(solids.Box(mgl64.Vec3{}, mgl64.Vec3{1, 2, 3}))) // 7 lines a triangle after the first
	after := strings.Count(one, "\n")
	for _, c := range []struct{ name, text, says string }{
		{"not a number", strings.Replace(one, "vertex 0", "vertex zero", 1), `line 4: found "zero" where a number was expected`},
		{"comma", strings.Replace(one, "vertex 1", "vertex 0,5", 1), `line 6: found "0,5" where a number was expected, finite in single precision, with a decimal point`},
		{"nan", strings.Replace(one, "vertex 0", "vertex nan", 1), `line 4: found "nan"`},
		{"too large", strings.Replace(one, "vertex 1", "vertex 1e39", 1), `line 6: found "1e39"`},
		{"two corners", strings.Replace(one, "vertex 0 0.000000e+00 0.000000\n", "", 1), `line 6: found "endloop" where "vertex" was expected`},
		{"word misspelt in the second facet", strings.Replace(one, "endfacet\nfacet", "endfacet\nfaced", 1), `line 9: found "faced" where "facet or endsolid" was expected`},
		{"Windows lines", strings.ReplaceAll(strings.Replace(one, "endloop", "endlop", 1), "\n", "\r\n"), `line 7: found "endlop" where "endloop"`},
		{"no end", strings.ReplaceAll(one, "endsolid", "end"), fmt.Sprintf(`line %d: found "end" where "facet or endsolid"`, after)},
		{"more behind", one + "and more", fmt.Sprintf(`line %d: found "and" where "solid" was expected`, after+1)},
		{"second solid broken", one + "\nsolid\nfacet", fmt.Sprintf("line %d: the text ends where \"normal\"", after+3)},
		{"endless word", "solid\n" + strings.Repeat("x", 1000), "line 2: found"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadSTL([]byte(c.text))
			require.ErrorContains(t, err, c.says)
			assert.Less(t, len(err.Error()), 200)
		})
	}
}

// Library of another hand: github.com/hschendel/stl reads the text form too, in
// lower case with a blank after "solid".
func TestTextSTLIsReadAsAnotherReaderDoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float32Range(-math.MaxFloat32, math.MaxFloat32)
		var text strings.Builder
		text.WriteString("solid x\n")
		count := rapid.IntRange(0, 4).Draw(t, "triangles")
		for range count {
			text.WriteString("facet normal 0 0 0\nouter loop\n")
			for range 3 {
				format := rapid.SampledFrom([]string{"vertex %g %g %g\n", " vertex  %e\t%e %e \n", "vertex %.40f %f " +
					"%g\n"}).Draw(t, "format")
				fmt.Fprintf(&text, format, number.Draw(t, "x"), number.Draw(t, "y"), number.Draw(t, "z"))
			}
			text.WriteString("endloop\nendfacet\n")
		}
		text.WriteString("endsolid x\n")
		other, err := stl.ReadAll(strings.NewReader(text.String()))
		objects, ours := ReadSTL([]byte(text.String()))
		require.NoError(t, err)
		require.NoError(t, ours)
		require.Len(t, objects[0].Mesh.Triangles, len(other.Triangles))
		for i, triangle := range objects[0].Mesh.Triangles {
			for k, v := range triangle {
				for axis := range 3 {
					require.Equal(t, float64(other.Triangles[i].Vertices[k][axis]), objects[0].Mesh.Vertices[v][axis]+0)
				}
			}
		}
	})
}

func TestFormatsThatAreNotReadAreNamed(t *testing.T) {
	svg := `<?xml version="1.0"?><!-- drawn --><svg xmlns="http://www.w3.org/2000/svg"/>`
	for name, c := range map[string]struct{ data, says string }{
		"OBJ": {"# made elsewhere\n\nmtllib a.mtl\no part\nv 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "an OBJ " +
			"mesh; export it as STL, 3MF or GLB"},
		"OBJ, plain": {"v -1.5 0 0\n", "an OBJ mesh"},
		"PLY": {"ply\nformat ascii 1.0\nend_header\n" + strings.Repeat("0 0 0\n", 20), "a PLY mesh; export it " +
			"as STL, 3MF or GLB"},
		"OFF":             {"OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n", "an OFF mesh"},
		"OFF with colour": {"COFF 3 1 0\n", "an OFF mesh"},
		"text glTF":       {"{\n \"scene\": 0, \"asset\": {\"version\": \"2.0\"}}", "glTF as text; export it as GLB"},
		"SVGZ": {"\x1f\x8b\x08\x00\x00\x00\x00\x00", "compressed with gzip, as SVGZ drawings are; unpack it " +
			"first"},
		"PDF": {"%PDF-1.7\n" + strings.Repeat("%\xe2\xe3", 99), "a PDF document; a drawing is read as SVG"},
		"SVG": {byteOrderMark + svg, "an SVG drawing, not a mesh"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Read([]byte(c.data))
			require.ErrorContains(t, err, c.says)
			assert.NotContains(t, err.Error(), "bytes")
		})
	}
	// A binary STL is one whatever its header says.
	var file bytes.Buffer
	m := exact(solids.Box(mgl64.Vec3{}, mgl64.Vec3{1, 2, 3}))
	require.NoError(t, WriteSTL(&file, m))
	for _, header := range []string{"ply\n", "OFF ", "v 1 ", "solid \nfacet normal", "%PDF-"} {
		data := bytes.Clone(file.Bytes())
		copy(data, header)
		objects, err := Read(data)
		require.NoError(t, err, header)
		assert.NoError(t, sameSurface(m, objects[0].Mesh))
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
	f.Add([]byte("solid \nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 " +
		"0\nendloop\nendfacet\nendsolid\nsolid\nendsolid"))
	f.Add([]byte("ply\n"))
	f.Add([]byte("# a\nv 0 0 0\n"))
	f.Fuzz(requireReadable(func(data []byte) ([]Object, error) {
		foreign(data)
		return ReadSTL(data)
	}))
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
