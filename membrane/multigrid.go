package membrane

import "context"

// The linear part of a step. At the current heights the energy is replaced by
// its second-order expansion; nodes that rest on the frame or the bed are held
// (truncated), and the rest is corrected by one multigrid cycle. The forms of
// coarse cells are sums over their four children, PᵀKP with P bilinear, so
// every level minimises the same quadratic energy over fewer nodes.

// levelOf is one level of the linear system A x = b.
type levelOf struct {
	columns, rows int
	forms         []cellForm
	// stencil holds each node's equation: itself, then its neighbours to the
	// right, above, above right and above left; the rest follows by symmetry.
	stencil [][5]float64
	right   []float64 // b
	x       []float64
	rest    []float64 // b − A x
}

// multigrid holds the levels, finest first, so that they are allocated once.
type multigrid struct {
	levels []levelOf
	slopes [][4]float64 // of the energy in each cell's corners
	cycles int          // done so far
}

// smallest is the number of cells along the shorter side below which a level
// is not halved again.
const smallest = 4

func newMultigrid(l *lattice) *multigrid {
	m := &multigrid{slopes: make([][4]float64, len(l.free))}
	columns, rows := l.columns, l.rows
	for {
		nodes := columns * rows
		m.levels = append(m.levels, levelOf{
			columns: columns, rows: rows,
			forms:   make([]cellForm, nodes),
			stencil: make([][5]float64, nodes),
			right:   make([]float64, nodes),
			x:       make([]float64, nodes),
			rest:    make([]float64, nodes),
		})
		cellsX, cellsY := columns-1, rows-1
		if cellsX%2 != 0 || cellsY%2 != 0 || min(cellsX, cellsY) < 2*smallest {
			return m
		}
		columns, rows = cellsX/2+1, cellsY/2+1
	}
}

// expand fills the finest level from the energy at heights u and builds the
// coarser ones. held nodes keep their heights. It returns the right side,
// minus the energy's slope at every node that is not held.
func (m *multigrid) expand(ctx context.Context, l *lattice, u []float64, pull float64, held []bool) {
	fine, slopes := &m.levels[0], m.slopes
	overRows(ctx, stageMultigrid, l.rows, l.columns, func(from, to int) {
		for k := from * l.columns; k < to*l.columns; k++ {
			form, slope := &fine.forms[k], &slopes[k]
			if l.kind[k] == cellOutside {
				*form = cellForm{}
				continue
			}
			l.expand(u, k, slope, form)
			for c, n := range l.corners(k) {
				if held[n] {
					form.hold(c)
				}
			}
		}
	})
	overRows(ctx, stageMultigrid, l.rows, l.columns, func(from, to int) {
		for k := from * l.columns; k < to*l.columns; k++ {
			fine.right[k] = 0
			if l.free[k] && !held[k] {
				fine.right[k] = -pull*l.load[k] - slopes[k][0] - slopes[k-1][1] -
					slopes[k-l.columns][2] - slopes[k-l.columns-1][3]
			}
		}
	})
	m.assemble(ctx, fine)
	for n := 1; n < len(m.levels); n++ {
		m.coarsen(ctx, &m.levels[n-1], &m.levels[n])
		m.assemble(ctx, &m.levels[n])
	}
}

// hold takes corner c out of the form.
func (f *cellForm) hold(c int) {
	for other := range 4 {
		f[formIndex[c][other]] = 0
	}
}

// assemble sums the cells' forms into the nodes' equations.
func (m *multigrid) assemble(ctx context.Context, v *levelOf) {
	columns := v.columns
	overRows(ctx, stageMultigrid, v.rows, columns, func(from, to int) {
		for j := from; j < to; j++ {
			for i := range columns {
				k := j*columns + i
				s := [5]float64{}
				if j+1 < v.rows {
					if i+1 < columns {
						f := &v.forms[k]
						s[0] += f[0]
						s[1] += f[4]
						s[2] += f[5]
						s[3] = f[6]
					}
					if i > 0 {
						f := &v.forms[k-1]
						s[0] += f[1]
						s[2] += f[8]
						s[4] = f[7]
					}
				}
				if j > 0 {
					if i+1 < columns {
						f := &v.forms[k-columns]
						s[0] += f[2]
						s[1] += f[9]
					}
					if i > 0 {
						s[0] += v.forms[k-columns-1][3]
					}
				}
				v.stencil[k] = s
			}
		}
	})
}

// neighbours returns the sum of a node's equation over its neighbours.
func (v *levelOf) neighbours(x []float64, k int) float64 {
	columns := v.columns
	up, down := k+columns, k-columns
	s := &v.stencil[k]
	sum := s[1]*x[k+1] + s[2]*x[up] + s[3]*x[up+1] + s[4]*x[up-1]
	return sum + v.stencil[k-1][1]*x[k-1] + v.stencil[down][2]*x[down] +
		v.stencil[down-1][3]*x[down-1] + v.stencil[down+1][4]*x[down+1]
}

