package meshfile

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"image/color"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"earframe/mesh"
	"earframe/mesh/internal/solids"
	"earframe/publish"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// exact is for solids whose coordinates single precision holds; rounded makes
// them so.
func exact(s *solids.Solid) *mesh.Mesh   { return (*mesh.Mesh)(s) }
func rounded(s *solids.Solid) *mesh.Mesh { return exact(s.Rounded()) }

// exampleDocument holds three solids in colours of the Okabe-Ito palette.
func exampleDocument() Document {
	return Document{
		Title:       `Example & <test> of a carver's "own"`,
		Description: "For practice only, not for implantation.",
		Objects: []Object{
			{Name: "base", Label: "base " +
				"frame", Color: color.RGBA{0x56, 0xB4, 0xE9, 255}, Mesh: exact(solids.Box(mgl64.Vec3{}, mgl64.Vec3{4, 3, 2.5}))},
			{Name: "helix", Label: "helix with its " +
				"crus", Color: color.RGBA{0xE6, 0x9F, 0, 255}, Mesh: rounded(solids.Torus(8, 1.3, 40, 16)), Offset: mgl64.Vec3{20, 0, -1.5}},
			{Name: "concha", Label: "", Color: color.RGBA{0, 0x72, 0xB2, 128}, Mesh: rounded(solids.Ball(mgl64.Vec3{0.1, 0.2, 0.3}, 5.1, 2)), Offset: mgl64.Vec3{-7.125, 3, 0}},
		},
	}
}

func TestDocumentsComeBackAsTheyWere(t *testing.T) {
	document := exampleDocument()
	for name, write := range map[string]func(io.Writer, Document) error{"3MF": Write3MF, "GLB": WriteGLB} {
		t.Run(name, func(t *testing.T) {
			var file bytes.Buffer
			require.NoError(t, write(&file, document))
			objects, err := Read(file.Bytes())
			require.NoError(t, err)
			require.Len(t, objects, len(document.Objects))
			for i, want := range document.Objects {
				assert.Equal(t, want.Name, objects[i].Name)
				assert.Equal(t, want.title(), objects[i].Label)
				assert.Equal(t, want.Color, objects[i].Color)
				assert.Equal(t, want.Offset, objects[i].Offset)
				assert.Equal(t, want.Mesh, objects[i].Mesh)
			}
		})
	}
}

func TestFilesRepeatByteForByte(t *testing.T) {
	for name, write := range map[string]func(io.Writer) error{
		"STL": func(w io.Writer) error { return WriteSTL(w, exampleDocument().Objects[1].Mesh) },
		"3MF": func(w io.Writer) error { return Write3MF(w, exampleDocument()) },
		"GLB": func(w io.Writer) error { return WriteGLB(w, exampleDocument()) },
	} {
		t.Run(name, func(t *testing.T) {
			var first bytes.Buffer
			require.NoError(t, write(&first))
			for range 20 { // map order is random
				var again bytes.Buffer
				require.NoError(t, write(&again))
				require.True(t, bytes.Equal(first.Bytes(), again.Bytes()))
			}
		})
	}
}

func TestEveryCoordinateOfSinglePrecisionComesBackExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float32()
		m := &mesh.Mesh{Triangles: [][3]int32{{0, 1, 2}, {2, 1, 3}}}
		seen := map[mgl64.Vec3]bool{}
		for len(m.Vertices) < 4 {
			p := mgl64.Vec3{float64(number.Draw(t, "x")), float64(number.Draw(t, "y")), float64(number.Draw(t, "z"))}
			if key := p.Add(mgl64.Vec3{}); !seen[key] && mesh.IsFinite(p) {
				seen[key] = true
				m.Vertices = append(m.Vertices, p)
			}
		}
		document := Document{Objects: []Object{{Name: "any", Mesh: m}}}
		for _, write := range []func(io.Writer) error{
			func(w io.Writer) error { return WriteSTL(w, m) },
			func(w io.Writer) error { return Write3MF(w, document) },
			func(w io.Writer) error { return WriteGLB(w, document) },
		} {
			var file bytes.Buffer
			require.NoError(t, write(&file))
			require.NoError(t, compareWritten(context.Background(), file.Bytes(), document.Objects))
		}
	})
}

