package pocket

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"

	"earframe/internal/demotest"
)

// The skin rests on the frame and never enters it by more than 0.01 mm, also
// between the nodes that it was solved at and beside upright walls: read every
// 0.1 mm, the drape lies nowhere deeper in the solid's distance field, and
// nowhere lower than the frame's top.
func TestSkinNowhereEntersTheFrame(t *testing.T) {
	const accuracy, every = 0.01, 0.1
	for _, c := range []struct {
		name, lines string
		step        float64
	}{{"default", "", 0}, {"coarse grid", "", 0.8}, {"tight skin", suction, 0}} {
		r := check(t, demotest.Plan(t, "side: left\n", "side: left\n"+c.lines), Options{Step: c.step, NoAdvice: true})
		bounds := r.Field.Bounds().Grow(every)
		var places []mgl64.Vec2
		var skin []mgl64.Vec3
		for y := bounds.Min[1]; y <= bounds.Max[1]; y += every {
			for x := bounds.Min[0]; x <= bounds.Max[0]; x += every {
				p := mgl64.Vec2{x, y}
				places, skin = append(places, p), append(skin, p.Vec3(r.Depth.Bed+r.Drape.Height(p)))
			}
		}
		distance, top := make([]float64, len(skin)), make([]float64, len(skin))
		r.Field.Distances(skin, distance)
		r.laid().Frame.Heights(places, top)
		deepest, lowest, framed, touched := 0.0, 0.0, 0, 0
		for k, p := range skin {
			deepest = min(deepest, distance[k])
			lowest = min(lowest, p[2]-r.Depth.Bed-top[k])
			if top[k] > accuracy {
				framed++
				if distance[k] < accuracy {
					touched++
				}
			}
		}
		t.Logf("%s: the skin touches %d of %d places of the frame; deepest %.5f mm, lowest %.5f "+
			"mm", c.name, touched, framed, deepest, lowest)
		assert.GreaterOrEqual(t, deepest, -accuracy, c.name)
		assert.GreaterOrEqual(t, lowest, -accuracy, c.name)
		assert.Greater(t, float64(touched), float64(framed)/3, c.name)
	}
}