// neighboursAtEdge is neighbours for nodes on the lattice's own edge, which
// are free on coarse levels only.
func (v *levelOf) neighboursAtEdge(x []float64, k int) float64 {
	i, j := k%v.columns, k/v.columns
	take := func(di, dj, at, entry int) float64 {
		if i+di < 0 || i+di >= v.columns || j+dj < 0 || j+dj >= v.rows {
			return 0
		}
		return v.stencil[at][entry] * x[k+dj*v.columns+di]
	}
	down := k - v.columns
	return take(1, 0, k, 1) + take(0, 1, k, 2) + take(1, 1, k, 3) + take(-1, 1, k, 4) +
		take(-1, 0, k-1, 1) + take(0, -1, down, 2) + take(-1, -1, down-1, 3) + take(1, -1, down+1, 4)
}

// around returns the sum of an equation over the neighbours of node k = (i, j).
func (v *levelOf) around(x []float64, i, j, k int) float64 {
	if i == 0 || j == 0 || i == v.columns-1 || j == v.rows-1 {
		return v.neighboursAtEdge(x, k)
	}
	return v.neighbours(x, k)
}

// smooth is one Gauss–Seidel pass in four colours, in turned order if back.
func (m *multigrid) smooth(ctx context.Context, v *levelOf, back bool) {
	for turn := range 4 {
		colour := turn
		if back {
			colour = 3 - turn
		}
		overRows(ctx, stageMultigrid, (v.rows+1)/2, v.columns/2, func(from, to int) {
			for j := 2*from + colour/2; j < min(2*to, v.rows); j += 2 {
				for i := colour % 2; i < v.columns; i += 2 {
					k := j*v.columns + i
					if own := v.stencil[k][0]; own > 0 {
						v.x[k] = (v.right[k] - v.around(v.x, i, j, k)) / own
					}
				}
			}
		})
	}
}

// apply writes A x to out, 0 where there is no equation.
func (m *multigrid) apply(ctx context.Context, v *levelOf, x, out []float64) {
	overRows(ctx, stageMultigrid, v.rows, v.columns, func(from, to int) {
		for j := from; j < to; j++ {
			for i := range v.columns {
				k := j*v.columns + i
				out[k] = 0
				if own := v.stencil[k][0]; own > 0 {
					out[k] = v.around(x, i, j, k) + own*x[k]
				}
			}
		}
	})
}

// cycle solves A x = b on level n roughly: one cycle, smoothing twice before
// and after, symmetric. x starts from 0.
func (m *multigrid) cycle(ctx context.Context, n int) {
	v := &m.levels[n]
	clear(v.x)
	if n == len(m.levels)-1 {
		const enough = 12 // passes over at most a few dozen nodes
		for range enough {
			m.smooth(ctx, v, false)
			m.smooth(ctx, v, true)
		}
		return
	}
	const passes = 2
	for range passes {
		m.smooth(ctx, v, false)
	}
	m.restrict(ctx, v, &m.levels[n+1])
	m.cycle(ctx, n+1)
	m.prolong(ctx, &m.levels[n+1], v)
	for range passes {
		m.smooth(ctx, v, true)
	}
}

// restrict writes Pᵀ(b − A x) to the coarse right side.
func (m *multigrid) restrict(ctx context.Context, fine, coarse *levelOf) {
	m.apply(ctx, fine, fine.x, fine.rest)
	overRows(ctx, stageMultigrid, fine.rows, fine.columns, func(from, to int) {
		for k := from * fine.columns; k < to*fine.columns; k++ {
			// Held nodes have no equation and no right side.
			fine.rest[k] = fine.right[k] - fine.rest[k]
		}
	})
	overRows(ctx, stageMultigrid, coarse.rows, coarse.columns, func(from, to int) {
		for j := from; j < to; j++ {
			for i := range coarse.columns {
				sum := 0.0
				for dj := -1; dj <= 1; dj++ {
					for di := -1; di <= 1; di++ {
						fi, fj := 2*i+di, 2*j+dj
						if fi < 0 || fj < 0 || fi >= fine.columns || fj >= fine.rows {
							continue
						}
						sum += fine.rest[fj*fine.columns+fi] / float64((1+di*di)*(1+dj*dj))
					}
				}
				coarse.right[j*coarse.columns+i] = sum
			}
		}
	})
}

// prolong adds the coarse correction to the fine one, held nodes left alone.
func (m *multigrid) prolong(ctx context.Context, coarse, fine *levelOf) {
	overRows(ctx, stageMultigrid, fine.rows, fine.columns, func(from, to int) {
		for j := from; j < to; j++ {
			for i := range fine.columns {
				k := j*fine.columns + i
				if !(fine.stencil[k][0] > 0) {
					continue
				}
				c := j/2*coarse.columns + i/2
				right, up := i%2, j%2*coarse.columns
				fine.x[k] += (coarse.x[c] + coarse.x[c+right] + coarse.x[c+up] + coarse.x[c+up+right]) / 4
			}
		}
	})
}
