package assemble_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"earframe/field"
	"earframe/internal/demotest"
	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"
	"earframe/units"
	"earframe/units/demo"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Joined stacks are held against exact booleans of polyhedra by manifold-3d
// (testdata/exact: values, the script that renews them, and how it builds each
// solid without any distance field).
//
// Three comparisons, so that neither side can hide anything from the other:
//   - every stored sample of the reference's surface has our mesh near it;
//   - every stored probe, a place somewhere in the box, is inside or outside for
//     our field as it is for the reference;
//   - every vertex and triangle centre of our mesh has the field's surface near
//     it (the length of a walk down the gradient to where the field is zero, not
//     the field's value, which may underestimate). The field itself is held to
//     the reference by the two lines before.
//
// Crevices and walls narrower than a step (a flat underside over a rounded edge, two
// faces that meet at a sharp angle) are told apart, so that they cannot hide among
// the others, and held to the same bound.
const (
	volumeShare        = 0.0005
	surfaceBound       = 0.05   // mm, at the default step
	surfaceOfReference = 0.003  // mm: its chords, and the rounding of the samples
	exactTolerance     = 0.01   // mm, of simplification
	placesBeyond       = 0.0007 // share of the contour's vertices and centres beyond surfaceBound
)

// touching is the stack whose units share no more than an edge or a corner. The
// exact union keeps them as pieces that touch, which no manifold mesh with one
// place a vertex can say: ours bridges or parts them, within a step, and its
// volume and surface are held to the same bounds as those of the others.
const touching = "touching"

// exactReference is a file of testdata/exact.
type exactReference struct {
	Library string  `json:"library"`
	Source  string  `json:"source_sha256"`
	Volume  float64 `json:"volume"` // mm³
	Area    float64 `json:"area"`   // mm²
	Pieces  int     `json:"pieces"`
	Hollows int     `json:"hollows"`
	Genus   int     `json:"genus"` // of all shells together
	Units   []struct {
		Name   string  `json:"name"`
		Volume float64 `json:"volume"` // notches cut, mm³
	} `json:"units"`
	Samples [][6]float64 `json:"samples"` // place and outward normal
	Probes  [][4]float64 `json:"probes"`  // place and 1 for inside, 0 for outside
}

// exactStack is a stack as testdata/exact/stacks.json describes it.
type exactStack struct {
	Name  string      `json:"name"`
	Units []exactUnit `json:"units"`

	solids    []field.Field // of the units, notches cut
	field     field.Field   // all of them joined
	reference exactReference
}

type exactUnit struct {
	Name       string           `json:"name"`
	Outlines   [][][]mgl64.Vec2 `json:"outlines"`
	Under      exactSurface     `json:"under"`
	Thickness  float64          `json:"thickness"`
	EdgeTop    float64          `json:"edge_top"`
	EdgeBottom float64          `json:"edge_bottom"`
	Recesses   []struct {
		Outlines [][][]mgl64.Vec2 `json:"outlines"`
		Depth    float64          `json:"depth"`
		Wall     float64          `json:"wall_degrees"`
	} `json:"recesses"`
	Notches []string `json:"notches"`
}

// exactSurface is one height or the control heights of a cubic B-spline.
type exactSurface struct{ field.Surface }

func (s *exactSurface) UnmarshalJSON(data []byte) error {
	if !bytes.HasPrefix(data, []byte("{")) {
		var level field.Level
		err := json.Unmarshal(data, &level)
		s.Surface = level
		return err
	}
	var heights field.HeightMap
	if err := json.Unmarshal(data, &heights); err != nil {
		return err
	}
	var err error
	s.Surface, err = field.NewHeightMap(heights)
	return err
}

func (u exactUnit) carved(t *testing.T) field.Field {
	t.Helper()
	thickness := field.Level(u.Thickness)
	top := field.Stack(u.Under, thickness)
	if level, ok := u.Under.Surface.(field.Level); ok {
		top = level + thickness
	}
	var pieces []field.Field
	for _, rings := range u.Outlines {
		region, err := field.NewRegion(rings...)
		require.NoError(t, err)
		piece, err := field.NewPrism(field.Prism{
			Region: region, Underside: u.Under.Surface, Thickness: thickness,
			EdgeTop: u.EdgeTop, EdgeBottom: u.EdgeBottom,
		})
		require.NoError(t, err)
		pieces = append(pieces, piece)
	}
	solid := field.Union(pieces...)
	for _, r := range u.Recesses {
		for _, rings := range r.Outlines {
			region, err := field.NewRegion(rings...)
			require.NoError(t, err)
			groove, err := field.NewRecess(field.Recess{Region: region, Top: top, Depth: r.Depth, Wall: r.Wall * math.Pi / 180})
			require.NoError(t, err)
			solid = field.Difference(solid, groove)
		}
	}
	return solid
}