func TestWritersRefuseWhatTheyCannotHold(t *testing.T) {
	for name, m := range map[string]*mesh.Mesh{
		"not held exactly by single " +
			"precision": {Vertices: []mgl64.Vec3{{0.1, 0, 0}, {1, 0, 0}, {0, 1, 0}}, Triangles: [][3]int32{{0, 1, 2}}},
		"names vertex 3 of " +
			"3": {Vertices: []mgl64.Vec3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, Triangles: [][3]int32{{0, 1, 3}}},
		"names vertex -1 of " +
			"3": {Vertices: []mgl64.Vec3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, Triangles: [][3]int32{{0, 1, -1}}},
		"no mesh": nil,
	} {
		t.Run(name, func(t *testing.T) {
			document := Document{Objects: []Object{{Name: "helix", Mesh: m}}}
			assert.ErrorContains(t, WriteSTL(io.Discard, m), name)
			assert.ErrorContains(t, Write3MF(io.Discard, document), "helix: ")
			assert.ErrorContains(t, WriteGLB(io.Discard, document), name)
		})
	}
}

func TestWritersSayThatTheDiskIsFull(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip("needs the device that is always full: ", err)
	}
	defer full.Close()
	assert.ErrorIs(t, WriteSTL(full, exampleDocument().Objects[0].Mesh), syscall.ENOSPC)
	assert.ErrorIs(t, Write3MF(full, exampleDocument()), syscall.ENOSPC)
	assert.ErrorIs(t, WriteGLB(full, exampleDocument()), syscall.ENOSPC)
}

