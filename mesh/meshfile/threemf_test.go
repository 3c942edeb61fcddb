package meshfile

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"image/color"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"earframe/mesh"
	"earframe/mesh/internal/solids"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// packageOf wraps a model's inner XML in a package.
func packageOf(t testing.TB, attributes, inner string) []byte {
	t.Helper()
	return zipOf(t, map[string]string{
		"[Content_Types].xml": threemfContentTypes,
		"_rels/.rels":         threemfRootRelationship,
		"3D/3dmodel.model":    `<?xml version="1.0" encoding="UTF-8"?><model xmlns="` + threemfNamespace + `" ` + attributes + `>` + inner + `</model>`,
	})
}

// tetrahedronXML is a mesh with corners at the origin and one on each axis.
const tetrahedronXML = `<mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="2" z="0"/><vertex x="0" y="0" z="3e0"/></vertices>` +
	`<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="1" v2="2" v3="3"/><triangle v1="2" v2="0" v3="3"/></triangles></mesh>`

func TestPackageHasFixedEntriesAndTimes(t *testing.T) {
	var file bytes.Buffer
	require.NoError(t, Write3MF(&file, exampleDocument()))
	archive, err := zip.NewReader(bytes.NewReader(file.Bytes()), int64(file.Len()))
	require.NoError(t, err)
	var names []string
	for _, entry := range archive.File {
		names = append(names, entry.Name)
		assert.Equal(t, time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC), entry.Modified.UTC())
	}
	assert.Equal(t, []string{"[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"}, names)
	model, err := archive.Open("3D/3dmodel.model")
	require.NoError(t, err)
	content, err := io.ReadAll(model)
	require.NoError(t, err)
	for _, part := range []string{
		`unit="millimeter"`, `<metadata name="Title">Example &amp; &lt;test&gt; of a carver's &quot;own&quot;</metadata>`,
		`<metadata name="Description">For practice only, not for implantation.</metadata>`,
		`<base name="base frame" displaycolor="#56B4E9"/>`, `displaycolor="#0072B280"`,
		`<item objectid="3" transform="1 0 0 0 1 0 0 0 1 20.000 0.000 -1.500"/>`,
	} {
		assert.Contains(t, string(content), part)
	}
	assert.NotContains(t, string(content), "&#", "numbered characters, which not every reader knows")
}

func TestPackagesOfOthersAreRead(t *testing.T) {
	object := func(id int, rest string) string {
		return fmt.Sprintf(`<object id="%d" name="o%d" %s</object>`, id, id, rest)
	}
	quarter := `transform="0 1 0 -1 0 0 0 0 1 10 0 0"` // x to y, then moved
	mirror := `transform="-1 0 0 0 1 0 0 0 1 0 0 0"`
	for _, c := range []struct {
		name, attributes, inner string
		volumes                 []float64
		last                    mgl64.Vec3 // the corner on z, placed
	}{
		{"millimetres by default", "", `<resources>` + object(1, `>`+tetrahedronXML) + `</resources><build><item objectid="1"/></build>`, []float64{1}, mgl64.Vec3{0, 0, 3}},
		{"centimetres", `unit="centimeter"`, `<resources>` + object(1, `>`+tetrahedronXML) + `</resources><build><item objectid="1"/></build>`, []float64{1000}, mgl64.Vec3{0, 0, 30}},
		{"inches", `unit="inch"`, `<resources>` + object(1, `>`+tetrahedronXML) + `</resources><build><item objectid="1"/></build>`, []float64{25.4 * 25.4 * 25.4}, mgl64.Vec3{0, 0, 76.2}},
		{"micrometres", `unit="micron"`, `<resources>` + object(1, `>`+tetrahedronXML) + `</resources><build><item objectid="1"/></build>`, []float64{1e-9}, mgl64.Vec3{0, 0, 0.003}},
		{"turned and moved", "", `<resources>` + object(1, `>`+tetrahedronXML) + `</resources><build><item objectid="1" ` + quarter + `/></build>`, []float64{1}, mgl64.Vec3{10, 0, 3}},
		{"mirrored", "", `<resources>` + object(1, `>`+tetrahedronXML) + `</resources><build><item objectid="1" ` + mirror + `/></build>`, []float64{1}, mgl64.Vec3{0, 0, 3}},
		{"components, the unbuilt left out", "", `<resources>` + object(1, `>`+tetrahedronXML) + object(5, `>`+tetrahedronXML) +
			object(2, `><components><component objectid="1"/><component objectid="1" `+quarter+`/></components>`) +
			`</resources><build><item objectid="2"/></build>`, []float64{1, 1}, mgl64.Vec3{0, 0, 3}},
	} {
		t.Run(c.name, func(t *testing.T) {
			objects, err := Read(packageOf(t, c.attributes, c.inner))
			require.NoError(t, err)
			require.Len(t, objects, len(c.volumes))
			for i, want := range c.volumes {
				require.NoError(t, mesh.Judge(objects[i].Mesh).Err())
				assert.InEpsilon(t, want, objects[i].Mesh.Volume(), 1e-6)
			}
			last := objects[0].Mesh.Vertices[3].Add(objects[0].Offset)
			assert.InDelta(t, 0, last.Sub(c.last).Len(), 1e-6, last)
		})
	}
}