func (s exactStack) carved(t *testing.T) []field.Field {
	t.Helper()
	carved := map[string]field.Field{}
	for _, u := range s.Units {
		carved[u.Name] = u.carved(t)
	}
	var solids []field.Field
	for _, u := range s.Units {
		solid := carved[u.Name]
		for _, name := range u.Notches {
			solid = field.Difference(solid, carved[name])
		}
		solids = append(solids, solid)
	}
	return solids
}

// exactStacks returns the five described stacks and the demo, each with its
// field and its reference.
func exactStacks(t *testing.T) []exactStack {
	t.Helper()
	folder := filepath.Join("..", "testdata", "exact")
	described, err := os.ReadFile(filepath.Join(folder, "stacks.json"))
	require.NoError(t, err)
	var stacks []exactStack
	require.NoError(t, json.Unmarshal(described, &stacks))
	require.Len(t, stacks, 5)
	for i, s := range stacks {
		stacks[i].solids = s.carved(t)
		stacks[i].reference = readExact(t, filepath.Join(folder, s.Name+".json"), described)
	}
	stacks = append(stacks, exactStack{
		Name: "demo", solids: demotest.Fields(t, goodExample(t)),
		reference: readExact(t, filepath.Join(folder, "demo.json"), demo.Good.Case, demo.Good.Template),
	})
	for i, s := range stacks {
		stacks[i].field = field.Union(s.solids...)
	}
	return stacks
}

func goodExample(t *testing.T) *units.Plan {
	path, err := demo.Good.Write(t.TempDir())
	require.NoError(t, err)
	plan, err := units.Load(t.Context(), path)
	require.NoError(t, err)
	return plan
}

// readExact reads a reference and makes sure that it is of this source.
func readExact(t *testing.T, path string, source ...[]byte) exactReference {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	var reference exactReference
	require.NoError(t, json.Unmarshal(data, &reference))
	digest := sha256.Sum256(bytes.Join(source, nil))
	require.Equal(t, hex.EncodeToString(digest[:]), reference.Source,
		"%s was made from another version of what it describes; renew it as testdata/exact/README.md says", path)
	return reference
}

// TestFieldsAgreeWithExactBooleans holds the fields themselves, before any
// contour: zero on the reference's surface, its sign everywhere else.
func TestFieldsAgreeWithExactBooleans(t *testing.T) {
	for _, s := range exactStacks(t) {
		t.Run(s.Name, func(t *testing.T) {
			places := make([]mgl64.Vec3, len(s.reference.Samples))
			for i, sample := range s.reference.Samples {
				places[i] = mgl64.Vec3{sample[0], sample[1], sample[2]}
			}
			_, worst := largest(feet(s.field, places))
			t.Logf("farthest sample of %d: %.4f mm", len(places), worst)
			assert.LessOrEqual(t, worst, surfaceOfReference)

			out := make([]float64, 1)
			wrong, inside := 0, 0
			for _, probe := range s.reference.Probes {
				place := mgl64.Vec3{probe[0], probe[1], probe[2]}
				s.field.Distances([]mgl64.Vec3{place}, out)
				inside += int(probe[3])
				if (out[0] < 0) != (probe[3] == 1) && math.Abs(out[0]) > surfaceOfReference {
					wrong++
					t.Logf("%v: field %.4f mm, reference inside %v", place, out[0], probe[3] == 1)
				}
			}
			assert.Zero(t, wrong, "of %d probes", len(s.reference.Probes))
			assert.Greater(t, inside, 30, "probes inside")
		})
	}
}

// TestExactBooleansAgreeWithClosedForms holds the reference itself where a volume
// can be said in a line; outlines are rounded to a nanometre.
func TestExactBooleansAgreeWithClosedForms(t *testing.T) {
	volumes := map[string]float64{
		"faces":    (20*10-5*5)*2.5 + 5*5*3.15 + 2.5*10*3,
		"touching": 10*10*3 + 5*2.5*3 + 5*2.5*2.25,
	}
	for _, s := range exactStacks(t) {
		if volume, ok := volumes[s.Name]; ok {
			assert.InEpsilon(t, volume, s.reference.Volume, 1e-6, s.Name)
		}
	}
}

// TestNotchesAgreeWithExactBooleans holds each unit by itself, its notches cut.
func TestNotchesAgreeWithExactBooleans(t *testing.T) {
	for _, s := range exactStacks(t) {
		require.Len(t, s.solids, len(s.reference.Units), s.Name)
		for i, unit := range s.reference.Units {
			m, err := contour.Of(context.Background(), s.solids[i], contour.Options{Step: contour.DefaultStep})
			require.NoError(t, err)
			t.Logf("%s, %s: volume %+.4f %%", s.Name, unit.Name, 100*(m.Volume()/unit.Volume-1))
			assert.InEpsilon(t, unit.Volume, m.Volume(), volumeShare, "%s, %s", s.Name, unit.Name)
		}
	}
}

