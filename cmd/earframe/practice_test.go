package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"earframe/engine"
	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/practice"
	"earframe/report/record"
	"earframe/units"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPracticeGivesEverythingForACarvingSession(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	got := earframe(t, "practice", quickCase(t), "--out", dir, "--step", "0.4", "--all")
	require.Equal(t, exitGood, got.code, got.err+got.out)
	for _, words := range []string{
		"Rib blanks:", "Casting moulds", "silicone", "Kit: 7 prints", "Wiring:", "gauge", "Cartilage:",
	} {
		assert.Contains(t, got.out, words)
	}
	made := files(t, dir)
	for _, name := range []string{
		"practice.json", "sheets/carving.pdf", "sheets/carving-1.svg", "sheets/session.pdf", "sheets/session-1.svg",
		"blanks/ribs-6-7.stl", "blanks/rib-8.stl", "blanks/rib-9.stl", "moulds/rib-8-lower.stl", "moulds/rib-8-upper.stl",
		"moulds/tragus-open.stl", "moulds/helix.3mf", "kit/1-base-anterior-piece.stl", "kit/1-base-posterior-piece.stl",
		"moulds/base-anterior.3mf", "kit/2-helix.stl", "kit/plate-1.3mf",
	} {
		assert.Contains(t, made, name)
	}
	for _, name := range []string{"kit-exploded", "blanks", "moulds", "plate-1"} {
		requirePicture(t, filepath.Join(dir, "views", name+".png"))
	}
	requireSoundMeshes(t, dir, made)
	requirePlateFits(t, filepath.Join(dir, "kit", "plate-1.3mf"), 180)
	data, err := os.ReadFile(filepath.Join(dir, engine.PracticeRecordName))
	require.NoError(t, err)
	assert.NotContains(t, string(data), dir, "no path of the machine")
	var taken record.Practice
	require.NoError(t, json.Unmarshal(data, &taken))
	assert.Equal(t, []string{engine.Caution, practice.Caution}, taken.Caution)
	assert.Len(t, taken.Files, len(made)-1)
	requireAll(t, got.out, taken.Findings, unsourced(taken.Inputs, true))
	requirePracticeInWords(t, &taken)
	assert.Len(t, taken.Mix, 11, "five units, two of them in two pieces, three blanks, all of them")
}

// requirePracticeInWords holds the report's own words and numbers against the record.
func requirePracticeInWords(t *testing.T, taken *record.Practice) {
	t.Helper()
	var said bytes.Buffer
	sayPractice(&said, nil, taken, "out", false)
	requireBrief(t, said.String(), taken.Verdicts, taken.ToDo, taken.Findings)
	for _, caution := range taken.Caution {
		assert.Contains(t, strings.Join(strings.Fields(said.String()), " "), caution)
	}
	assert.Contains(t, said.String(), count(len(unsourced(taken.Inputs, true)), "unsourced default"))
	assert.Contains(t, saysOf(t, taken.Verdicts, units.AboutWiring),
		fmt.Sprintf("%d fixations with %.1f m of wire", taken.Wiring.Count, taken.Wiring.WireMM/1000))
	cartilage := saysOf(t, taken.Verdicts, units.AboutCartilage)
	had := 0
	for _, u := range taken.Budget.Units {
		if len(u.Placements) > 0 && !u.Drawn {
			had++
		}
		if len(u.Parts) > 1 {
			assert.Contains(t, cartilage, fmt.Sprintf("%s in %d pieces", strings.ToLower(u.Label), len(u.Parts)))
		}
	}
	assert.Regexp(t, fmt.Sprintf(`^(all )?%d (of 5 )?units come out of ribs 6 to 9`, had), cartilage)
	prints := saysOf(t, taken.Verdicts, units.AboutPrint)
	assert.Contains(t, prints, count(len(taken.Kit.Pieces), "print"))
	assert.Contains(t, prints, count(len(taken.Moulds), "mould"))
	thinnest := regexp.MustCompile(`thinnest wall (\S+) mm`).FindStringSubmatch(prints)
	require.NotNil(t, thinnest, prints)
	least, err := strconv.ParseFloat(thinnest[1], 64)
	require.NoError(t, err)
	for _, p := range taken.Kit.Pieces {
		if p.Thinnest != nil {
			assert.GreaterOrEqual(t, p.Thinnest.Thickness, least-0.005, p.Name)
		}
	}
	for _, m := range taken.Moulds {
		for _, p := range m.Pieces {
			if p.Thinnest != nil {
				assert.GreaterOrEqual(t, p.Thinnest.Thickness, least-0.005, m.Name)
			}
		}
	}
}

