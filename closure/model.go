package closure

import (
	"context"
	"fmt"
	"image/color"
	"math"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// The skin's model: a plate with the healed ear's outside standing on it, to be
// held. Over a rectangular grid the outside is one height at every node, so that
// its triangles cannot cross; four walls and a level underside close it.
const (
	modelStep      = 0.4  // mm between nodes; skin is round to its own thickness
	modelSurround  = 6.0  // mm of untouched skin around the pocket
	modelPlate     = 2.0  // mm under the bed
	modelTolerance = 0.02 // of simplification, mm
)

// SkinModel returns the skin on its base plate as a closed mesh, judged. z = 0
// is the bed. ctx ends the work early with its error.
func (r *Result) SkinModel(ctx context.Context) (mesh.Object, error) {
	raw := r.skinGrid()
	simple, err := mesh.Simplify(ctx, raw, mesh.SimplifyOptions{Tolerance: modelTolerance})
	if err != nil {
		return mesh.Object{}, fmt.Errorf("the skin's model: %w", err)
	}
	verdict, err := mesh.JudgeContext(ctx, simple)
	if err != nil {
		return mesh.Object{}, err
	}
	if err := verdict.Err(); err != nil {
		return mesh.Object{}, fmt.Errorf("the skin's model is not sound: %w", err)
	}
	return mesh.Object{
		Name: "skin", Label: "Skin over the frame, on a base plate",
		Color: color.RGBA{R: 0xBB, G: 0xBB, B: 0xBB, A: 255},
		Mesh:  simple, Verdict: &verdict,
	}, nil
}

// skinGrid builds the closed mesh: first the nodes of the outside, then those
// beneath them.
func (r *Result) skinGrid() *mesh.Mesh {
	lo, hi := r.edge.Bounds()
	lo, hi = lo.Sub(mgl64.Vec2{modelSurround, modelSurround}), hi.Add(mgl64.Vec2{modelSurround, modelSurround})
	columns := int(math.Ceil((hi[0]-lo[0])/modelStep)) + 1
	rows := int(math.Ceil((hi[1]-lo[1])/modelStep)) + 1
	m := &mesh.Mesh{Vertices: make([]mgl64.Vec3, 2*columns*rows)}
	outside := r.outside()
	for k := range columns * rows {
		p := mgl64.Vec2{lo[0] + float64(k%columns)*modelStep, lo[1] + float64(k/columns)*modelStep}
		m.Vertices[k] = stored(p.Vec3(outside.Height(p)))
		m.Vertices[columns*rows+k] = stored(p.Vec3(-modelPlate))
	}
	below := int32(columns * rows)
	for j := range rows - 1 {
		for i := range columns - 1 {
			a := int32(j*columns + i)
			b, c := a+1, a+int32(columns)
			d := c + 1
			m.Triangles = append(m.Triangles,
				[3]int32{below + a, below + d, below + b}, [3]int32{below + a, below + c, below + d})
			// Along the higher diagonal, as the skin's own surface is cut.
			if m.Vertices[a][2]+m.Vertices[d][2] >= m.Vertices[b][2]+m.Vertices[c][2] {
				m.Triangles = append(m.Triangles, [3]int32{a, b, d}, [3]int32{a, d, c})
			} else {
				m.Triangles = append(m.Triangles, [3]int32{a, b, c}, [3]int32{b, d, c})
			}
		}
	}
	wall := func(from, to int32) { // seen from outside, from left to right
		m.Triangles = append(m.Triangles, [3]int32{from, below + from, below + to}, [3]int32{from, below + to, to})
	}
	for i := range int32(columns - 1) {
		top := int32((rows - 1) * columns)
		wall(i, i+1)
		wall(top+i+1, top+i)
	}
	for j := range int32(rows - 1) {
		left, right := j*int32(columns), (j+1)*int32(columns)-1
		wall(left+int32(columns), left)
		wall(right, right+int32(columns))
	}
	return m
}

// stored rounds a place to what a file's single precision holds.
func stored(p mgl64.Vec3) mgl64.Vec3 {
	for k := range p {
		p[k] = float64(float32(p[k]))
	}
	return p
}