// TestJoinedStacksAgreeWithExactBooleans holds the meshes at the default step,
// as contoured and simplified.
func TestJoinedStacksAgreeWithExactBooleans(t *testing.T) {
	for _, s := range exactStacks(t) {
		t.Run(s.Name, func(t *testing.T) {
			contoured, err := contour.Of(context.Background(), s.field, contour.Options{Step: contour.DefaultStep})
			require.NoError(t, err)
			allowed := int(placesBeyond * float64(len(contoured.Vertices)+len(contoured.Triangles)))
			s.check(t, "contoured", contoured, allowed)
			simple, err := simplify.Of(context.Background(), contoured, simplify.Options{Tolerance: exactTolerance})
			require.NoError(t, err)
			s.check(t, "simplified", simple, allowed)
		})
	}
}

func (s exactStack) check(t *testing.T, name string, m *mesh.Mesh, allowed int) {
	t.Helper()
	verdict := mesh.Judge(m)
	require.NoError(t, verdict.Err(), name)
	off := verdict.Volume/s.reference.Volume - 1
	t.Logf("%s: %d triangles, volume %+.4f %%, area %+.3f "+
		"%%", name, len(m.Triangles), 100*off, 100*(verdict.Area/s.reference.Area-1))
	assert.LessOrEqual(t, math.Abs(off), volumeShare, "%s: volume %.4f mm³, exactly "+
		"%.4f", name, verdict.Volume, s.reference.Volume)
	s.checkSamples(t, name, m)
	s.checkPlaces(t, name, m, allowed)
	genus := 0
	for _, shell := range verdict.Shells {
		genus += shell.Genus
	}
	assert.Equal(t, s.reference.Genus, genus, "%s: genus", name)
	pieces := len(verdict.Shells) - verdict.Cavities
	if s.Name == touching {
		assert.GreaterOrEqual(t, pieces, 1, name)
		assert.LessOrEqual(t, pieces, s.reference.Pieces, "%s: pieces", name)
	} else {
		assert.Equal(t, s.reference.Pieces, pieces, "%s: pieces", name)
	}
	assert.Equal(t, s.reference.Hollows, verdict.Cavities, "%s: hollows", name)
}

// checkSamples holds the mesh near every sample, by the kind of its place.
func (s exactStack) checkSamples(t *testing.T, name string, m *mesh.Mesh) {
	t.Helper()
	kinds := s.kinds(contour.DefaultStep)
	most, count := map[place]float64{}, map[place]int{}
	for i, d := range s.reference.distances(m) {
		most[kinds[i]] = max(most[kinds[i]], d)
		count[kinds[i]]++
	}
	for kind, n := range count {
		t.Logf("%s: %d samples %s, within %.4f mm", name, n, kind, most[kind])
		assert.LessOrEqual(t, most[kind], surfaceBound, "%s: samples %s", name, kind)
	}
}

// checkPlaces holds the field's surface near every vertex and triangle centre.
// The surface passes through each vertex's cell, so that none can be farther off
// than the cell's diagonal; nearly all are much nearer. A
// simplified mesh keeps those at edges, so it is allowed as many.
func (s exactStack) checkPlaces(t *testing.T, name string, m *mesh.Mesh, allowed int) {
	t.Helper()
	places := slices.Clone(m.Vertices)
	for _, tri := range m.Triangles {
		places = append(places, m.Vertices[tri[0]].Add(m.Vertices[tri[1]]).Add(m.Vertices[tri[2]]).Mul(1./3))
	}
	away := feet(s.field, places)
	at, most := largest(away)
	beyond := 0
	for _, d := range away {
		if d > surfaceBound {
			beyond++
		}
	}
	t.Logf("%s: vertices and centres within %.4f mm, %d of %d beyond %g mm", name, most, beyond, len(places), surfaceBound)
	assert.LessOrEqual(t, most, contour.DefaultStep*math.Sqrt(3), "%s: %v", name, places[at])
	assert.LessOrEqual(t, beyond, allowed, "%s: places beyond %g mm", name, surfaceBound)
}

// place is what the surface is like within a step of a sample.
type place string

const (
	smooth place = "on a smooth face"
	sharp  place = "within a step of an edge or corner"
	narrow place = "in a crevice or wall narrower than a step"
)

