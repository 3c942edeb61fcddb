package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"earframe/engine"
	"earframe/internal/demotest"
	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/report/record"
	"earframe/units"
	"earframe/units/demo"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
)

// result is what one run of the command gave.
type result struct {
	code     int
	out, err string
}

func earframe(t testing.TB, args ...string) result {
	t.Helper()
	var out, err bytes.Buffer
	code := run(context.Background(), args, &out, &err)
	return result{code, out.String(), err.String()}
}

// quickCase is a case whose values are known here.
func quickCase(t testing.TB) string {
	t.Helper()
	return demotest.Write(t)
}

// edit replaces text in a file.
func edit(t testing.TB, path, old, new string) {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(data), old)
	require.NoError(t, os.WriteFile(path, []byte(strings.Replace(string(data), old, new, 1)), 0o644))
}

// files lists what is in the folder, by name.
func files(t testing.TB, dir string) []string {
	t.Helper()
	var names []string
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err == nil && !entry.IsDir() {
			name, _ := filepath.Rel(dir, path)
			names = append(names, filepath.ToSlash(name))
		}
		return err
	})
	require.NoError(t, err)
	return names
}

func TestDemoGivesEveryFileSoundAndNothingElse(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	got := earframe(t, "demo", dir, "--step", "0.4")
	require.Equal(t, exitGood, got.code, got.err+got.out)
	assert.Contains(t, got.out, "5 units")
	assert.Empty(t, got.err, "no progress bar where nobody looks")
	assert.ElementsMatch(t, []string{
		"case/case.schema.json", "case/case.yaml", "case/template.svg",
		"framework.stl", "framework.3mf", "framework.glb",
		"units/base.stl", "units/helix.stl", "units/antihelix.stl", "units/tragus.stl", "units/concha.stl",
		"views/lateral.png", "views/anterior.png", "views/posterior.png", "views/oblique.png", "views/exploded.png",
		"pocket.json", "skin.stl", "skin.3mf", "depth/top.png", "depth/underside.png", "depth/depth.csv", "depth/scale.json",
		"views/pocket-depth.png", "views/pocket-stretch.png", "views/pocket-gap.png", "views/pocket-section.png",
		"views/skin-lateral.png", "views/skin-oblique.png", "views/framework-and-skin.png",
		"record.json",
	}, files(t, dir))
	for name, objects := range map[string]int{
		"framework.stl": 1, "framework.3mf": 6, "framework.glb": 5, "units/base.stl": 1, "units/helix.stl": 1,
		"units/antihelix.stl": 1, "units/tragus.stl": 1, "units/concha.stl": 1, "skin.stl": 1, "skin.3mf": 1,
	} {
		read, err := meshfile.ReadFile(context.Background(), filepath.Join(dir, name))
		require.NoError(t, err)
		require.Len(t, read, objects, name)
		for _, o := range read {
			assert.NoError(t, mesh.Judge(o.Mesh).Err(), "%s: %s", name, o.Name)
			requireSoundByAnother(t, o.Mesh)
		}
	}
	taken := requireRecord(t, filepath.Join(dir, "record.json"), dir)
	requireBuildInWords(t, taken, dir, got.out)
	requirePicture(t, filepath.Join(dir, "views", "oblique.png"))
	inspected := earframe(t, "inspect", filepath.Join(dir, "framework.3mf"), filepath.Join(dir, "case", "template.svg"))
	require.Equal(t, exitGood, inspected.code, inspected.err)
	assert.Contains(t, inspected.out, "sound: closed, manifold")
	assert.Contains(t, inspected.out, "antihelix")
}

// requireSoundByAnother asks a geometry library that is not ours.
func requireSoundByAnother(t *testing.T, m *mesh.Mesh) {
	t.Helper()
	judge := model3d.NewMesh()
	for _, triangle := range m.Triangles {
		var corners model3d.Triangle
		for k, v := range triangle {
			corners[k] = model3d.NewCoord3DArray(m.Vertices[v])
		}
		judge.Add(&corners)
	}
	require.False(t, judge.NeedsRepair())
	require.Empty(t, judge.SingularVertices())
	require.Zero(t, judge.SelfIntersections())
}

