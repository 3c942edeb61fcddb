package membrane

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// benchSteps run from the coarsest to the finest grid that anyone would ask for.
var benchSteps = []float64{0.8, 0.4, 0.2, 0.1}

// work counts what a drape took in visits to a node. One iteration, two sweeps
// with square roots, an expansion and two energies, costs about as much as
// three multigrid cycles (measured on the benchmark below).
func work(d *Drape) float64 {
	sum := 0.0
	for _, r := range d.Refinements {
		sum += float64(r.Nodes) * float64(3*r.Iterations+r.Cycles)
	}
	return sum
}

// From 0.8 mm to 0.1 mm the work grows hardly faster than the unknowns, also
// where suction draws the skin down steep walls.
func TestWorkGrowsAboutAsTheUnknowns(t *testing.T) {
	if testing.Short() {
		t.Skip("lays on a 0.1 mm grid")
	}
	var effort, unknowns [2]float64
	for n, step := range []float64{benchSteps[0], benchSteps[len(benchSteps)-1]} {
		d, err := Lay(context.Background(), earlike(0.3), Options{Step: step, Finest: step})
		require.NoError(t, err)
		effort[n], unknowns[n] = work(d), float64(d.Refinements[len(d.Refinements)-1].Nodes)
	}
	exponent := math.Log(effort[1]/effort[0]) / math.Log(unknowns[1]/unknowns[0])
	t.Logf("%.3g unknowns take %.3g visits, %.3g take %.3g; exponent "+
		"%.3f", unknowns[0], effort[0], unknowns[1], effort[1], exponent)
	assert.LessOrEqual(t, exponent, 1.15)
}

// Plain relaxation, the slow and obvious way, reaches the same drape.
func TestPlainRelaxationReachesTheSameDrape(t *testing.T) {
	c := earlike(0.3)
	d := onStep(t, c, 1/c.BridgingRadius, 1.6)
	u, sweeps := plainRelaxation(d.l, 1/c.BridgingRadius, 1e-9, 100000)
	t.Logf("%d sweeps against %d iterations", sweeps, d.Iterations)
	assert.InDeltaSlice(t, d.u, u, 1e-4)
}

// plainRelaxation sweeps from the frame upward until a sweep moves nothing by
// more than still, mm.
func plainRelaxation(l *lattice, pull, still float64, most int) ([]float64, int) {
	u, before := make([]float64, len(l.free)), make([]float64, len(l.free))
	for k := range u {
		if l.free[k] {
			u[k] = l.lower[k]
		}
	}
	for sweeps := 1; ; sweeps++ {
		copy(before, u)
		l.sweep(context.Background(), u, pull)
		moved := 0.0
		for k := range u {
			moved = max(moved, math.Abs(u[k]-before[k]))
		}
		if moved <= still || sweeps == most {
			return u, sweeps
		}
	}
}

func BenchmarkLay(b *testing.B) {
	for _, bridging := range []float64{math.Inf(1), 9} {
		for _, step := range benchSteps {
			b.Run("bridging="+number(bridging)+"/step="+number(step), func(b *testing.B) {
				b.ReportAllocs()
				c := earlike(0.3)
				c.BridgingRadius = bridging
				var d *Drape
				for b.Loop() {
					var err error
					// The grid before is solved on the way, which is what the
					// refinement check compares with.
					if d, err = Lay(context.Background(), c, Options{Step: step, Finest: step}); err != nil {
						b.Fatal(err)
					}
				}
				nodes := d.Refinements[len(d.Refinements)-1].Nodes
				b.ReportMetric(float64(nodes), "unknowns")
				b.ReportMetric(work(d)/float64(nodes), "visits/unknown")
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(nodes), "ns/unknown")
			})
		}
	}
}

// BenchmarkPlainRelaxation relaxes until the energy is within a millionth of
// the drape's, for comparison with BenchmarkLay; finer steps take minutes.
func BenchmarkPlainRelaxation(b *testing.B) {
	for _, step := range []float64{1.6, 0.8, 0.4} {
		b.Run("bridging=9/step="+number(step), func(b *testing.B) {
			c := earlike(0.3)
			d, err := Lay(context.Background(), c, Options{Step: step, Finest: step})
			if err != nil {
				b.Fatal(err)
			}
			pull, sweeps := 1/c.BridgingRadius, 0
			enough := d.l.energy(context.Background(), d.u, pull) * (1 + 1e-6)
			for b.Loop() {
				u := make([]float64, len(d.u))
				copy(u, d.l.lower)
				for k, free := range d.l.free {
					if !free {
						u[k] = 0
					}
				}
				for sweeps = 1; ; sweeps++ {
					d.l.sweep(context.Background(), u, pull)
					if sweeps%50 == 0 && d.l.energy(context.Background(), u, pull) <= enough {
						break
					}
				}
			}
			nodes := d.Refinements[len(d.Refinements)-1].Nodes
			b.ReportMetric(float64(nodes), "unknowns")
			b.ReportMetric(float64(sweeps), "sweeps")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(nodes), "ns/unknown")
		})
	}
}