// kinds tells the samples apart by the field, which was held against the
// reference before: along the normal, the solid must end and not begin again
// within a step; sideways, the surface must go on.
func (s exactStack) kinds(step float64) []place {
	kinds := make([]place, len(s.reference.Samples))
	for i, sample := range s.reference.Samples {
		p, n := mgl64.Vec3{sample[0], sample[1], sample[2]}, mgl64.Vec3{sample[3], sample[4], sample[5]}.Normalize()
		kinds[i] = s.kind(p, n, step)
	}
	return kinds
}

func (s exactStack) kind(p, n mgl64.Vec3, step float64) place {
	const parts, around = 8, 8
	var line, ring []mgl64.Vec3
	for k := 1; k <= parts; k++ {
		along := n.Mul(step * float64(k) / parts)
		line = append(line, p.Add(along), p.Sub(along))
	}
	side := n.Cross(mgl64.Vec3{1, 0, 0})
	if math.Abs(n[0]) > 0.7 {
		side = n.Cross(mgl64.Vec3{0, 1, 0})
	}
	for k := range around {
		turned := mgl64.QuatRotate(2*math.Pi*float64(k)/around, n).Rotate(side.Normalize())
		ring = append(ring, p.Add(turned.Mul(step)))
	}
	out := make([]float64, max(len(line), len(ring)))
	s.field.Distances(line, out)
	for k := range parts {
		if out[2*k] < -surfaceOfReference || out[2*k+1] > surfaceOfReference {
			return narrow
		}
	}
	if out[2*parts-2] < 0.7*step || out[2*parts-1] > -0.7*step {
		return sharp
	}
	s.field.Distances(ring, out)
	for _, d := range out[:around] {
		if math.Abs(d) > 0.3*step {
			return sharp
		}
	}
	for _, far := range ring {
		if s.creased(p, far) {
			return sharp
		}
	}
	return smooth
}

// creased reports whether the normal turns by more than 5° within a thirtieth of
// the way: on the tightest rounding, of 0.4 mm, it turns by 2° in that of 0.4 mm.
func (s exactStack) creased(from, to mgl64.Vec3) bool {
	const parts = 30
	smallest := math.Cos(mgl64.DegToRad(5))
	points, out, normals := make([]mgl64.Vec3, parts+1), make([]float64, parts+1), make([]mgl64.Vec3, parts+1)
	for k := range points {
		points[k] = from.Add(to.Sub(from).Mul(float64(k) / parts))
	}
	s.field.Gradients(points, out, normals)
	for k := range parts {
		if normals[k].Normalize().Dot(normals[k+1].Normalize()) < smallest {
			return true
		}
	}
	return false
}

// TestErrorFallsWithTheSquareOfTheStep holds volume and surface at three steps.
// The surface's error is taken over the samples on smooth faces. An error that is
// no larger than what the reference itself is worth, or than what the chance of
// how edges lie in the lattice makes, has no order.
func TestErrorFallsWithTheSquareOfTheStep(t *testing.T) {
	steps := []float64{0.4, 0.2, 0.1} // mm
	const (
		second       = 1.9     // an order measured over one or two halvings, not in the limit
		volumeFloor  = 0.00003 // share
		surfaceFloor = 0.0003  // mm
	)
	for _, s := range exactStacks(t) {
		if testing.Short() && s.Name == "demo" {
			continue
		}
		t.Run(s.Name, func(t *testing.T) {
			kinds := s.kinds(steps[0])
			var volume, surface []float64
			for _, step := range steps {
				m, err := contour.Of(context.Background(), s.field, contour.Options{Step: step})
				require.NoError(t, err)
				volume = append(volume, math.Abs(m.Volume()/s.reference.Volume-1))
				var distances []float64
				for i, d := range s.reference.distances(m) {
					if kinds[i] == smooth {
						distances = append(distances, d)
					}
				}
				surface = append(surface, rms(distances))
			}
			volumeOrder := math.Log2(volume[0]/volume[2]) / 2
			surfaceOrder := math.Log2(surface[0] / surface[1])
			t.Logf("steps %v mm: volume off by %.5f %.5f %.5f %%, order %.2f; smooth faces by %.5f %.5f %.5f mm (rms), order "+
				"%.2f", steps,
				100*volume[0], 100*volume[1], 100*volume[2], volumeOrder, surface[0], surface[1], surface[2], surfaceOrder)
			if volume[2] > volumeFloor {
				assert.GreaterOrEqual(t, volumeOrder, second, "volume")
			}
			if surface[1] > surfaceFloor {
				assert.GreaterOrEqual(t, surfaceOrder, second, "surface from 0.4 to 0.2 mm")
			}
			if surface[2] > surfaceFloor {
				assert.GreaterOrEqual(t, math.Log2(surface[1]/surface[2]), second, "surface from 0.2 to 0.1 mm")
			}
		})
	}
}