// requireRecord holds the record against the files it names.
func requireRecord(t *testing.T, path, dir string) *record.Build {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	var taken record.Build
	require.NoError(t, json.Unmarshal(data, &taken))
	assert.Equal(t, "demo-01", taken.Case)
	assert.Equal(t, engine.Caution, taken.Caution)
	assert.Len(t, taken.Units, 5)
	assert.NotEmpty(t, taken.Inputs)
	assert.NotContains(t, string(data), dir, "no path of the machine")
	for _, f := range taken.Files {
		info, err := os.Stat(filepath.Join(dir, f.Name))
		require.NoError(t, err)
		assert.Equal(t, f.Bytes, info.Size(), f.Name)
	}
	sum := 0.0
	for _, u := range taken.Units {
		assert.Positive(t, u.Volume)
		sum += u.Volume
	}
	assert.InEpsilon(t, sum, taken.Framework.Volume, 0.01, "units that only touch add up")
	return &taken
}

// requireBuildInWords holds what was said against the record: the verdict, its
// numbers, and what --all says.
func requireBuildInWords(t *testing.T, taken *record.Build, dir, said string) {
	t.Helper()
	requireBrief(t, said, taken.Verdicts, taken.ToDo, taken.Findings)
	for _, caution := range []string{taken.Caution, taken.Pocket.Caution} {
		assert.Contains(t, strings.Join(strings.Fields(said), " "), caution)
	}
	least := taken.Units[0]
	for _, u := range taken.Units {
		if u.Thinnest.Thickness < least.Thinnest.Thickness {
			least = u
		}
	}
	assert.Contains(t, saysOf(t, taken.Verdicts, units.AboutPrint),
		fmt.Sprintf("thinnest wall %.2f mm (%s), a filament printer makes 0.90 mm", least.Thinnest.Thickness, least.Name))
	requireSkinInWords(t, taken.Pocket, taken.Verdicts)
	var all bytes.Buffer
	sayBuild(&all, taken, dir, true)
	requireAll(t, all.String(), taken.Findings, unsourced(taken.Inputs, false))
}

// requirePicture fails on a blank picture.
func requirePicture(t *testing.T, path string) {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	picture, err := png.Decode(f)
	require.NoError(t, err)
	first, other := picture.At(0, 0), 0
	bounds := picture.Bounds()
	for y := bounds.Min.Y; y < bounds.Max.Y; y += 4 {
		for x := bounds.Min.X; x < bounds.Max.X; x += 4 {
			if picture.At(x, y) != first {
				other++
			}
		}
	}
	assert.Greater(t, other, bounds.Dx()*bounds.Dy()/16/20, "at least a twentieth of the picture shows something")
}

func TestTheSameCaseGivesTheSameBytes(t *testing.T) {
	path := quickCase(t)
	one, two := filepath.Join(t.TempDir(), "one"), filepath.Join(t.TempDir(), "two")
	require.Equal(t, exitGood, earframe(t, "build", path, "--out", one, "--step", "0.5").code)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	require.Equal(t, exitGood, earframe(t, "build", path, "--out", two, "--step", "0.5").code)
	for _, name := range files(t, one) {
		a, err := os.ReadFile(filepath.Join(one, name))
		require.NoError(t, err)
		b, err := os.ReadFile(filepath.Join(two, name))
		require.NoError(t, err)
		assert.True(t, bytes.Equal(a, b), "%s differs", name)
	}
}

func TestNewStartsACaseThatBuilds(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "mine")
	require.Equal(t, exitGood, earframe(t, "new", dir).code)
	got := earframe(t, "build", filepath.Join(dir, engine.CaseFile), "--step", "0.5")
	require.NotEqual(t, exitBad, got.code, got.err)
	assert.FileExists(t, filepath.Join(dir, "build", "framework.stl"))
	requireBuildInWords(t, readRecord(t, filepath.Join(dir, "build")), filepath.Join(dir, "build"), got.out)
	again := earframe(t, "new", dir)
	assert.Equal(t, exitBad, again.code)
	assert.Contains(t, again.err, "is there already")
}

func TestDrawingsOfEarsByOthersBuildToSoundMeshes(t *testing.T) {
	// Two openly licensed icons; origin and licence in testdata/drawings.
	for _, name := range []string{"icon-emojione", "icon-twemoji"} {
		t.Run(name, func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "out")
			got := earframe(t, "build", filepath.Join("..", "..", "testdata", "cases", name+".yaml"), "--out", out, "--step", "0.4")
			require.NotEqual(t, exitBad, got.code, got.err)
			taken := readRecord(t, out)
			requireBrief(t, got.out, taken.Verdicts, taken.ToDo, taken.Findings)
			solids, err := filepath.Glob(filepath.Join(out, "units", "*.stl"))
			require.NoError(t, err)
			require.GreaterOrEqual(t, len(solids), 2)
			for _, path := range append(solids, filepath.Join(out, "framework.stl")) {
				objects, err := meshfile.ReadFile(context.Background(), path)
				require.NoError(t, err)
				verdict := mesh.Judge(objects[0].Mesh)
				assert.NoError(t, verdict.Err(), path)
				assert.Less(t, verdict.High[1]-verdict.Low[1], 61.0, "scaled to an ear of 60 mm")
			}
		})
	}
}

