package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"earframe/engine"
	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/pocket"
	"earframe/report/record"
	"earframe/units"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPocketGivesNumbersPicturesAndTheSkin(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	got := earframe(t, "pocket", quickCase(t), "--out", dir)
	require.Equal(t, exitGood, got.code, got.err+got.out)
	assert.ElementsMatch(t, []string{
		"pocket.json", "skin.stl", "skin.3mf",
		"depth/top.png", "depth/underside.png", "depth/depth.csv", "depth/scale.json",
		"views/pocket-depth.png", "views/pocket-stretch.png", "views/pocket-gap.png", "views/pocket-section.png",
		"views/skin-lateral.png", "views/skin-oblique.png",
	}, files(t, dir))
	assert.NoDirExists(t, filepath.Join(dir, "units"))
	for _, name := range []string{"skin.stl", "skin.3mf"} {
		read, err := meshfile.ReadFile(context.Background(), filepath.Join(dir, name))
		require.NoError(t, err)
		require.Len(t, read, 1)
		assert.NoError(t, mesh.Judge(read[0].Mesh).Err(), name)
	}
	for _, name := range []string{"depth", "stretch", "gap", "section"} {
		requirePicture(t, filepath.Join(dir, "views", "pocket-"+name+".png"))
	}
	data, err := os.ReadFile(filepath.Join(dir, "pocket.json"))
	require.NoError(t, err)
	var taken record.Pocket
	require.NoError(t, json.Unmarshal(data, &taken))
	assert.Equal(t, "demo-01", taken.Case)
	assert.InDelta(t, 10, taken.Depth.Peak.Height, 1e-6)
	assert.NotEmpty(t, taken.Findings)
	requireBrief(t, got.out, taken.Verdicts, taken.ToDo, taken.Findings)
	requireSkinInWords(t, &taken, taken.Verdicts)
	for _, caution := range []string{engine.Caution, pocket.Caution} {
		assert.Contains(t, strings.Join(strings.Fields(got.out), " "), caution)
	}
	var all bytes.Buffer
	sayPocketCheck(&all, &taken, dir, true)
	requireAll(t, all.String(), taken.Findings, unsourced(taken.Inputs, false))
	for _, words := range []string{
		"the frame stands 10.0 mm over the bed at its highest (helix)", "times the pocket's area",
		"Dead space:", "triangular fossa", "antihelix fold", "Worked out on a grid of",
	} {
		assert.Contains(t, all.String(), words)
	}
	assert.NotContains(t, string(data), dir, "no path of the machine")
}

// requireSkinInWords holds the numbers of what is said of the skin against the record.
func requireSkinInWords(t *testing.T, taken *record.Pocket, verdicts []record.Answer) {
	t.Helper()
	assert.Contains(t, saysOf(t, verdicts, units.AboutPocket), fmt.Sprintf("%.1f mm high", taken.Depth.Frame.Height))
	assert.Contains(t, saysOf(t, verdicts, units.AboutSkin), fmt.Sprintf("%.0f mm² asked for, %.0f mm² there: stretched "+
		"%.2f",
		taken.Demand.Drape, taken.Pocket.Area+taken.Demand.Extra, taken.Demand.Sliding))
	require.NotEmpty(t, taken.Relief)
	least := slices.MinFunc(taken.Relief, func(a, b record.Relief) int { return cmp.Compare(a.Kept, b.Kept) })
	says := saysOf(t, verdicts, units.AboutRelief)
	assert.Contains(t, says, fmt.Sprintf("the %s shows least: %.0f %%", least.Name, 100*least.Kept))
	n := slices.IndexFunc(taken.Bridging.States, func(s record.SuctionState) bool { return s.Name == "drain full" })
	require.Equal(t, taken.Bridging.Given, n < 0, "a radius that is given does not change with the drain")
	if n >= 0 {
		kept := taken.Bridging.States[n].Kept
		n = slices.IndexFunc(kept, func(k record.KeptShare) bool { return k.Name == least.Name })
		assert.Contains(t, says, fmt.Sprintf("drain full %.0f %%", 100*kept[n].Kept))
	}
	assert.NotContains(t, says, "tension")
}

