package meshfile

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"
)

// LayOut sets the objects' offsets so that they stand in a row along x, in the
// order given, gap millimetres apart, each with its lowest point on z = 0 and
// the whole row where x, y and z are not negative: how a printer's bed wants
// them. Offsets are whole thousandths of a millimetre, so that 3MF keeps them;
// a gap may be that much off. Empty meshes take no room.
func LayOut(objects []Object, gap float64) {
	const thousandths = 1000
	up := func(x float64) float64 { return math.Ceil(x*thousandths) / thousandths }
	next := 0.0
	for i := range objects {
		if len(objects[i].Mesh.Vertices) == 0 {
			continue
		}
		low, high := objects[i].Mesh.Bounds()
		objects[i].Offset = mgl64.Vec3{up(next - low[0]), up(-low[1]), up(-low[2])}
		next = high[0] + objects[i].Offset[0] + gap
	}
}

// LayOutRows is LayOut in rows: one that would be wider than the width, mm, is
// ended, and the next begins beyond it along y.
func LayOutRows(objects []Object, gap, width float64) {
	back := 0.0
	for first := 0; first < len(objects); {
		row := objects[first:]
		LayOut(row, gap)
		last := 0
		deepest := 0.0
		for last < len(row) {
			low, high := row[last].Mesh.Bounds()
			if last > 0 && high[0]+row[last].Offset[0] > width {
				break
			}
			deepest = math.Max(deepest, high[1]-low[1])
			row[last].Offset[1] += back
			last++
		}
		first += last
		back = math.Ceil(back + deepest + gap)
	}
}
