package wall

import (
	"context"
	"math"

	"earframe/field"
	"earframe/internal/crossing"
	"earframe/internal/tree"
	"earframe/mesh"

	"github.com/go-gl/mathgl/mgl64"
)

const (
	// meshFeet is how many places of a mesh are measured from first at most.
	meshFeet = 8000

	// facetSlack is how far, mm, facets lie from what is round, at the tolerances
	// that are usual.
	facetSlack = 0.02

	// crevice is the width in mm below which a gap between two surfaces is none: no
	// printer leaves it open, and a surface may be folded by as much.
	crevice = 0.05

	// crevicesCrossed bounds how many of them one way goes across.
	crevicesCrossed = 16
)

// OfMesh measures the thinnest walls of a closed mesh that is wound outwards. A
// solid at hand as a field is measured better by that: facets lie beside it, and
// what is smaller than a sampling step is not in a mesh.
func OfMesh(ctx context.Context, m *mesh.Mesh, options Options) (Walls, error) {
	byPlace, err := tree.New(ctx, m.Vertices, m.Triangles, func(i int) bool {
		return crossing.Usable(m.Vertices, m.Triangles[i])
	})
	if err != nil {
		return Walls{}, err
	}
	if len(byPlace.Triangles()) == 0 {
		return Walls{}, nil
	}
	lo, hi := m.Bounds()
	measuring := &measuring{Options: options, surface: meshSurface{m, byPlace},
		spacing: max(spacing, math.Sqrt(m.Area()/meshFeet))}
	return measuring.all(ctx, field.Box{Min: lo, Max: hi})
}

// meshSurface is a mesh, and its triangles by place.
type meshSurface struct {
	*mesh.Mesh
	tree *tree.Tree
}

// corners returns a corner of the triangle and the sides from there.
func (s meshSurface) corners(i int32) (a, ab, ac mgl64.Vec3) {
	t := s.Triangles[i]
	a = s.Vertices[t[0]]
	return a, s.Vertices[t[1]].Sub(a), s.Vertices[t[2]].Sub(a)
}

func (s meshSurface) normal(i int32) mgl64.Vec3 {
	_, ab, ac := s.corners(i)
	return ab.Cross(ac).Normalize()
}

// feet spreads points over the triangles near the place: along the order of the
// tree, one each time another equal share of the area has gone by. Inside a
// triangle they follow an additive recurrence that fills the unit square evenly
// (Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018).
func (s meshSurface) feet(_ context.Context, place mgl64.Vec3, reach, spacing float64) ([]foot, error) {
	const stepU, stepV = 0.7548776662466927, 0.5698402909980532 // 1/g, 1/g² of g³ = g + 1
	share := spacing * spacing
	var feet []foot
	gone, u, v := share/2, 0.5, 0.5
	s.tree.Within(place, reach, func(i int32) {
		a, ab, ac := s.corners(i)
		across := ab.Cross(ac)
		for gone += across.Len() / 2; gone >= share; gone -= share {
			_, u = math.Modf(u + stepU)
			_, v = math.Modf(v + stepV)
			alongB, alongC := u, v
			if u+v > 1 {
				alongB, alongC = 1-u, 1-v
			}
			at := a.Add(ab.Mul(alongB)).Add(ac.Mul(alongC))
			if at.Sub(place).Len() <= reach {
				feet = append(feet, foot{at, across.Normalize()})
			}
		}
	})
	return feet, nil
}

func (s meshSurface) area(_ *spot, spacing float64) float64 { return spacing * spacing }

// walls looks inwards from each foot to where the solid ends, across crevices; a
// wall is where the ball between both sides touches the other side too.
func (s meshSurface) walls(feet []foot, most float64) []spot {
	var spots []spot
	for _, p := range feet {
		out, ok := s.exit(p, most)
		if !ok {
			continue
		}
		ball := spot{foot: p}
		if touches, ok := ball.between(out, most); ok {
			if at, _, ok := s.tree.Nearest(touches, ballSlack*ball.thickness/2+facetSlack); ok {
				ball.across = at
				spots = append(spots, ball)
			}
		}
	}
	return spots
}

// exit returns where the way inwards from a foot leaves the solid, if no farther
// away than most. It goes on across crevices and does not start inside one.
func (s meshSurface) exit(p foot, most float64) (foot, bool) {
	inward := p.normal.Mul(-1)
	from, except := p.at, int32(-1)
	for range crevicesCrossed {
		length, hit := s.tree.FirstHit(from, inward, except, tree.Leaving, most)
		if hit < 0 {
			break
		}
		most -= length
		from = from.Add(inward.Mul(length))
		gap, entered := s.tree.FirstHit(from, inward, hit, tree.Entering, crevice)
		if entered < 0 {
			_, inside := s.tree.FirstHit(p.at, p.normal, -1, tree.Entering, crevice)
			return foot{from, s.normal(hit)}, inside < 0
		}
		from, except = from.Add(inward.Mul(gap)), entered
	}
	return foot{}, false
}
