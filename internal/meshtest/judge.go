package meshtest

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/require"
	"github.com/unixpickle/model3d/model3d"
)

// Model returns the mesh in the form of the independent judge.
func Model(vertices []mgl64.Vec3, triangles [][3]int32) *model3d.Mesh {
	out := model3d.NewMesh()
	for _, t := range triangles {
		var triangle model3d.Triangle
		for k, v := range t {
			triangle[k] = model3d.NewCoord3DArray(vertices[v])
		}
		out.Add(&triangle)
	}
	return out
}

// RequireSound holds the mesh against a judge that is not ours: closed, no
// singular vertices, no self-intersections.
func RequireSound(t testing.TB, vertices []mgl64.Vec3, triangles [][3]int32) {
	t.Helper()
	judge := Model(vertices, triangles)
	require.Len(t, judge.TriangleSlice(), len(triangles), "two triangles are the same")
	require.False(t, judge.NeedsRepair(), "an edge is open or shared by more than two")
	require.Empty(t, judge.SingularVertices(), "a vertex has two fans")
	require.Zero(t, judge.SelfIntersections(), "triangles cross")
	for _, triangle := range triangles {
		a, b, c := vertices[triangle[0]], vertices[triangle[1]], vertices[triangle[2]]
		require.Positive(t, b.Sub(a).Cross(c.Sub(a)).Len(), "a triangle has no area")
	}
}