// The hard example has more to be minded than any other, and goes onto one screen.
func TestTheHardExampleInWords(t *testing.T) {
	dir := t.TempDir()
	got := earframe(t, "demo", "--hard", dir, "--step", "0.8")
	require.NotEqual(t, exitBad, got.code, got.err)
	requireBuildInWords(t, readRecord(t, dir), dir, got.out)
}

// readRecord reads the record of a build.
func readRecord(t *testing.T, dir string) *record.Build {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, engine.RecordName))
	require.NoError(t, err)
	var taken record.Build
	require.NoError(t, json.Unmarshal(data, &taken))
	return &taken
}

func TestDemoKeepsWhatWasEdited(t *testing.T) {
	dir := t.TempDir()
	path, err := engine.StartDemo(t.Context(), filepath.Join(dir, "case"), demo.Good)
	require.NoError(t, err)
	edit(t, path, "side: left", "side: right")
	got := earframe(t, "demo", dir, "--step", "0.8")
	assert.Equal(t, exitBad, got.code)
	assert.Contains(t, got.err, "differs from the demo's")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, string(data), "side: right")
}

func TestARightEarIsTheMirrorImageOfALeft(t *testing.T) {
	left, right := quickCase(t), quickCase(t)
	edit(t, right, "side: left", "side: right")
	edit(t, right, "drawn: frame", "drawn: frame\n  mirror: true")
	boxes := map[string]record.Solid{}
	for name, path := range map[string]string{"left": left, "right": right} {
		got := earframe(t, "build", path, "--step", "0.5", "--json")
		require.Equal(t, exitGood, got.code, got.err)
		var taken record.Build
		require.NoError(t, json.Unmarshal([]byte(got.out), &taken))
		boxes[name] = taken.Units[1].Solid // the helix bears no letters
	}
	assert.InEpsilon(t, boxes["left"].Volume, boxes["right"].Volume, 0.002)
	assert.InDelta(t, boxes["left"].Low[0], -boxes["right"].High[0], 0.05)
	assert.InDelta(t, boxes["left"].High[2], boxes["right"].High[2], 0.05)
}

func TestFindingsOfSeverityErrorSetTheExitCode(t *testing.T) {
	path := quickCase(t)
	edit(t, path, "rise: 3\n    thickness: 3.5", "rise: 4.5\n    thickness: 3.5") // the tragus floats
	got := earframe(t, "build", path, "--step", "0.5")
	assert.Equal(t, exitFindings, got.code)
	assert.Regexp(t, `✗ sound +stop +every mesh is closed[^✓!?]*; tragus: it touches nothing, the\s+nearest`, got.out)
	assert.Regexp(t, `To do, worst first:\n✗ stop +tragus: it touches nothing, the nearest unit is 1\.\d mm away: change`, got.out)
	assert.FileExists(t, filepath.Join(filepath.Dir(path), "build", "record.json"), "it is built all the same")
}

func TestBadInputIsSaidAndNothingIsWritten(t *testing.T) {
	for _, c := range []struct {
		name      string
		old, new  string   // edit of the case file
		arguments []string // instead of building the case
		says      string
	}{
		{name: "no such file", arguments: []string{"build", "nowhere.yaml"}, says: "nowhere.yaml"},
		{name: "no arguments", arguments: []string{"build"}, says: "accepts 1 arg"},
		{name: "unknown command", arguments: []string{"bild"}, says: "unknown command"},
		{name: "unknown flag", arguments: []string{"demo", "--fast"}, says: "unknown flag"},
		{name: "unknown key", old: "side: left", new: "side: left\nsidde: left", says: "side"},
		{name: "wrong type", old: "thickness: 3.5", new: "thickness: thick", says: "thickness"},
		{name: "negative thickness", old: "thickness: 3.5", new: "thickness: -3.5", says: "thickness"},
		{name: "absurd thickness", old: "thickness: 3.5", new: "thickness: 3500", says: "thickness"},
		{name: "missing template", old: "file: template.svg", new: "file: nothing.svg", says: "nothing.svg"},
		{name: "step below 0", arguments: []string{"demo", "--step", "-1"}, says: "--step"},
		{name: "step of 0", arguments: []string{"demo", "--step", "0"}, says: "--step"},
		{name: "step too fine", arguments: []string{"demo", "--step", "0.001"}, says: "--step"},
		{name: "tolerance not a number", arguments: []string{"demo", "--tolerance", "NaN"}, says: "--tolerance"},
		{name: "not a mesh", arguments: []string{"inspect", "command_test.go"}, says: "command_test.go"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := quickCase(t)
			arguments := c.arguments
			out := filepath.Join(t.TempDir(), "out")
			if arguments == nil {
				edit(t, path, c.old, c.new)
				arguments = []string{"build", path, "--out", out}
			}
			if arguments[0] == "demo" && len(arguments) > 2 {
				arguments = append(arguments, out)
			}
			before := files(t, ".")
			got := earframe(t, arguments...)
			assert.Equal(t, exitBad, got.code)
			assert.Contains(t, got.err, c.says)
			assert.NoDirExists(t, out)
			assert.Equal(t, before, files(t, "."), "nothing is written where the command runs")
		})
	}
}