// only lists the names in a folder.
func only(t *testing.T, folder string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// saved saves a document as a file on disk.
func saved(ctx context.Context, path string, document Document) error {
	folder, err := publish.NewFolder(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer folder.Discard()
	if err := Save(ctx, folder, filepath.Base(path), document); err != nil {
		return err
	}
	_, err = folder.Conclude(ctx, nil)
	return err
}

func TestSaveWritesWhatReadFileReads(t *testing.T) {
	folder := t.TempDir()
	document := exampleDocument()
	single := Document{Objects: document.Objects[:1]}
	for name, d := range map[string]Document{"a.stl": single, "b.3mf": document, "c.glb": document, "D.STL": single} {
		path := filepath.Join(folder, name)
		require.NoError(t, saved(context.Background(), path, d))
		objects, err := ReadFile(context.Background(), path)
		require.NoError(t, err)
		require.Len(t, objects, len(d.Objects))
		assert.NoError(t, sameSurface(d.Objects[0].Mesh, objects[0].Mesh))
		require.NoError(t, saved(context.Background(), path, d), "over an older file")
	}
	assert.ElementsMatch(t, []string{"a.stl", "b.3mf", "c.glb", "D.STL"}, only(t, folder))
	objects, err := ReadFile(context.Background(), filepath.Join(folder, "a.stl"))
	require.NoError(t, err)
	assert.Equal(t, "a", objects[0].Name, "an STL has no other name than its file's")
}

func TestSaveRefusesAndLeavesTheOldFile(t *testing.T) {
	folder := t.TempDir()
	document := exampleDocument()
	broken := exampleDocument()
	broken.Objects[1].Mesh.Triangles = broken.Objects[1].Mesh.Triangles[1:]
	crossed := Document{Objects: []Object{{Name: "two", Mesh: exact(solids.Sum(solids.Box(mgl64.Vec3{}, mgl64.Vec3{2, 2, 2}), solids.Box(mgl64.Vec3{1, 1, 1}, mgl64.Vec3{3, 3, 3})))}}}
	one := solids.Box(mgl64.Vec3{}, mgl64.Vec3{2, 2, 2})
	twice := exact(solids.Sum(one, one))
	cancelled, cancel := context.WithCancel(context.Background())
	cancel()
	for _, c := range []struct {
		name, path string
		ctx        context.Context
		document   Document
		says       string
	}{
		{"an open mesh", "x.3mf", context.Background(), broken, "helix: mesh is not sound: 3 × edge of one triangle only, " +
			"at ("},
		{"a mesh that crosses itself", "x.stl", context.Background(), crossed, "triangles that cross"},
		{"several objects in an STL", "x.stl", context.Background(), document, "one object, not 3"},
		{"a format it does not know", "x.obj", context.Background(), document, ".stl, .3mf or .glb"},
		{"no objects", "x.glb", context.Background(), Document{}, "no objects"},
		{"a user who has had enough", "x.3mf", cancelled, document, "context canceled"},
		{"a format that loses " +
			"something", "x.stl", context.Background(), Document{Objects: []Object{{Mesh: twice, Verdict: new(mesh.Verdict)}}}, "reading back"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(folder, c.path)
			require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
			defer os.Remove(path)
			require.ErrorContains(t, saved(c.ctx, path, c.document), c.says)
			old, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Equal(t, "old", string(old))
			assert.Len(t, only(t, folder), 1)
		})
	}
}

func TestCompareWrittenNoticesEveryChange(t *testing.T) {
	object := func() Object { return exampleDocument().Objects[0] }
	for name, change := range map[string]func(*mesh.Mesh){
		"moved vertex": func(m *mesh.Mesh) { m.Vertices[3][1] += 0x1p-20 },
		"other " +
			"triangle": func(m *mesh.Mesh) { m.Triangles[3][0], m.Triangles[3][1] = m.Triangles[3][1], m.Triangles[3][0] },
		"missing triangle": func(m *mesh.Mesh) { m.Triangles = m.Triangles[1:] },
		"unused vertex":    func(m *mesh.Mesh) { m.Vertices = append(m.Vertices, mgl64.Vec3{9, 9, 9}) },
	} {
		t.Run(name, func(t *testing.T) {
			changed := object()
			change(changed.Mesh)
			for _, write := range []func(io.Writer, Document) error{Write3MF, WriteGLB} {
				var file bytes.Buffer
				require.NoError(t, write(&file, Document{Objects: []Object{changed}}))
				assert.ErrorContains(t, compareWritten(context.Background(), file.Bytes(), []Object{object()}), "base")
			}
		})
	}
	var file bytes.Buffer
	require.NoError(t, Write3MF(&file, exampleDocument()))
	assert.ErrorContains(t, compareWritten(context.Background(), file.Bytes(), []Object{object()}), "3 objects, 1 were "+
		"written")
	twice := object()
	twice.Mesh = exact(solids.Sum((*solids.Solid)(twice.Mesh), (*solids.Solid)(twice.Mesh)))
	file.Reset()
	require.NoError(t, WriteSTL(&file, twice.Mesh))
	assert.Error(t, compareWritten(context.Background(), file.Bytes(), []Object{twice}), "STL joins equal places")

	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	assert.ErrorIs(t, compareWritten(ctx, file.Bytes(), []Object{twice}), context.Canceled, "before anything is compared")
}

func TestReadFileSaysWhatIsWrong(t *testing.T) {
	folder := t.TempDir()
	var glb, threemf, stl bytes.Buffer
	require.NoError(t, WriteGLB(&glb, exampleDocument()))
	require.NoError(t, Write3MF(&threemf, exampleDocument()))
	require.NoError(t, WriteSTL(&stl, exampleDocument().Objects[0].Mesh))
	for _, c := range []struct {
		name    string
		content []byte
		says    string
	}{
		{"empty", nil, "empty"},
		{"text", []byte("hello"), "not an STL, 3MF or GLB file"},
		{"cut STL", stl.Bytes()[:stl.Len()-1], "binary STL that is not whole: 683 bytes, where its 12 triangles need 684"},
		{"STL with more behind", append(bytes.Clone(stl.Bytes()), 0), "685 bytes, where its 12 triangles need 684"},
		{"cut STL that begins as text does", append([]byte("solid part"), stl.Bytes()[10:stl.Len()-1]...), "12 triangles " +
			"need 684"},
		{"neither", []byte(strings.Repeat("0,1\n", 100)), `not an STL, 3MF or GLB file: 400 bytes that begin with "0,1`},
		{"noise", bytes.Repeat([]byte{0xf0, 1, 2, 3}, 50), "not an STL, 3MF or GLB file: 200 bytes"},
		{"cut GLB", glb.Bytes()[:glb.Len()-4], "its header says"},
		{"cut 3MF", threemf.Bytes()[:threemf.Len()/2], "3MF: zip"},
		{"zip of something else", zipOf(t, map[string]string{"a.txt": "a"}), "no _rels/.rels"},
		{"3MF without a model", zipOf(t, map[string]string{"_rels/.rels": `<Relationships/>`}), "names no 3D model"},
		{"text STL broken off", []byte("solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0"), "line 4: the text ends " +
			"where a number was expected"},
		{"STL not finite", notFiniteSTL(stl.Bytes()), "not a finite number"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(folder, "file")
			require.NoError(t, os.WriteFile(path, c.content, 0o600))
			_, err := ReadFile(context.Background(), path)
			assert.ErrorContains(t, err, c.says)
			assert.ErrorContains(t, err, path)
		})
	}
	_, err := ReadFile(context.Background(), filepath.Join(folder, "none"))
	assert.ErrorIs(t, err, os.ErrNotExist)
	_, err = ReadFile(context.Background(), folder)
	assert.ErrorContains(t, err, "a folder, a file is expected")
	huge := filepath.Join(folder, "huge")
	require.NoError(t, os.WriteFile(huge, nil, 0o600))
	require.NoError(t, os.Truncate(huge, maxFileBytes+1))
	_, err = ReadFile(context.Background(), huge)
	assert.ErrorContains(t, err, "at most 536870912 are expected")
	ended, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = ReadFile(ended, filepath.Join(othersFolder, "text.stl"))
	assert.ErrorIs(t, err, context.Canceled)
}

