package meshfile

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image/color"
	"math"
	"strconv"
	"strings"
	"testing"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// glbOf wraps JSON and a buffer in a file, as the glTF 2.0 specification, 4.4,
// lays it out.
func glbOf(text string, buffer []byte) []byte {
	for len(text)%4 != 0 {
		text += " "
	}
	out := []byte("glTF")
	out = binary.LittleEndian.AppendUint32(out, 2)
	out = binary.LittleEndian.AppendUint32(out, uint32(12+8+len(text)+8+len(buffer)))
	out = binary.LittleEndian.AppendUint32(out, uint32(len(text)))
	out = append(append(out, "JSON"...), text...)
	out = binary.LittleEndian.AppendUint32(out, uint32(len(buffer)))
	return append(append(out, "BIN\x00"...), buffer...)
}

// tetrahedronGLB returns a file with corners at the origin and one on each axis,
// its positions 16 bytes apart and its indices of two bytes, at the end.
func tetrahedronGLB(node string) []byte {
	var buffer []byte
	for _, p := range [][4]float32{{0, 0, 0, 9}, {1, 0, 0, 9}, {0, 2, 0, 9}, {0, 0, 3, 9}} {
		for _, x := range p {
			buffer = binary.LittleEndian.AppendUint32(buffer, math.Float32bits(x))
		}
	}
	for _, i := range []uint16{0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3} {
		buffer = binary.LittleEndian.AppendUint16(buffer, i)
	}
	return glbOf(fmt.Sprintf(`{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],"nodes":[%s],
		"meshes":[{"primitives":[{"attributes":{"POSITION":0},"indices":1}]}],
		"accessors":[{"bufferView":0,"componentType":5126,"count":4,"type":"VEC3"},{"bufferView":1,"componentType":5123,"count":12,"type":"SCALAR"}],
		"bufferViews":[{"buffer":0,"byteLength":64,"byteStride":16},{"buffer":0,"byteOffset":64,"byteLength":24}],
		"buffers":[{"byteLength":88}]}`, node), buffer)
}

func TestGLBStoresMillimetresBelowANodeOfMetres(t *testing.T) {
	var file bytes.Buffer
	require.NoError(t, WriteGLB(&file, exampleDocument()))
	data := file.Bytes()
	length := binary.LittleEndian.Uint32(data[12:])
	var doc struct {
		Asset struct {
			Version, Generator string
			Extras             map[string]string
		}
		Nodes []struct {
			Name        string
			Scale       []float64
			Translation []float64
			Children    []int
		}
		Materials []struct {
			Name string
			PBR  struct{ BaseColorFactor []float64 } `json:"pbrMetallicRoughness"`
		}
		Accessors []struct{ Min, Max []float64 }
		Meshes    []struct {
			Primitives []struct{ Attributes map[string]int }
		}
	}
	require.NoError(t, json.Unmarshal(data[20:20+length], &doc))
	assert.Equal(t, "2.0", doc.Asset.Version)
	assert.Equal(t, Application, doc.Asset.Generator)
	assert.Equal(t, "For practice only, not for implantation.", doc.Asset.Extras["description"])
	assert.Equal(t, []float64{0.001, 0.001, 0.001}, doc.Nodes[0].Scale)
	assert.Equal(t, []int{1, 2, 3}, doc.Nodes[0].Children)
	assert.Equal(t, "helix", doc.Nodes[2].Name)
	assert.Equal(t, []float64{20, 0, -1.5}, doc.Nodes[2].Translation)
	assert.Equal(t, []float64{4, 3, 2.5}, doc.Accessors[0].Max)
	assert.Equal(t, map[string]int{"POSITION": 0}, doc.Meshes[0].Primitives[0].Attributes, "no normals: flat shading")
	// 0xB4 is 180/255 on the screen, 0.456411 in linear light (IEC 61966-2-1).
	assert.InDelta(t, 0.456411, doc.Materials[0].PBR.BaseColorFactor[1], 1e-6)
}

func TestColoursSurviveLinearLight(t *testing.T) {
	for value := range 256 {
		assert.Equal(t, uint8(value), screenValue(linearLight(uint8(value))))
	}
}

func TestGLBOfOthersIsRead(t *testing.T) {
	for _, c := range []struct {
		name, nodes string
		last        mgl64.Vec3 // the corner on z, placed
	}{
		{"metres", `{"mesh":0}`, mgl64.Vec3{0, 0, 3000}},
		{"scaled by 0.001", `{"mesh":0,"scale":[0.001,0.001,0.001]}`, mgl64.Vec3{0, 0, 3}},
		{"moved below a scale", `{"scale":[0.001,0.001,0.001],"children":[1]},{"mesh":0,"translation":[1,2,3]}`, mgl64.Vec3{1, 2, 6}},
		{"matrix, columns first", `{"mesh":0,"matrix":[0.001,0,0,0, 0,0.001,0,0, 0,0,0.001,0, 0.004,0,0,1]}`, mgl64.Vec3{4, 0, 3}},
		{"turned about x", `{"mesh":0,"scale":[0.001,0.001,0.001],"rotation":[0.7071067811865476,0,0,0.7071067811865476]}`, mgl64.Vec3{0, -3, 0}},
		{"mirrored", `{"mesh":0,"scale":[-0.001,0.001,0.001]}`, mgl64.Vec3{0, 0, 3}},
	} {
		t.Run(c.name, func(t *testing.T) {
			objects, err := Read(tetrahedronGLB(c.nodes))
			require.NoError(t, err)
			require.Len(t, objects, 1)
			require.NoError(t, mesh.Judge(objects[0].Mesh).Err())
			assert.InDelta(t, 0, objects[0].Mesh.Vertices[3].Add(objects[0].Offset).Sub(c.last).Len(), 1e-9)
			assert.Equal(t, color.RGBA{255, 255, 255, 255}, objects[0].Color, "the specification's default")
		})
	}
}

