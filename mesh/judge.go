package mesh

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"earframe/internal/crossing"
	"earframe/mesh/internal/places"

	"github.com/go-gl/mathgl/mgl64"
)

// Fault names one way in which a mesh fails to be the boundary of a solid.
type Fault string

// The faults that Judge looks for.
const (
	FaultEmpty            Fault = "no triangles"
	FaultIndexOutOfRange  Fault = "triangle names a vertex that does not exist"
	FaultNotFinite        Fault = "coordinate is not a finite number"
	FaultRepeatedCorner   Fault = "triangle names a vertex twice"
	FaultNoArea           Fault = "triangle without area"
	FaultSameTriangle     Fault = "two triangles on the same three vertices"
	FaultOpenEdge         Fault = "edge of one triangle only"
	FaultCrowdedEdge      Fault = "edge of more than two triangles"
	FaultWinding          Fault = "neighbouring triangles wound against each other"
	FaultSeveralFans      Fault = "vertex where several fans of triangles meet"
	FaultUnusedVertex     Fault = "vertex that no triangle uses"
	FaultSamePlace        Fault = "vertex at the same place as another"
	FaultSelfIntersection Fault = "triangles that cross, touch or overlap"
	FaultInsideOut        Fault = "shell turned inside out"
	FaultTooManyShells    Fault = "too many shells to prove which lies in which"
)

// Finding is a fault with how often and where it was found.
type Finding struct {
	Fault   Fault
	Count   int
	AtLeast bool         // the count is where the search ended
	Places  []mgl64.Vec3 // the first few, mm
}

// String says the finding in one line.
func (f Finding) String() string {
	var b strings.Builder
	if f.AtLeast {
		b.WriteString("at least ")
	}
	fmt.Fprintf(&b, "%d × %s", f.Count, f.Fault)
	for i, p := range f.Places {
		b.WriteString([]string{", at ", ", "}[min(i, 1)])
		fmt.Fprintf(&b, "(%.3f, %.3f, %.3f)", p[0], p[1], p[2])
	}
	return b.String()
}

// Shell is a part of the surface that hangs together along edges.
type Shell struct {
	Triangles int
	Vertices  int
	Euler     int        // vertices - edges + triangles
	Genus     int        // handles; -1 where the shell is not a closed manifold
	Volume    float64    // mm³, negative where wound inwards
	At        mgl64.Vec3 // a place on it, mm
	Area      float64    // mm²
	Cavity    bool       // it bounds a hollow inside another shell
}

// Verdict is what Judge found. Lengths are in mm.
type Verdict struct {
	Vertices  int
	Triangles int
	Edges     int
	Shells    []Shell // by their lowest triangle
	Cavities  int
	Volume    float64 // mm³, cavities taken off
	Area      float64 // mm²
	Low       mgl64.Vec3
	High      mgl64.Vec3

	// LeastAltitude is the smallest height of a triangle over its longest
	// side, and LeastAltitudeAt the triangle's centre. It is no fault by
	// itself: a sliver is sound as long as its area is not zero.
	LeastAltitude   float64
	LeastAltitudeAt mgl64.Vec3

	Findings []Finding
}

// Sound reports whether the mesh is proved to be the boundary of a solid:
// closed, edge- and vertex-manifold, coherently wound, outward, and free of
// self-intersections, triangles without area, and unused or doubled vertices.
func (v Verdict) Sound() bool { return len(v.Findings) == 0 }

// ErrUnsound marks a mesh that the judge refused; it must not be written.
var ErrUnsound = errors.New("mesh is not sound")

// Err returns nil for a sound mesh, else an error that wraps ErrUnsound and says
// every finding.
func (v Verdict) Err() error {
	if v.Sound() {
		return nil
	}
	said := make([]string, len(v.Findings))
	for i, f := range v.Findings {
		said[i] = f.String()
	}
	return fmt.Errorf("%w: %s", ErrUnsound, strings.Join(said, "; "))
}

// Find returns the finding of the fault, and whether there is one.
func (v Verdict) Find(fault Fault) (Finding, bool) {
	for _, f := range v.Findings {
		if f.Fault == fault {
			return f, true
		}
	}
	return Finding{}, false
}

const (
	// placesShown is how many places a finding lists.
	placesShown = 5

	// intersectionsCounted bounds the search in a mesh that crosses itself
	// everywhere.
	intersectionsCounted = 10000

	// shellsNested bounds the search for shells inside shells.
	shellsNested = 4096
)

// Judge proves a mesh sound or says what is wrong with it and where. It never
// panics, whatever the mesh holds. Crossings and areas are decided exactly for
// the coordinates given.
func Judge(m *Mesh) Verdict {
	verdict, _ := JudgeContext(context.Background(), m)
	return verdict
}

// JudgeContext is Judge with a context that ends the work early with its error.
func JudgeContext(ctx context.Context, m *Mesh) (Verdict, error) {
	return judge(ctx, m, Crossings)
}

// JudgeUncrossed is JudgeContext for a mesh in which Crossings has found none: it is
// not searched again.
func JudgeUncrossed(ctx context.Context, m *Mesh) (Verdict, error) {
	return judge(ctx, m, func(context.Context, *Mesh, int) ([][2]int32, error) { return nil, nil })
}

// Crossings lists pairs of triangles that cross, touch or overlap besides where they
// share vertices by index, exactly for the coordinates given; limit > 0 ends the
// search at so many. ctx ends it early with its error.
func Crossings(ctx context.Context, m *Mesh, limit int) ([][2]int32, error) {
	return crossing.Pairs(ctx, m.Vertices, m.Triangles, limit)
}