func TestAnUnwritableFolderIsSaid(t *testing.T) {
	path := quickCase(t)
	blocked := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(blocked, nil, 0o644)) // root may write anywhere, but not into a file
	got := earframe(t, "build", path, "--step", "0.8", "--out", filepath.Join(blocked, "out"))
	assert.Equal(t, exitBad, got.code)
	assert.Contains(t, got.err, "output folder")
}

func TestWhatIsInTheWayLeavesTheFolderAsItWas(t *testing.T) {
	path := quickCase(t)
	out := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(out, "units"), []byte("mine"), 0o644))
	got := earframe(t, "build", path, "--step", "0.8", "--out", out)
	assert.Equal(t, exitBad, got.code)
	assert.Contains(t, got.err, "is a file where a folder is needed")
	assert.Equal(t, []string{"units"}, files(t, out))
}

func TestAUnitLeftOutIsNotLeftBehind(t *testing.T) {
	path := quickCase(t)
	out := filepath.Join(t.TempDir(), "out")
	require.NotEqual(t, exitBad, earframe(t, "build", path, "--step", "0.8", "--out", out).code)
	require.FileExists(t, filepath.Join(out, "units", "tragus.stl"))
	mine := filepath.Join(out, "units", "mine.stl")
	require.NoError(t, os.WriteFile(mine, []byte("mine"), 0o644))
	edit(t, path, "side: left", "side: left\nleave_out: [tragus]")
	edit(t, path, "  - part: tragus\n    rise: 3\n    thickness: 3.5\n    edge: {top: 1.2}\n", "")
	got := earframe(t, "build", path, "--step", "0.8", "--out", out)
	require.NotEqual(t, exitBad, got.code, got.err)
	assert.NoFileExists(t, filepath.Join(out, "units", "tragus.stl"))
	assert.FileExists(t, mine, "what earframe did not make stays")
}

func TestStoppingLeavesNothingHalfWritten(t *testing.T) {
	path := quickCase(t)
	out := filepath.Join(t.TempDir(), "out")
	ctx, cancel := context.WithCancel(context.Background())
	timer := time.AfterFunc(300*time.Millisecond, cancel)
	defer timer.Stop()
	var stdout, stderr bytes.Buffer
	code := run(ctx, []string{"build", path, "--out", out, "--step", "0.05"}, &stdout, &stderr)
	assert.Equal(t, exitInterrupted, code)
	assert.Contains(t, stderr.String(), "stopped")
	assert.NoDirExists(t, out)
}

func TestInspectSaysWhatIsUnsound(t *testing.T) {
	dir := t.TempDir()
	open := &mesh.Mesh{
		Vertices:  []mgl64.Vec3{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}},
		Triangles: [][3]int32{{0, 1, 2}},
	}
	path := filepath.Join(dir, "open.stl")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, meshfile.WriteSTL(f, open))
	require.NoError(t, f.Close())
	got := earframe(t, "inspect", path)
	assert.Equal(t, exitFindings, got.code)
	assert.Regexp(t, `^✗ stop  1 of 1 meshes NOT sound`, got.out, "the verdict first")
	asJSON := earframe(t, "inspect", "--json", path)
	var read []inspected
	require.NoError(t, json.Unmarshal([]byte(asJSON.out), &read))
	assert.False(t, read[0].Meshes[0].Sound)
}

func TestEveryCommandHasHelpWithAnExample(t *testing.T) {
	for _, command := range newRoot(streams{}).Commands() {
		if command.Name() == "help" {
			continue
		}
		got := earframe(t, command.Name(), "--help")
		assert.Equal(t, exitGood, got.code)
		assert.Contains(t, got.out, "Examples:")
	}
}