// modelOf wraps a whole model part in a package.
func modelOf(t testing.TB, model string) []byte {
	t.Helper()
	return zipOf(t, map[string]string{
		"[Content_Types].xml": threemfContentTypes, "_rels/.rels": threemfRootRelationship, "3D/3dmodel.model": model,
	})
}

func TestModelsMayHoldWhateverXMLMay(t *testing.T) {
	model := func(before, title, vertices string) string {
		return before + `<model xmlns="` + threemfNamespace + `"><metadata name="Title">` + title + `</metadata><resources><object id="1" name="a">` +
			strings.Replace(tetrahedronXML, "<vertices>", "<vertices>"+vertices, 1) + `</object></resources><build><item objectid="1"/></build></model>`
	}
	const declared = `<?xml version="1.0" encoding="UTF-8"?>`
	for name, content := range map[string]string{
		"comment":                     model(declared+"<!-- made by <hand> & eye -->", "", "<!---->"),
		"comment that looks like XML": model("", "", `<!-- <vertex x="9" y="9" z="9"/> ]]> -->`),
		"CDATA":                       model(declared, "<![CDATA[a < b & c ]] > <!-- no comment ]]>", ""),
		"two sections side by side":   model(declared, "<![CDATA[a]]>]]&gt;<![CDATA[]]>", ""),
		"document type":               model(declared+"<!DOCTYPE model>", "", ""),
		"document type at an address": model(declared+`<!DOCTYPE model SYSTEM "http://a.example/>.dtd">`, "", ""),
		"declarations within": model(declared+`<!DOCTYPE model [<!ELEMENT model ANY> <!-- it's > --> <!ATTLIST model unit CDATA '>'>
			<!ENTITY grown "<!grown>">]>`, "", ""),
		"instruction": model(declared+"<?hint <!?>", "", "<?hint?>"),
	} {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, xml.Unmarshal([]byte(content), new(struct{})), "the standard library takes it for XML")
			objects, err := Read(modelOf(t, content))
			require.NoError(t, err)
			require.Len(t, objects, 1)
			assert.Len(t, objects[0].Mesh.Vertices, 4)
			assert.InEpsilon(t, 1, objects[0].Mesh.Volume(), 1e-12)
		})
	}
	for name, content := range map[string]string{
		"comment without an end":       model(declared, "<!-- a", ""),
		"CDATA without an end":         model(declared, "<![CDATA[ a", ""),
		"document type without an end": declared + "<!DOCTYPE model [",
	} {
		_, err := Read(modelOf(t, content))
		assert.Error(t, err, name)
	}
	_, err := Read(modelOf(t, model(declared+`<!DOCTYPE model [<!ENTITY nine "9">]>`, "", `<vertex x="&nine;" y="0" z="0"/>`)))
	assert.Error(t, err, "an entity of its own is not known, whatever it stands for")
}