func judge(
	ctx context.Context, m *Mesh, crossings func(context.Context, *Mesh, int) ([][2]int32, error),
) (Verdict, error) {
	j := &judgement{mesh: m}
	j.verdict.Vertices, j.verdict.Triangles = len(m.Vertices), len(m.Triangles)
	if len(m.Triangles) == 0 {
		j.find(FaultEmpty)
	}
	for _, pass := range []func(){j.judgeIndices, j.judgeVertices, j.sortSides, j.pairEdges, j.judgeEdges, j.joinShells} {
		if err := ctx.Err(); err != nil {
			return Verdict{}, err
		}
		pass()
	}
	if j.has(FaultNotFinite) {
		return j.conclude(), nil
	}
	for _, pass := range []func(){j.measure, j.judgeAreas} {
		if err := ctx.Err(); err != nil {
			return Verdict{}, err
		}
		pass()
	}
	pairs, err := crossings(ctx, m, intersectionsCounted)
	if err != nil {
		return Verdict{}, err
	}
	for _, pair := range pairs {
		j.find(FaultSelfIntersection, j.triangleCentre(int(pair[0])))
	}
	if err := j.judgeNesting(ctx); err != nil {
		return Verdict{}, err
	}
	return j.conclude(), nil
}

// judgement is the work of one call of Judge.
type judgement struct {
	mesh    *Mesh
	verdict Verdict

	skipped  []bool    // triangles with a bad index or a repeated corner
	edgeUses []edgeUse // by low vertex, then grouped by edge
	lowest   []int32   // where each low vertex's uses begin, and the end of the last
	groups   []int32   // where each edge's uses begin, and the end of the last
	shellOf  []int32   // of each triangle, -1 where skipped
	closed   []bool    // of each shell: every edge has two uses, once each way
}

// find counts a fault and keeps its place while there is room.
func (j *judgement) find(fault Fault, place ...mgl64.Vec3) {
	list := &j.verdict.Findings
	at := len(*list)
	for i := range *list {
		if (*list)[i].Fault == fault {
			at = i
		}
	}
	if at == len(*list) {
		*list = append(*list, Finding{Fault: fault})
	}
	f := &(*list)[at]
	f.Count++
	for _, p := range place {
		if len(f.Places) < placesShown && IsFinite(p) {
			f.Places = append(f.Places, p)
		}
	}
}

func (j *judgement) has(fault Fault) bool {
	_, is := j.verdict.Find(fault)
	return is
}

// conclude marks the count that ended its search.
func (j *judgement) conclude() Verdict {
	for i := range j.verdict.Findings {
		f := &j.verdict.Findings[i]
		f.AtLeast = f.Fault == FaultSelfIntersection && f.Count == intersectionsCounted
	}
	return j.verdict
}

// judgeIndices sets aside the triangles that cannot be looked at further.
func (j *judgement) judgeIndices() {
	m := j.mesh
	j.skipped = make([]bool, len(m.Triangles))
	for i, t := range m.Triangles {
		for _, v := range t {
			if v < 0 || int(v) >= len(m.Vertices) {
				j.skipped[i] = true
			}
		}
		switch {
		case j.skipped[i]:
			j.find(FaultIndexOutOfRange)
		case t[0] == t[1] || t[1] == t[2] || t[2] == t[0]:
			j.skipped[i] = true
			j.find(FaultRepeatedCorner, m.Vertices[t[0]])
		}
	}
}

// judgeVertices looks for vertices that are unused, not finite, or doubled.
func (j *judgement) judgeVertices() {
	m := j.mesh
	used := make([]bool, len(m.Vertices))
	for i, t := range m.Triangles {
		for _, v := range t {
			if !j.skipped[i] || (v >= 0 && int(v) < len(m.Vertices)) {
				used[v] = true
			}
		}
	}
	index := places.NewIndex(len(m.Vertices))
	for i, p := range m.Vertices {
		if !IsFinite(p) {
			j.find(FaultNotFinite)
			continue
		}
		if !used[i] {
			j.find(FaultUnusedVertex, p)
		}
		if _, isNew := index.Add(p); !isNew {
			j.find(FaultSamePlace, p)
		}
	}
}

func (j *judgement) triangleCentre(i int) mgl64.Vec3 {
	t := j.mesh.Triangles[i]
	const third = 1.0 / 3
	return j.mesh.Vertices[t[0]].Mul(third).Add(j.mesh.Vertices[t[1]].Mul(third)).Add(j.mesh.Vertices[t[2]].Mul(third))
}

// judgeAreas looks for triangles whose area is exactly zero, and measures the
// flattest of the others.
func (j *judgement) judgeAreas() {
	m := j.mesh
	least := math.Inf(1)
	for i, t := range m.Triangles {
		if j.skipped[i] {
			continue
		}
		if !crossing.Usable(m.Vertices, t) {
			j.find(FaultNoArea, j.triangleCentre(i))
			continue
		}
		a, b, c := m.Vertices[t[0]], m.Vertices[t[1]], m.Vertices[t[2]]
		ab, bc, ca := b.Sub(a), c.Sub(b), a.Sub(c)
		longest := math.Sqrt(max(ab.Dot(ab), bc.Dot(bc), ca.Dot(ca)))
		if altitude := ab.Cross(bc).Len() / longest; altitude < least {
			least = altitude
			j.verdict.LeastAltitude, j.verdict.LeastAltitudeAt = altitude, j.triangleCentre(i)
		}
	}
}
