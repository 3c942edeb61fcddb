package membrane

import "math"

// nodes is a rectangle of a grid's nodes, from column i0 and row j0 on.
type nodes struct{ i0, j0, columns, rows int }

// grown returns the nodes and those up to so many further on every side, as far
// as the grid goes.
func (n nodes) grown(by int, g Grid) nodes {
	i0, j0 := max(n.i0-by, 0), max(n.j0-by, 0)
	i1, j1 := min(n.i0+n.columns+by, g.Columns), min(n.j0+n.rows+by, g.Rows)
	return nodes{i0, j0, i1 - i0, j1 - j0}
}

// patch is a value at each of the nodes, row by row.
type patch struct {
	nodes
	values []float64
}

// patchOf takes the nodes' values out of those of the whole grid.
func patchOf(n nodes, g Grid, values []float64) patch {
	whole := patch{nodes{0, 0, g.Columns, g.Rows}, values}
	return whole.part(n)
}

// part returns the values at nodes that the patch holds.
func (p *patch) part(n nodes) patch {
	some := patch{n, make([]float64, 0, n.columns*n.rows)}
	for j := n.j0; j < n.j0+n.rows; j++ {
		some.values = append(some.values, p.row(j)[n.i0-p.i0:n.i0-p.i0+n.columns]...)
	}
	return some
}

// negated returns the patch upside down.
func (p *patch) negated() patch {
	n := patch{p.nodes, make([]float64, len(p.values))}
	for k, v := range p.values {
		n.values[k] = -v
	}
	return n
}

// at returns the value at column i and row j of the grid.
func (p *patch) at(i, j int) float64 { return p.values[(j-p.j0)*p.columns+i-p.i0] }

// row returns the values of row j of the grid, nil if there are none.
func (p *patch) row(j int) []float64 {
	if j -= p.j0; j < 0 || j >= p.rows {
		return nil
	}
	return p.values[j*p.columns : (j+1)*p.columns]
}

// highest returns at each node the highest value of the patch within a disc
// around it, the radius in grid steps; −Inf where the disc holds none. The disc
// is a stack of chords, and the highest along a chord is that of two runs that
// overlap and whose length is a power of two (Urbach and Wilkinson 2008, IEEE
// Trans. Image Process. 17:1, from memory). A node costs a few comparisons for
// each row of the disc.
func (p *patch) highest(around nodes, radius float64) patch {
	out := patch{around, make([]float64, around.columns*around.rows)}
	for k := range out.values {
		out.values[k] = math.Inf(-1)
	}
	chords := chordsOf(radius, max(p.columns+around.columns, p.rows+around.rows))
	widest := chords[0].half
	runs := make([][]float64, chords[0].level+1)
	for level := range runs {
		runs[level] = make([]float64, around.columns+2*widest)
	}
	along := make([]float64, around.columns)
	for j := p.j0; j < p.j0+p.rows; j++ {
		p.runsOf(j, around.i0-widest, runs)
		held := -1 // half the chord that along is of
		for dj, c := range chords {
			below, above := out.row(j-dj), out.row(j+dj)
			if below == nil && above == nil {
				continue
			}
			if c.half != held {
				first := runs[c.level][widest-c.half:]
				highestOf(along, first, first[2*c.half+1-1<<c.level:])
				held = c.half
			}
			raise(below, along)
			raise(above, along)
		}
	}
	return out
}

// chord is a row of a disc: 2·half+1 nodes, of which the longest run that is a
// power of two is 2^level.
type chord struct{ half, level int }

// chordsOf returns the chords of the disc's rows, from its middle outward; what
// lies further than most from its middle is left out.
func chordsOf(radius float64, most int) []chord {
	chords := make([]chord, min(int(radius), most)+1)
	for dj := range chords {
		c := chord{half: min(int(math.Sqrt(radius*radius-float64(dj*dj))), most)}
		for 2<<c.level <= 2*c.half+1 {
			c.level++
		}
		chords[dj] = c
	}
	return chords
}

// runsOf writes to runs[level][i] the highest of 2^level values of row j from
// column left+i on; −Inf stands where the patch has no value.
func (p *patch) runsOf(j, left int, runs [][]float64) {
	row := runs[0]
	for i := range row {
		row[i] = math.Inf(-1)
	}
	if from, to := max(left, p.i0), min(left+len(row), p.i0+p.columns); from < to {
		copy(row[from-left:to-left], p.row(j)[from-p.i0:to-p.i0])
	}
	for level := 1; level < len(runs); level++ {
		half := 1 << (level - 1)
		whole := len(row) - 2*half + 1
		highestOf(runs[level][:whole], runs[level-1], runs[level-1][half:])
	}
}

// highestOf writes the higher of a[i] and b[i] to out[i].
func highestOf(out, a, b []float64) {
	a, b = a[:len(out)], b[:len(out)]
	for i, v := range a {
		if b[i] > v {
			v = b[i]
		}
		out[i] = v
	}
}

// raise lifts every value to at least the other; it does nothing without values.
func raise(values, to []float64) {
	for i := range values {
		if v := to[i]; v > values[i] {
			values[i] = v
		}
	}
}
