package simplify

import (
	"cmp"
	"context"
	"math"
	"slices"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// widerReach is by how much further vertices are locked in each round than in the
// one before.
const widerReach = 4

// lockNear locks the vertices of m that are within reach mm of the boxes where
// triangles of out cross; where all of those are locked already, another round would
// come to the same crossings, so it reaches further. It returns how far. ctx ends the
// work early with its error.
func lockNear(
	ctx context.Context, m *mesh.Mesh, locked []bool, out *mesh.Mesh, crossings [][2]int32, reach float64,
) (float64, error) {
	alongX := make([]int32, len(m.Vertices))
	for v := range alongX {
		alongX[v] = int32(v)
	}
	slices.SortFunc(alongX, func(a, b int32) int { return cmp.Compare(m.Vertices[a][0], m.Vertices[b][0]) })
	low, high := m.Bounds()
	for size := high.Sub(low).Len(); ; reach *= widerReach {
		fresh := false
		for _, pair := range crossings {
			if err := ctx.Err(); err != nil {
				return reach, err
			}
			fresh = lockRound(m, alongX, locked, out, pair, reach) || fresh
		}
		if fresh || reach > size {
			return reach, nil
		}
	}
}

// lockRound locks the vertices of m, which are given in order along x, round one
// crossing, and reports whether one was not locked.
func lockRound(m *mesh.Mesh, alongX []int32, locked []bool, out *mesh.Mesh, pair [2]int32, reach float64) (fresh bool) {
	low, high := commonBox(out, pair)
	from, _ := slices.BinarySearchFunc(alongX, low[0]-reach, func(v int32, x float64) int {
		return cmp.Compare(m.Vertices[v][0], x)
	})
	for _, v := range alongX[from:] {
		if m.Vertices[v][0] > high[0]+reach {
			break
		}
		if !locked[v] && inBox(m.Vertices[v], low, high, reach) {
			locked[v], fresh = true, true
		}
	}
	return fresh
}

// commonBox returns the intersection of two triangles' boxes.
func commonBox(m *mesh.Mesh, pair [2]int32) (low, high mgl64.Vec3) {
	for k := range 3 {
		low[k], high[k] = math.Inf(-1), math.Inf(1)
		for _, t := range pair {
			a, b, c := m.Triangles[t][0], m.Triangles[t][1], m.Triangles[t][2]
			x, y, z := m.Vertices[a][k], m.Vertices[b][k], m.Vertices[c][k]
			low[k], high[k] = max(low[k], min(x, y, z)), min(high[k], max(x, y, z))
		}
	}
	return low, high
}

func inBox(p, low, high mgl64.Vec3, reach float64) bool {
	for k := range p {
		if p[k] < low[k]-reach || p[k] > high[k]+reach {
			return false
		}
	}
	return true
}