func TestPocketTooShallowIsAFindingAndAnExitCode(t *testing.T) {
	path := quickCase(t)
	edit(t, path, "side: left\n", "side: left\n\npocket: {depth: 8.5, bridging_radius: 2}\n")
	got := earframe(t, "pocket", path, "--out", filepath.Join(t.TempDir(), "out"), "--json")
	require.Equal(t, exitFindings, got.code, got.err)
	var taken record.Pocket
	require.NoError(t, json.Unmarshal([]byte(got.out), &taken))
	require.NotNil(t, taken.Depth.Room)
	assert.InDelta(t, -1.5, *taken.Depth.Room, 1e-6)
	assert.Contains(t, got.out, "Take 1.5 mm off helix")
	assert.Equal(t, "the frame is 10.0 mm high, the pocket takes 8.5 mm: 1.5 mm too little",
		saysOf(t, taken.Verdicts, units.AboutPocket))
	var said bytes.Buffer
	sayPocketCheck(&said, &taken, "out", false)
	requireBrief(t, said.String(), taken.Verdicts, taken.ToDo, taken.Findings)
	assert.Regexp(t, `To do, worst first:\n✗ stop +helix: it stands 10.0 mm high, the pocket takes 8.5 mm: take 1.5`, said.String())
}

func TestBadPocketWritesNothing(t *testing.T) {
	path := quickCase(t)
	edit(t, filepath.Join(filepath.Dir(path), "template.svg"), `<line id="frankfort"`, `<circle id="pocket" cx="40" cy="38" r="12"/><line id="frankfort"`)
	dir := filepath.Join(t.TempDir(), "out")
	got := earframe(t, "pocket", path, "--out", dir)
	assert.Equal(t, exitBad, got.code)
	assert.Contains(t, got.err, "smaller than the frame")
	assert.NoDirExists(t, dir)
}