func TestPlainXMLSaysTheSameText(t *testing.T) {
	for content, want := range map[string]string{
		"<a>1</a>":                               "<a>1</a>",
		"<a><!-- x --><b/><!----></a>":           "<a><b/></a>",
		"<a><![CDATA[<&>']]></a>":                "<a>&lt;&amp;&gt;'</a>",
		"<!DOCTYPE a [ <!ENTITY b '>'> ]>\n<a/>": "\n<a/>",
	} {
		got, err := plainXML([]byte(content))
		require.NoError(t, err)
		assert.Equal(t, want, string(got))
	}
}

func TestARequiredExtensionThatIsNotReadIsNamed(t *testing.T) {
	body := `<resources><object id="1">` + tetrahedronXML + `</object></resources><build><item objectid="1"/></build>`
	const beams = "http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02"
	const materials = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
	for _, c := range []struct{ attributes, says string }{
		{`xmlns:b="` + beams + `" requiredextensions="b"`, `requires the extension "b" ("` + beams + `"), which is not read`},
		{`requiredextensions="m q" xmlns:m="` + materials + `" xmlns:q="http://q.example"`, `"q" ("http://q.example")`},
		{`requiredextensions="nowhere"`, `"nowhere" ("")`},
		{`xmlns:b="` + beams + `"`, ""},
		{`xmlns:m="` + materials + `" requiredextensions="m"`, ""},
		{`requiredextensions=""`, ""},
	} {
		_, err := Read(packageOf(t, c.attributes, body))
		if c.says == "" {
			assert.NoError(t, err, c.attributes)
		} else {
			assert.ErrorContains(t, err, c.says)
		}
	}
}

func TestQuarterTurnOfAPackageGoesTheRightWay(t *testing.T) {
	// Core specification 3.3: a point is a row, multiplied from the left, so
	// the first three numbers are where x goes.
	objects, err := Read(packageOf(t, "", `<resources><object id="1">`+tetrahedronXML+`</object></resources>`+
		`<build><item objectid="1" transform="0 1 0 -1 0 0 0 0 1 10 20 30"/></build>`))
	require.NoError(t, err)
	assert.Equal(t, []mgl64.Vec3{{10, 20, 30}, {10, 21, 30}, {8, 20, 30}, {10, 20, 33}}, objects[0].Mesh.Vertices)
}

func TestPackagesOfOthersKeepNamesAndColours(t *testing.T) {
	objects, err := Read(packageOf(t, "", `<resources><basematerials id="7"><base name="red" displaycolor="#FF0000"/><base name="half green" displaycolor="#00ff0080"/></basematerials>`+
		`<object id="1" name="first" pid="7" pindex="1">`+tetrahedronXML+`</object></resources><build><item objectid="1"/></build>`))
	require.NoError(t, err)
	assert.Equal(t, []any{"first", "half " +
		"green", color.RGBA{0, 255, 0, 128}}, []any{objects[0].Name, objects[0].Label, objects[0].Color})
}

func TestPackagesThatAreWrongSayHow(t *testing.T) {
	resources := `<resources><object id="1">` + tetrahedronXML + `</object></resources>`
	loop := `<resources><object id="1"><components><component objectid="1"/></components></object></resources>`
	wide := `<resources><object id="1">` + tetrahedronXML + `</object><object id="2"><components>` +
		strings.Repeat(`<component objectid="1"/>`, threemfParts+1) + `</components></object></resources>`
	for _, c := range []struct{ name, inner, says string }{
		{"nothing built", resources + `<build/>`, "builds nothing"},
		{"no such object", resources + `<build><item objectid="3"/></build>`, "object 3 is not in the model part"},
		{"object in itself", loop + `<build><item objectid="1"/></build>`, "contain themselves"},
		{"too many components", wide + `<build><item objectid="2"/></build>`, "more than 4096 components"},
		{"vertex that is not there", strings.Replace(resources, `v1="0" v2="2"`, `v1="0" v2="9"`, 1) + `<build><item objectid="1"/></build>`, "names vertex 9 of 4"},
		{"not a number", strings.Replace(resources, `x="1"`, `x="one"`, 1) + `<build><item objectid="1"/></build>`, "3MF: "},
		{"infinite", strings.Replace(resources, `x="1"`, `x="inf"`, 1) + `<build><item objectid="1"/></build>`, "3MF: "},
		{"neither mesh nor components", `<resources><object id="1"></object></resources><build><item objectid="1"/></build>`, "neither"},
		{"not closed", `<resources><object id="1"><mesh>`, "3MF: "},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(packageOf(t, "", c.inner))
			assert.ErrorContains(t, err, c.says)
		})
	}
}

