package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// openText is a text STL of one triangle.
func openText(name string) string {
	return "solid " + name + "\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 " +
		"0\nendloop\nendfacet\nendsolid\n"
}

func TestInspectSaysWhatAFileIsThatIsNotRead(t *testing.T) {
	dir := t.TempDir()
	for name, c := range map[string]struct{ content, says string }{
		"a.obj": {"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n" + strings.Repeat("# more\n", 99), "an OBJ mesh; export it as " +
			"STL, 3MF or GLB"},
		"a.svgz":     {"\x1f\x8b\x08\x00 and more", "compressed with gzip, as SVGZ drawings are; unpack it first"},
		"faulty.stl": {strings.Replace(openText("x"), "vertex 1", "vertex one", 1), `STL text, line 5: found "one" where a number was expected`},
	} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(c.content), 0o644))
		got := earframe(t, "inspect", path)
		assert.Equal(t, exitBad, got.code)
		assert.Contains(t, got.err, path+": "+c.says)
	}
}

func TestInspectSaysOpenAndNoShapes(t *testing.T) {
	dir := t.TempDir()
	list := func(content string) string {
		path := filepath.Join(dir, "a.svg")
		require.NoError(t, os.WriteFile(path, []byte(`<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm">`+content+"</svg>"), 0o644))
		got := earframe(t, "inspect", path)
		require.Equal(t, exitGood, got.code, got.err)
		return got.out
	}
	strokes := list(`<path id="helix" d="M0 0h9v9"/><rect id="base" width="96" height="96"/><g transform="turn(3)"/>`)
	assert.Regexp(t, `helix +helix +1 +2\.38 +2\.38 +open  \n`, strokes)
	assert.Regexp(t, `base +base +1 +25\.40 +25\.40 +645\.16  \n`, strokes)
	assert.Regexp(t, `<g> .* transform: "turn"`, strokes)
	assert.Contains(t, list(`<text>Ear</text>`), "no shapes: it draws no path")
}

func TestNamesThatATerminalWouldObeyAreQuoted(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "red\x1b[31m.stl")
	if err := os.WriteFile(path, []byte(openText("bell\a \u202edrawkcab")), 0o644); err != nil {
		t.Skip("no such names on this system: ", err)
	}
	got := earframe(t, "inspect", path)
	require.Equal(t, exitFindings, got.code, got.err)
	assert.Contains(t, got.out, `red\x1b[31m.stl"`)
	assert.Contains(t, got.out, `"bell\a \u202edrawkcab": NOT sound`)
	gone := earframe(t, "inspect", path+"\x1b[2Jgone")
	assert.Equal(t, exitBad, gone.code)
	for _, said := range []string{got.out, gone.err} {
		assert.NotContains(t, said, "\x1b")
		assert.NotContains(t, said, "\u202e")
	}
	svg := filepath.Join(dir, "a.svg")
	require.NoError(t, os.WriteFile(svg, []byte(`<svg xmlns="http://www.w3.org/2000/svg"><rect id="a&#x9b;b" width="5" height="5"/></svg>`), 0o644))
	assert.NotContains(t, earframe(t, "inspect", svg).out, "\u009b")
}

func TestVersionIsSaid(t *testing.T) {
	got := earframe(t, "--version")
	assert.Equal(t, exitGood, got.code)
	assert.Regexp(t, `^earframe version \S+.*, go1\.\d+`, got.out)
}

func TestInspectEndsWhenAsked(t *testing.T) {
	path := filepath.Join(t.TempDir(), "large.stl")
	triangle := strings.TrimSuffix(strings.SplitN(openText("x"), "\n", 2)[1], "endsolid\n")
	require.NoError(t, os.WriteFile(path, []byte("solid x\n"+strings.Repeat(triangle, 1<<19)+"endsolid\n"), 0o644))
	ctx, cancel := context.WithCancel(context.Background())
	time.AfterFunc(50*time.Millisecond, cancel)
	var out, complaints bytes.Buffer
	began := time.Now()
	assert.Equal(t, exitInterrupted, run(ctx, []string{"inspect", path}, &out, &complaints))
	assert.Less(t, time.Since(began), time.Minute)
	assert.Contains(t, complaints.String(), "stopped")
}

// Of many meshes the verdict is said, and what is not sound.
func TestInspectingManyMeshesGoesOntoOneScreen(t *testing.T) {
	var files []inspected
	for i := range 30 {
		files = append(files, inspected{
			File: fmt.Sprintf("%d.stl", i), Meshes: []inspectedMesh{{Name: "mesh", Sound: i != 7}},
		})
	}
	var brief, all bytes.Buffer
	sayInspected(&brief, files, false)
	sayInspected(&all, files, true)
	assert.LessOrEqual(t, strings.Count(brief.String(), "\n"), mostLines-2)
	assert.Contains(t, brief.String(), "7.stl")
	assert.NotContains(t, brief.String(), "8.stl")
	assert.Contains(t, brief.String(), "29 sound meshes")
	assert.Equal(t, 30, strings.Count(all.String(), ".stl"))
}
