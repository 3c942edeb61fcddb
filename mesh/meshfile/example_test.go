package meshfile_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/publish"

	"github.com/go-gl/mathgl/mgl64"
)

// A mesh is written to a folder, proved on the way, and read again.
func Example() {
	tetrahedron := &mesh.Mesh{
		Vertices:  []mgl64.Vec3{{0, 0, 0}, {1, 0, 0}, {0, 2, 0}, {0, 0, 3}},
		Triangles: [][3]int32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}},
	}
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "example")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)

	folder, err := publish.NewFolder(dir)
	if err != nil {
		panic(err)
	}
	defer folder.Discard()
	document := meshfile.Document{Title: "A wedge", Objects: []meshfile.Object{{Name: "wedge", Mesh: tetrahedron}}}
	if err := meshfile.Save(ctx, folder, "wedge.3mf", document); err != nil {
		panic(err)
	}
	if _, err := folder.Conclude(ctx, nil); err != nil {
		panic(err)
	}

	objects, err := meshfile.ReadFile(ctx, filepath.Join(dir, "wedge.3mf"))
	if err != nil {
		panic(err)
	}
	for _, o := range objects {
		fmt.Printf("%s: %d triangles, %.0f mm³, sound: "+
			"%t\n", o.Name, len(o.Mesh.Triangles), o.Mesh.Volume(), mesh.Judge(o.Mesh).Sound())
	}

	// An open mesh is not written anywhere.
	tetrahedron.Triangles = tetrahedron.Triangles[1:]
	fmt.Println(meshfile.Save(ctx, new(publish.Memory), "wedge.stl", document))
	// Output:
	// wedge: 4 triangles, 1 mm³, sound: true
	// wedge.stl: not written: wedge: mesh is not sound: 3 × edge of one triangle only, at (0.500, 0.000, 0.000), (0.000, 1.000, 0.000), (0.500, 1.000, 0.000)
}