// manyCopies is a model of a mesh with that many vertices, most of them unused,
// and as many components that show it.
func manyCopies(vertices, copies int) string {
	return `<resources><object id="1"><mesh><vertices>` + strings.Repeat(`<vertex x="0" y="0" z="0"/>`, vertices-2) +
		`<vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/></vertices>` +
		fmt.Sprintf(`<triangles><triangle v1="0" v2="%d" v3="%d"/></triangles></mesh></object>`, vertices-2, vertices-1) +
		`<object id="2"><components>` + strings.Repeat(`<component objectid="1" transform="2 0 0 0 2 0 0 0 2 0 0 0"/>`, copies) +
		`</components></object></resources><build><item objectid="2"/></build>`
}

func TestPackageThatMultipliesItsVerticesIsRefused(t *testing.T) {
	objects, err := Read(packageOf(t, "", manyCopies(5, 7)))
	require.NoError(t, err)
	require.Len(t, objects, 7)
	assert.Equal(t, mgl64.Vec3{0, 2, 0}, objects[6].Mesh.Vertices[4])

	data := packageOf(t, "", manyCopies(30_000, 4000))
	require.Less(t, len(data), 100_000)
	_, err = Read(data)
	assert.ErrorContains(t, err, "more than 10485760 vertices")
}

func TestPackageThatUnpacksToTooMuchIsRefused(t *testing.T) {
	const limit = 1 << 20
	data := zipOf(t, map[string]string{"fits": strings.Repeat(" ", limit), "does not": strings.Repeat(" ", limit+1)})
	assert.Less(t, len(data), limit/100)
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	_, err = unpackEntry(archive, "fits", limit)
	require.NoError(t, err)
	_, err = unpackEntry(archive, "does not", limit)
	assert.ErrorContains(t, err, "unpacks to more than 1 MB")
}

func FuzzRead3MF(f *testing.F) {
	addOthers(f, "*.3mf")
	var file bytes.Buffer
	require.NoError(f, Write3MF(&file, smallDocument()))
	f.Add(file.Bytes())
	f.Fuzz(requireReadable(Read3MF))
}

func FuzzRead3MFModel(f *testing.F) {
	f.Add(`unit="inch"`, `<resources><basematerials id="7"><base name="red" displaycolor="#FF0000"/></basematerials><object id="1" pid="7" pindex="0">`+tetrahedronXML+
		`</object><object id="2"><components><component objectid="1" transform="0 1 0 -1 0 0 0 0 1 10 0 0"/></components></object></resources><build><item objectid="2"/></build>`)
	f.Add("", manyCopies(9, 20))
	f.Add(`unit="meter" xmlns:m="http://example"`, `<metadata name="Title">t</metadata><resources><object id="1"><mesh><vertices/><triangles/></mesh></object></resources><build><item objectid="1"/></build>`)
	f.Add(`xmlns:b="http://b" requiredextensions="b"`, `<!-- a --><metadata name="Title"><![CDATA[<]]></metadata><!DOCTYPE a [<!ENTITY b "c">]>`)
	f.Fuzz(func(t *testing.T, attributes, inner string) {
		requireReadable(Read3MF)(t, packageOf(t, attributes, inner))
	})
}

func TestMatrixThatOnlyMovesLeavesVerticesAlone(t *testing.T) {
	m := exact(solids.Box(mgl64.Vec3{}, mgl64.Vec3{1, 2, 3}))
	same, offset := placed(m, mgl64.Translate3D(1, 2, 3))
	assert.Same(t, m, same)
	assert.Equal(t, mgl64.Vec3{1, 2, 3}, offset)
	turned, offset := placed(m, mgl64.HomogRotate3DZ(math.Pi/2))
	assert.Zero(t, offset)
	assert.InEpsilon(t, 6, turned.Volume(), 1e-12)
}