// requireSoundMeshes reads every mesh file back.
func requireSoundMeshes(t *testing.T, dir string, names []string) {
	t.Helper()
	meshes := slices.DeleteFunc(slices.Clone(names), func(name string) bool {
		return !strings.HasSuffix(name, ".stl")
	})
	require.GreaterOrEqual(t, len(meshes), 20)
	for _, name := range meshes {
		objects, err := meshfile.ReadFile(context.Background(), filepath.Join(dir, name))
		require.NoError(t, err)
		verdict := mesh.Judge(objects[0].Mesh)
		assert.NoError(t, verdict.Err(), name)
		if strings.HasPrefix(name, "kit") || strings.HasPrefix(name, "moulds") {
			assert.InDelta(t, 0, verdict.Low[2], 1e-3, "%s stands on the plate", name)
		}
	}
}

// requirePlateFits holds a plate's prints to its bed and apart from one another.
func requirePlateFits(t *testing.T, path string, bed float64) {
	t.Helper()
	objects, err := meshfile.ReadFile(context.Background(), path)
	require.NoError(t, err)
	require.Len(t, objects, 7)
	for _, o := range objects {
		low, high := o.Mesh.Bounds()
		for axis := range 2 {
			assert.GreaterOrEqual(t, low[axis]+o.Offset[axis], -1e-3, o.Name)
			assert.LessOrEqual(t, high[axis]+o.Offset[axis], bed+1e-3, o.Name)
		}
		assert.InDelta(t, 0, low[2]+o.Offset[2], 1e-3, o.Name)
	}
}

func TestWhatAPracticeSetCannotBeMadeToIsRefusedOrFound(t *testing.T) {
	for name, c := range map[string]struct {
		section string
		code    int
		want    []string
	}{
		"negative clearance":         {"kit: {clearance: -0.1}", exitBad, []string{"case.yaml:", "kit.clearance"}},
		"wall that cannot be made":   {"casting: {wall: 0.4}", exitBad, []string{"casting.wall", "0.9 mm"}},
		"wire thicker than its hole": {"fixation: {wire: 0.8, hole: 0.6}", exitBad, []string{"fixation.hole", "0.8 mm"}},
		"rib that cannot be": {"{rib: 8, length: 200, height: 40, radius: " +
			"16}", exitBad, []string{"cartilage.ribs[8]"}},
	} {
		t.Run(name, func(t *testing.T) {
			path := quickCase(t)
			if strings.HasPrefix(c.section, "{") {
				edit(t, path, "{rib: 8, length: 102, height: 15}", c.section)
			} else {
				appendTo(t, path, c.section)
			}
			dir := filepath.Join(t.TempDir(), "out")
			got := earframe(t, "practice", path, "--out", dir, "--step", "0.8")
			assert.Equal(t, c.code, got.code, got.err)
			for _, words := range c.want {
				assert.Contains(t, got.err, words)
			}
			assert.NoDirExists(t, dir)
		})
	}
}

func TestAShortRibASmallBedAndAMouldThatCannotBeAreFindingsWithNumbers(t *testing.T) {
	path := quickCase(t)
	appendTo(t, path, "casting: {mould: open}\nkit: {bed: {width: 40, depth: 40}}")
	edit(t, path, "length: 102", "length: 60")
	dir := filepath.Join(t.TempDir(), "out")
	got := earframe(t, "practice", path, "--out", dir, "--step", "0.8", "--all")
	require.Equal(t, exitFindings, got.code, got.err+got.out)
	assert.Regexp(t, `Helix with crus: comes out in (two|three|four) pieces, .* with \d\.\d mm to spare`, got.out)
	assert.Regexp(t, `base: its print of .* does not fit a bed of 40 × 40 mm; it is cut in 2 parts`, got.out)
	assert.Regexp(t, `error: rib-8: no mould was made: .*flat face`, got.out)
	data, err := os.ReadFile(filepath.Join(dir, engine.PracticeRecordName))
	require.NoError(t, err)
	var taken record.Practice
	require.NoError(t, json.Unmarshal(data, &taken))
	requirePracticeInWords(t, &taken)
}

func TestAFolderThatCannotBeWrittenIsRefusedBeforeTheWork(t *testing.T) {
	blocked := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(blocked, []byte("in the way"), 0o644))
	got := earframe(t, "practice", quickCase(t), "--out", filepath.Join(blocked, "out"))
	assert.Equal(t, exitBad, got.code)
	assert.Contains(t, got.err, "cannot make the output folder")
}

func TestStoppingAPracticeSetLeavesNothing(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	dir := filepath.Join(t.TempDir(), "out")
	var out, complaints strings.Builder
	code := run(ctx, []string{"practice", quickCase(t), "--out", dir}, &out, &complaints)
	assert.Equal(t, exitInterrupted, code)
	assert.NoDirExists(t, dir)
}

// appendTo adds lines to a case file.
func appendTo(t testing.TB, path, lines string) {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, append(data, []byte("\n"+lines+"\n")...), 0o644))
}
