package meshfile

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"earframe/field"
	"earframe/mesh/contour"
	"earframe/mesh/internal/solids"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// judged is what the judges of other hands say of a file.
type judged struct {
	Faults []string `json:"faults"`
	Seen   json.RawMessage
}

// askJudges hands the files of a folder to testdata/judges/files and returns what
// it says of each. Where a judge is missing the test is skipped, or fails if
// EARFRAME_JUDGES is set.
func askJudges(t *testing.T, folder string) map[string]judged {
	t.Helper()
	var said, complained bytes.Buffer
	command := exec.Command("python3", "../../testdata/judges/files", "--json", folder)
	command.Stdout, command.Stderr = &said, &complained
	if err := command.Run(); said.Len() == 0 {
		if os.Getenv("EARFRAME_JUDGES") == "" {
			t.Skipf("no judges of other hands here; testdata/judges/setup installs them (%v: %s)", err, complained.String())
		}
		require.NoError(t, err, complained.String())
	}
	report := map[string]judged{}
	require.NoError(t, json.Unmarshal(said.Bytes(), &report), said.String())
	byName := map[string]judged{}
	for path, found := range report {
		byName[filepath.Base(path)] = found
	}
	return byName
}

// block returns a box of the size with a corner at the place, turned about it by
// 0.3 radians, its edges rounded.
func block(t *testing.T, corner, size mgl64.Vec3, edge float64) field.Field {
	t.Helper()
	ring := []mgl64.Vec2{{}, {size[0], 0}, {size[0], size[1]}, {0, size[1]}}
	for i, p := range ring {
		ring[i] = mgl64.Rotate2D(0.3).Mul2x1(p).Add(corner.Vec2())
	}
	region, err := field.NewRegion(ring)
	require.NoError(t, err)
	f, err := field.NewPrism(field.Prism{
		Region: region, Underside: field.Level(corner[2]), Thickness: field.Level(size[2]), EdgeTop: edge, EdgeBottom: edge,
	})
	require.NoError(t, err)
	return f
}

// judgedFramework is a stack as a framework is: units that touch, grooves,
// rounded edges, a hollow, an unlucky angle.
func judgedFramework(t *testing.T) Document {
	t.Helper()
	base := block(t, mgl64.Vec3{}, mgl64.Vec3{20, 12, 3}, 0.7)
	groove := block(t, mgl64.Vec3{3, 5, 1.5}, mgl64.Vec3{5, 3, 5}, 0)
	rim := field.Torus(mgl64.Vec3{5, 8, 3.5}, 6, 1.1)
	fields := []field.Field{base, field.Difference(base, groove), rim, field.Union(field.Difference(base, groove), rim),
		field.Difference(field.Ball(mgl64.Vec3{0.1, 0.2, 0.3}, 4), field.Ball(mgl64.Vec3{0.4, 0.2, 0.3}, 2))}
	document := exampleDocument()
	for i, f := range fields {
		m, err := contour.Of(context.Background(), f, contour.Options{Step: 0.5})
		require.NoError(t, err)
		document.Objects = append(document.Objects, Object{Name: []string{"plate", "carved", "rim", "framework", "hollow"}[i], Mesh: m})
	}
	return document
}

func TestJudgesOfOtherHandsFindNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("starts other programs")
	}
	folder := t.TempDir()
	document := judgedFramework(t)
	files := map[string]Document{"all.glb": document, "all.3mf": document}
	for _, object := range document.Objects {
		files[object.Name+".stl"] = Document{Objects: []Object{object}}
	}
	for name, d := range files {
		require.NoError(t, saved(context.Background(), filepath.Join(folder, name), d))
	}
	found := askJudges(t, folder)
	require.Len(t, found, len(files))
	for name := range files {
		assert.Empty(t, found[name].Faults, name)
	}
	for _, object := range document.Objects {
		var seen struct{ Volume float64 }
		require.NoError(t, json.Unmarshal(found[object.Name+".stl"].Seen, &seen))
		assert.InEpsilon(t, object.Mesh.Volume(), seen.Volume, 1e-3, object.Name) // admesh sums in single precision
	}
	requireSceneSeen(t, document, found["all.glb"].Seen)
	requireModelSeen(t, document, found["all.3mf"].Seen)
}

// requireSceneSeen compares with what gltf-validator counted.
func requireSceneSeen(t *testing.T, document Document, seen []byte) {
	t.Helper()
	var scene struct{ TotalVertexCount, TotalTriangleCount, DrawCallCount, MaterialCount int }
	require.NoError(t, json.Unmarshal(seen, &scene))
	vertices, triangles := 0, 0
	for _, object := range document.Objects {
		vertices, triangles = vertices+len(object.Mesh.Vertices), triangles+len(object.Mesh.Triangles)
	}
	assert.Equal(t, []int{vertices, triangles, len(document.Objects), len(document.Objects)},
		[]int{scene.TotalVertexCount, scene.TotalTriangleCount, scene.DrawCallCount, scene.MaterialCount})
}

// requireModelSeen compares with what lib3mf read.
func requireModelSeen(t *testing.T, document Document, seen []byte) {
	t.Helper()
	var model struct {
		Unit     int
		Metadata map[string]string
		Objects  []struct {
			Name, Material      string
			Vertices, Triangles int
			Last                mgl64.Vec3
		}
		Items []struct{ Moved bool }
	}
	require.NoError(t, json.Unmarshal(seen, &model))
	const millimetre = 1 // lib3mf's eModelUnit: 0 is micrometre, 1 millimetre
	assert.Equal(t, millimetre, model.Unit)
	assert.Equal(t, map[string]string{"Title": document.Title, "Description": document.Description, "Application": Application}, model.Metadata)
	require.Len(t, model.Objects, len(document.Objects))
	require.Len(t, model.Items, len(document.Objects))
	for i, object := range document.Objects {
		got := model.Objects[i]
		assert.Equal(t, object.Name, got.Name)
		assert.Equal(t, object.title(), got.Material)
		assert.Equal(t, []int{len(object.Mesh.Vertices), len(object.Mesh.Triangles)}, []int{got.Vertices, got.Triangles})
		assert.Equal(t, object.Mesh.Vertices[len(object.Mesh.Vertices)-1], got.Last, "to the last digit")
		assert.Equal(t, object.Offset != mgl64.Vec3{}, model.Items[i].Moved)
	}
}

func TestJudgesOfOtherHandsDoFindFaults(t *testing.T) {
	// What they say of sound files counts only if they do not say it of all.
	if testing.Short() {
		t.Skip("starts other programs")
	}
	open := exact(solids.Box(mgl64.Vec3{}, mgl64.Vec3{1, 2, 3}))
	open.Triangles = open.Triangles[1:]
	folder := t.TempDir()
	var stl, threemf, glb bytes.Buffer
	require.NoError(t, WriteSTL(&stl, open))
	require.NoError(t, Write3MF(&threemf, Document{Objects: []Object{{Name: "open", Mesh: open}}}))
	require.NoError(t, WriteGLB(&glb, exampleDocument()))
	wrongBounds := bytes.Replace(glb.Bytes(), []byte(`"max":[4,3,2.5]`), []byte(`"max":[4,3,1.5]`), 1)
	files := map[string][]byte{"open.stl": stl.Bytes(), "open.3mf": threemf.Bytes(), "bounds.glb": wrongBounds}
	for name, content := range files {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), content, 0o600))
	}
	found := askJudges(t, folder)
	for name := range files {
		assert.NotEmpty(t, found[name].Faults, name)
	}
}
