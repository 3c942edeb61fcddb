package earframe_test

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// floors lists the packages from the top of the house to the bottom. A package
// may import those below its own floor only.
var floors = [][]string{
	{"cmd/earframe"},
	{"engine"},
	{"report", "report/record"},
	{"report/render", "report/verdict"},
	{"pocket", "practice"},
	{"membrane", "practice/sheet"},
	{"practice/rib", "practice/mould", "practice/kit", "practice/fixation", "practice/budget"},
	{"assemble", "anatomy"},
	{"internal/demotest"},
	{"units", "units/demo"},
	{"units/casefile"},
	{"mesh/meshfile", "mesh/wall", "mesh/contour", "mesh/simplify", "units/centreline", "units/lettering", "internal/strips"},
	{"mesh", "template", "internal/meshtest"},
	{"internal/fieldtest"},
	{"field", "internal/crossing", "units/parts", "publish"},
	{"internal/tree"},
	{"internal/hull", "internal/kept", "internal/workers", "internal/regular", "mesh/internal/places", "mesh/internal/solids"},
}

func TestImportsRunDownward(t *testing.T) {
	floorOf := map[string]int{}
	for floor, packages := range floors {
		for _, p := range packages {
			floorOf["earframe/"+p] = floor
		}
	}
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "./...").Output()
	require.NoError(t, err)
	seen := 0
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		if words[0] == "earframe" { // this test alone
			continue
		}
		floor, ok := floorOf[words[0]]
		if !assert.True(t, ok, "%s has no floor: enter it above and in DEVELOPERS.md", words[0]) {
			continue
		}
		seen++
		for _, imported := range words[1:] {
			if below, ours := floorOf[imported]; ours {
				assert.Greater(t, below, floor, "%s imports %s", words[0], imported)
			}
		}
	}
	assert.Len(t, floorOf, seen, "a package named above is gone")
}