func TestVaryPrintsATableAndWritesIt(t *testing.T) {
	path, dir := quickCase(t), filepath.Join(t.TempDir(), "out")
	got := earframe(t, "pocket", path, "--out", dir, "--vary", "units[helix].thickness=3:4:0.5")
	require.Equal(t, exitGood, got.code, got.err)
	assert.Contains(t, got.out, "units[helix].thickness, mm")
	assert.Regexp(t, `^✓ good  from 3 to 4 the frame is 9\.5 to 10\.0 mm deep`, got.out)
	assert.ElementsMatch(t, []string{"vary.csv", "vary.json", "views/pocket-vary.png"}, files(t, dir))
	requirePicture(t, filepath.Join(dir, "views", "pocket-vary.png"))
	file, err := os.Open(filepath.Join(dir, "vary.csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 4)
	for i, want := range [][2]string{{"3", "9.5"}, {"3.5", "9.5"}, {"4", "10"}} {
		assert.Equal(t, want[0], rows[i+1][0])
		assert.Equal(t, want[1], rows[i+1][1], "the tragus stands 9.5 mm high, the rim 6 mm and its thickness")
	}
}

func TestAVariationGoesOntoOneScreen(t *testing.T) {
	v := &pocket.Variation{Path: "skin.lateral"}
	for i := range mostValues {
		v.Rows = append(v.Rows, pocket.VariationRow{Value: float64(i)})
	}
	v.Rows[7].Problem = "no room"
	var brief, all bytes.Buffer
	sayVariation(&brief, v, false)
	sayVariation(&all, v, true)
	assert.LessOrEqual(t, strings.Count(brief.String(), "\n"), mostLines-6, "cautions follow")
	assert.Regexp(t, `(?m)^ +0 `, brief.String())
	assert.Regexp(t, `(?m)^ +199 `, brief.String(), "the last value is not left out")
	assert.Contains(t, brief.String(), "✗ stop")
	assert.Contains(t, strings.Join(strings.Fields(brief.String()), " "), "1 of 200 values gave no result")
	assert.Equal(t, mostValues, strings.Count(all.String(), "\n")-strings.Count(brief.String(), "\n")+mostRows+1)
}

func TestVarySaysWhatCannotBeVaried(t *testing.T) {
	path := quickCase(t)
	for vary, words := range map[string]string{
		"skin.lateral":                        "PATH=FROM:TO:STEP",
		"skin.lateral=1:2":                    "3 are needed",
		"skin.lateral=1:2:x":                  "not a number",
		"skin.lateral=1:2:0":                  "above 0",
		"skin.lateral=3:2:1":                  "not below FROM",
		"skin.lateral=NaN:2:1":                "not a number",
		"skin.lateral=0:1e9:1":                "at most 200",
		"skin.lateral=7:9:1":                  "expected a number from 0 to 6 mm",
		"skin.latral=1:2:1":                   "unknown key",
		"pocket.bridging_radius=0:2:1":        "pocket.bridging_radius",
		"side=1:2:1":                          "expected one of left, right",
		"units[helix].rise=1:2:1":             "not a single number",
		"case.x=1:2:1":                        "no keys and values",
		"units[nose].rise=1:2:1":              "nose",
		"units[=1:2:1":                        "such as units[helix] is expected",
		"units[base].recesses[fossa].x=1:2:1": "unknown key",
		"skin[2]=1:2:1":                       "there is no list",
	} {
		got := earframe(t, "pocket", path, "--out", filepath.Join(t.TempDir(), "out"), "--vary", vary)
		assert.Equal(t, exitBad, got.code, vary)
		assert.Contains(t, got.err, words, vary)
	}
}

// A value that the frame does not fit at is a row that says so; the others stand.
func TestVaryGoesOnWhereTheFrameDoesNotFit(t *testing.T) {
	path := quickCase(t)
	edit(t, filepath.Join(filepath.Dir(path), "template.svg"), `<line id="frankfort"`, `<ellipse id="pocket" cx="40" cy="37.5" rx="18.5" ry="29"/><line id="frankfort"`)
	got := earframe(t, "pocket", path, "--out", filepath.Join(t.TempDir(), "out"), "--vary", "skin.lateral=1:2:1", "--json")
	require.Equal(t, exitBad, got.code, "no value at all gave a result")
	assert.Contains(t, got.err, "no value of skin.lateral gave a result")
}

// A template without the ear's outline is built, and says what is not known.
func TestBuildWithoutAPocketSaysSo(t *testing.T) {
	path := quickCase(t)
	edit(t, filepath.Join(filepath.Dir(path), "template.svg"), `id="ear"`, `id="face"`)
	dir := filepath.Join(t.TempDir(), "out")
	got := earframe(t, "build", path, "--out", dir, "--step", "0.5")
	require.Equal(t, exitGood, got.code, got.err)
	assert.Regexp(t, `\? pocket +not known +neither ear nor pocket is drawn`, got.out)
	assert.Regexp(t, `\? skin +not known +no skin was laid`, got.out)
	assert.NotContains(t, files(t, dir), "pocket.json")
}

func TestBuildHoldsThePocketsFindings(t *testing.T) {
	path := quickCase(t)
	edit(t, filepath.Join(filepath.Dir(path), "template.svg"), `<line id="frankfort"`, `<circle id="pocket" cx="40" cy="38" r="12"/><line id="frankfort"`)
	e := engine.New(0)
	c, err := e.Read(path)
	require.NoError(t, err)
	plan, err := e.Plan(t.Context(), c)
	require.NoError(t, err)
	answer, err := e.Answer(t.Context(), plan, engine.Coarse, nil)
	require.NoError(t, err)
	assert.Nil(t, answer.Skin)
	require.Len(t, answer.Refused, 1)
	assert.Equal(t, units.Error, answer.Refused[0].Severity)
	assert.Contains(t, answer.Findings(), answer.Refused[0])
}
