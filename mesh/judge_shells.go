package mesh

import (
	"context"
	"math"

	"earframe/internal/tree"

	"github.com/go-gl/mathgl/mgl64"
)

// measure takes each shell's volume, by signed tetrahedra from a vertex of its
// own so that distance from the origin costs no digits, and area.
func (j *judgement) measure() {
	m := j.mesh
	v := &j.verdict
	if v.Low, v.High = m.Bounds(); len(m.Vertices) == 0 {
		v.Low, v.High = mgl64.Vec3{}, mgl64.Vec3{}
	}
	origins := make([]mgl64.Vec3, len(v.Shells))
	begun := make([]bool, len(v.Shells))
	for i, t := range m.Triangles {
		if j.skipped[i] {
			continue
		}
		s := j.shellOf[i]
		if !begun[s] {
			begun[s], origins[s], v.Shells[s].At = true, m.Vertices[t[0]], m.Vertices[t[0]]
		}
		a, b, c := m.Vertices[t[0]].Sub(origins[s]), m.Vertices[t[1]].Sub(origins[s]), m.Vertices[t[2]].Sub(origins[s])
		v.Shells[s].Volume += a.Dot(b.Cross(c)) / 6
		v.Shells[s].Area += b.Sub(a).Cross(c.Sub(a)).Len() / 2
	}
	for i := range v.Shells {
		shell := &v.Shells[i]
		shell.Volume, shell.Area = finiteOrZero(shell.Volume), finiteOrZero(shell.Area)
		v.Volume += shell.Volume
		v.Area += shell.Area
	}
}

// finiteOrZero keeps overflow of absurd coordinates out of the record.
func finiteOrZero(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}

// judgeNesting asks of every shell that its winding fits its place: outwards
// where it lies inside no other shell or inside an even number of them, inwards
// (a cavity) inside an odd number. It needs shells that are closed and do not
// cross, and says nothing of others.
func (j *judgement) judgeNesting(ctx context.Context) error {
	v := &j.verdict
	if j.has(FaultSelfIntersection) || j.has(FaultNoArea) {
		return nil
	}
	if len(v.Shells) > shellsNested {
		j.find(FaultTooManyShells)
		return nil
	}
	members, boxes := j.shellMembers()
	for inner := range v.Shells {
		if err := ctx.Err(); err != nil {
			return err
		}
		if !j.closed[inner] {
			continue
		}
		at := j.mesh.Vertices[j.mesh.Triangles[members[inner][0]][0]]
		inside := false
		for outer := range v.Shells {
			if outer != inner && j.closed[outer] && boxes[outer].Overlaps(&boxes[inner]) &&
				j.windingNumber(members[outer], at)%2 != 0 {
				inside = !inside
			}
		}
		if shell := &v.Shells[inner]; inside != (shell.Volume < 0) {
			j.find(FaultInsideOut, at)
		} else if inside {
			shell.Cavity = true
			v.Cavities++
		}
	}
	return nil
}

// shellMembers returns each shell's triangles and box.
func (j *judgement) shellMembers() (members [][]int32, boxes []tree.Box) {
	members = make([][]int32, len(j.verdict.Shells))
	boxes = make([]tree.Box, len(j.verdict.Shells))
	for s, shell := range j.verdict.Shells {
		members[s] = make([]int32, 0, shell.Triangles)
	}
	for i := range j.mesh.Triangles {
		if !j.skipped[i] {
			s := j.shellOf[i]
			members[s] = append(members[s], int32(i))
		}
	}
	for s, list := range members {
		boxes[s] = tree.BoxOf(j.mesh.Vertices, j.mesh.Triangles, list)
	}
	return members, boxes
}

// windingNumber returns how often the closed shell goes round the point, by the
// sum of the solid angles of its triangles (Van Oosterom and Strackee, "The
// solid angle of a plane triangle", 1983). The point does not lie on the shell.
func (j *judgement) windingNumber(shell []int32, p mgl64.Vec3) int {
	half := 0.0
	for _, i := range shell {
		t := j.mesh.Triangles[i]
		a, b, c := j.mesh.Vertices[t[0]].Sub(p), j.mesh.Vertices[t[1]].Sub(p), j.mesh.Vertices[t[2]].Sub(p)
		la, lb, lc := a.Len(), b.Len(), c.Len()
		half += math.Atan2(a.Dot(b.Cross(c)), la*lb*lc+a.Dot(b)*lc+b.Dot(c)*la+c.Dot(a)*lb)
	}
	return int(math.Round(half / (2 * math.Pi)))
}
