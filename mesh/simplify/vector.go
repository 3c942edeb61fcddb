package simplify

import (
	"math"

	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

// vector is a point or direction in space. The compiler keeps a struct of three
// numbers in registers, which it does not do with an array of three: this package
// does little but such sums, and takes half the time for them.
type vector struct{ x, y, z float64 }

func vectorOf(v mgl64.Vec3) vector { return vector{v[0], v[1], v[2]} }

func (v vector) vec3() mgl64.Vec3 { return mgl64.Vec3{v.x, v.y, v.z} }

func (v vector) add(w vector) vector { return vector{v.x + w.x, v.y + w.y, v.z + w.z} }

func (v vector) sub(w vector) vector { return vector{v.x - w.x, v.y - w.y, v.z - w.z} }

func (v vector) times(s float64) vector { return vector{v.x * s, v.y * s, v.z * s} }

func (v vector) dot(w vector) float64 { return v.x*w.x + v.y*w.y + v.z*w.z }

func (v vector) cross(w vector) vector {
	return vector{v.y*w.z - v.z*w.y, v.z*w.x - v.x*w.z, v.x*w.y - v.y*w.x}
}

func (v vector) length() float64 { return math.Sqrt(v.dot(v)) }

// rounded returns the nearest point that float32 coordinates hold.
func (v vector) rounded() vector {
	return vector{mesh.Representable(v.x), mesh.Representable(v.y), mesh.Representable(v.z)}
}

// flatVector is a point or direction in a plane.
type flatVector struct{ x, y float64 }

func (v flatVector) add(w flatVector) flatVector { return flatVector{v.x + w.x, v.y + w.y} }

func (v flatVector) sub(w flatVector) flatVector { return flatVector{v.x - w.x, v.y - w.y} }

func (v flatVector) times(s float64) flatVector { return flatVector{v.x * s, v.y * s} }

func (v flatVector) dot(w flatVector) float64 { return v.x*w.x + v.y*w.y }

// cross is positive where w lies counter-clockwise from v.
func (v flatVector) cross(w flatVector) float64 { return v.x*w.y - v.y*w.x }