func TestGLBThatIsWrongSaysHow(t *testing.T) {
	good := tetrahedronGLB(`{"mesh":0}`)
	edit := func(from, to string) []byte {
		require.Len(t, to, len(from))
		require.True(t, bytes.Contains(good, []byte(from)))
		return bytes.Replace(good, []byte(from), []byte(to), 1)
	}
	for _, c := range []struct {
		name string
		data []byte
		says string
	}{
		{"cut short", good[:15], "cut short"},
		{"version 1", edit("glTF\x02", "glTF\x01"), "version 1"},
		{"cut at the end", good[:len(good)-4], "its header says"},
		{"no JSON first", edit("JSON", "NOSJ"), "not JSON"},
		{"no buffer", edit("BIN\x00", "NIB\x00"), "no binary chunk"},
		{"JSON broken", edit(`{"asset"`, `["asset"`), "GLB: "},
		{"no such scene", edit(`"scene":0`, `"scene":7`), "scene 7 of 1"},
		{"no such node", edit(`"nodes":[0]`, `"nodes":[9]`), "node 9 of 1"},
		{"no such mesh", edit(`"mesh":0`, `"mesh":5`), "mesh 5 of 1"},
		{"no such accessor", edit(`"indices":1`, `"indices":8`), "accessor 8 of 2"},
		{"no such view", edit(`"bufferView":1`, `"bufferView":6`), "buffer view 6 of 2"},
		{"too many positions", edit(`"count":4,`, `"count":5,`), "do not fit"},
		{"too many indices", edit(`"count":12`, `"count":99`), "do not fit"},
		{"view beyond the buffer", edit(`"byteOffset":64`, `"byteOffset":98`), "beyond the buffer"},
		{"indices no triangles", edit(`"count":12`, `"count":11`), "11 indices are no triangles"},
		{"vertex that is not there", edit("\x00\x00\x02\x00\x01\x00", "\x00\x00\x07\x00\x01\x00"), "names vertex 7 of 4"},
		{"not finite", edit("\x00\x00\x80\x3f", "\x00\x00\xc0\x7f"), "not finite"},
		{"quantised", edit("5126", "5122"), "only plain positions"},
		{"node in itself", tetrahedronGLB(`{"mesh":0,"children":[0]}`), "reached twice"},
		{"no meshes", tetrahedronGLB(`{}`), "no meshes"},
		{"lines", glbOf(`{"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],"meshes":[{"primitives":[{"mode":1,"attributes":{}}]}]}`, make([]byte, 4)), "not a list of triangles"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(c.data)
			assert.ErrorContains(t, err, c.says)
		})
	}
}

// manyOnOneAccessorGLB returns a file with a mesh of so many primitives on the
// same corners, from the same number of nodes.
func manyOnOneAccessorGLB(nodes, primitives, corners int) []byte {
	list := func(n int, item string) string { return strings.TrimSuffix(strings.Repeat(item+",", n), ",") }
	numbers := make([]string, nodes)
	for i := range numbers {
		numbers[i] = strconv.Itoa(i)
	}
	buffer := make([]byte, 12*corners)
	for i := range corners { // on a parabola: no three on a line
		binary.LittleEndian.PutUint32(buffer[12*i:], math.Float32bits(float32(i)))
		binary.LittleEndian.PutUint32(buffer[12*i+4:], math.Float32bits(float32(i*i)))
	}
	return glbOf(fmt.Sprintf(`{"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[%s]}],"nodes":[%s],
		"meshes":[{"primitives":[%s]}],"accessors":[{"bufferView":0,"componentType":5126,"count":%d,"type":"VEC3"}],
		"bufferViews":[{"buffer":0,"byteLength":%[5]d}],"buffers":[{"byteLength":%[5]d}]}`,
		strings.Join(numbers, ","), list(nodes, `{"mesh":0}`), list(primitives, `{"attributes":{"POSITION":0}}`), corners, 12*corners), buffer)
}

func TestGLBThatMultipliesItsAccessorsIsRefused(t *testing.T) {
	objects, err := Read(manyOnOneAccessorGLB(2, 5, 30))
	require.NoError(t, err)
	require.Len(t, objects, 2)
	assert.Len(t, objects[0].Mesh.Triangles, 5*10)

	_, err = Read(manyOnOneAccessorGLB(1, 40_000, 3000))
	assert.ErrorContains(t, err, "node 0: mesh 0, primitive 3495: more than 10485760 vertices")
	_, err = Read(manyOnOneAccessorGLB(30_000, 1000, 3))
	assert.ErrorContains(t, err, "more than 10485760 vertices", "nodes multiply as well")
}

func FuzzReadGLB(f *testing.F) {
	addOthers(f, "*.glb")
	var file bytes.Buffer
	require.NoError(f, WriteGLB(&file, smallDocument()))
	f.Add(file.Bytes())
	f.Add(tetrahedronGLB(`{"mesh":0}`))
	f.Add(manyOnOneAccessorGLB(2, 30, 6))
	f.Fuzz(requireReadable(ReadGLB))
}

func FuzzReadGLBText(f *testing.F) {
	file := tetrahedronGLB(`{"scale":[0.001,0.001,0.001],"children":[1]},{"mesh":0,"translation":[1,2,3]}`)
	length := binary.LittleEndian.Uint32(file[12:])
	f.Add(string(file[20:20+length]), file[20+length+8:])
	f.Fuzz(func(t *testing.T, text string, buffer []byte) {
		requireReadable(ReadGLB)(t, glbOf(text, buffer))
	})
}