func notFiniteSTL(stl []byte) []byte {
	out := bytes.Clone(stl)
	copy(out[84+12:], []byte{0, 0, 0xc0, 0x7f})
	return out
}

func zipOf(t testing.TB, entries map[string]string) []byte {
	t.Helper()
	var file bytes.Buffer
	w := zip.NewWriter(&file)
	for name, content := range entries {
		entry, err := w.Create(name)
		require.NoError(t, err)
		_, err = io.WriteString(entry, content)
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return file.Bytes()
}

func BenchmarkFiles(b *testing.B) {
	m := rounded(solids.Ball(mgl64.Vec3{}, 20, 7))
	document := Document{Objects: []Object{{Name: "ball", Mesh: m}}}
	for _, c := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"STL", func(w io.Writer) error { return WriteSTL(w, m) }},
		{"3MF", func(w io.Writer) error { return Write3MF(w, document) }},
		{"GLB", func(w io.Writer) error { return WriteGLB(w, document) }},
	} {
		var file bytes.Buffer
		require.NoError(b, c.write(&file))
		size := fmt.Sprintf("%s of %d triangles", c.name, len(m.Triangles))
		b.Run(strings.ReplaceAll("write "+size, " ", "_"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				require.NoError(b, c.write(io.Discard))
			}
		})
		b.Run(strings.ReplaceAll("read "+size, " ", "_"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, err := Read(file.Bytes())
				require.NoError(b, err)
			}
		})
	}
}
