package meshfile

import (
	"context"
	"image/color"
	"os"
	"path/filepath"
	"testing"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const othersFolder = "../../testdata/meshes"

// addOthers gives a fuzz target the files of other programs that match.
func addOthers(f *testing.F, pattern string) {
	paths, err := filepath.Glob(filepath.Join(othersFolder, pattern))
	require.NoError(f, err)
	require.NotEmpty(f, paths)
	for _, path := range paths {
		data, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(data)
	}
}

func TestFilesOfOtherProgramsAreRead(t *testing.T) {
	orange := color.RGBA{0xE6, 0x9F, 0, 255}
	for _, c := range []struct {
		file    string
		name    string
		color   color.RGBA
		offsets []mgl64.Vec3
	}{
		{"binary.stl", "binary", color.RGBA{}, []mgl64.Vec3{{}}},
		{"text.stl", "Processed by ADMesh version 0.98.4", color.RGBA{}, []mgl64.Vec3{{}}},
		{"components.3mf", "wedge", orange, []mgl64.Vec3{{}, {10, 20, 30}}},
		{"normals.glb", "wedge", color.RGBA{255, 188, 0, 255}, []mgl64.Vec3{{}}}, // 0.5 in linear light is 188
	} {
		t.Run(c.file, func(t *testing.T) {
			objects, err := ReadFile(context.Background(), filepath.Join(othersFolder, c.file))
			require.NoError(t, err)
			require.Len(t, objects, len(c.offsets))
			for i, object := range objects {
				v := mesh.Judge(object.Mesh)
				require.NoError(t, v.Err())
				assert.Equal(t, []int{4, 4}, []int{v.Vertices, v.Triangles})
				assert.InEpsilon(t, 4, v.Volume, 1e-6)
				assert.Equal(t, c.name, object.Name)
				assert.Equal(t, c.color, object.Color)
				assert.Equal(t, c.offsets[i], object.Offset)
			}
		})
	}
}
