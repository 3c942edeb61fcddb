package membrane

import "context"

// Conjugate gradients on the finest level with one multigrid cycle as the
// preconditioner. Where skin clings to a wall the equations are stiff one way
// and slack the other, and a cycle alone gains little at those few nodes; a few
// conjugate steps make up for them.

// linearGain is the share of its start to which the linear residual is brought
// for one step of the non-linear iteration, and linearSteps bounds the work.
const (
	linearGain  = 0.3
	linearSteps = 8
)

// conjugate holds the vectors of the iteration.
type conjugate struct {
	correction, residual, direction, image []float64
}

func newConjugate(nodes int) *conjugate {
	return &conjugate{
		correction: make([]float64, nodes), residual: make([]float64, nodes),
		direction: make([]float64, nodes), image: make([]float64, nodes),
	}
}

// solve returns an approximate solution of the finest level's equations. The
// result is valid until the next call.
func (m *multigrid) solve(ctx context.Context, c *conjugate) []float64 {
	fine := &m.levels[0]
	clear(c.correction)
	clear(c.direction)
	copy(c.residual, fine.right)
	enough := m.imbalance(ctx, c.residual) * linearGain * linearGain
	before := 1.0
	for range linearSteps {
		m.precondition(ctx, c)
		squared := m.dot(ctx, c.residual, fine.x)
		if !(squared > 0) {
			break
		}
		m.blend(ctx, c.direction, squared/before, fine.x, 1)
		before = squared
		m.apply(ctx, fine, c.direction, c.image)
		curvature := m.dot(ctx, c.direction, c.image)
		if !(curvature > 0) {
			break
		}
		m.blend(ctx, c.correction, 1, c.direction, squared/curvature)
		m.blend(ctx, c.residual, 1, c.image, -squared/curvature)
		if m.imbalance(ctx, c.residual) <= enough {
			break
		}
	}
	return c.correction
}

// imbalance returns the sum over the nodes of residual²/stiffness.
func (m *multigrid) imbalance(ctx context.Context, residual []float64) float64 {
	fine := &m.levels[0]
	return m.rowSum(ctx, func(k int) float64 {
		if own := fine.stencil[k][0]; own > 0 {
			return residual[k] * residual[k] / own
		}
		return 0
	})
}

// precondition puts one cycle's answer for the residual into the finest x.
func (m *multigrid) precondition(ctx context.Context, c *conjugate) {
	copy(m.levels[0].right, c.residual)
	m.cycle(ctx, 0)
	m.cycles++
}

// blend sets a to scale·a + part·b.
func (m *multigrid) blend(ctx context.Context, a []float64, scale float64, b []float64, part float64) {
	fine := &m.levels[0]
	overRows(ctx, stageMultigrid, fine.rows, fine.columns, func(from, to int) {
		for k := from * fine.columns; k < to*fine.columns; k++ {
			a[k] = scale*a[k] + part*b[k]
		}
	})
}

// dot returns the scalar product.
func (m *multigrid) dot(ctx context.Context, a, b []float64) float64 {
	return m.rowSum(ctx, func(k int) float64 { return a[k] * b[k] })
}

// rowSum adds up row by row, so that it rounds alike on any number of cores.
func (m *multigrid) rowSum(ctx context.Context, term func(k int) float64) float64 {
	fine := &m.levels[0]
	partial := make([]float64, fine.rows)
	overRows(ctx, stageMultigrid, fine.rows, fine.columns, func(from, to int) {
		for j := from; j < to; j++ {
			for k := j * fine.columns; k < (j+1)*fine.columns; k++ {
				partial[j] += term(k)
			}
		}
	})
	return sumOf(partial)
}
