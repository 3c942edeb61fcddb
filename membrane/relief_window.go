package membrane

import "math"

// clampIndex turns a place in grid units into an index below count.
func clampIndex(v float64, count int) int {
	return int(min(max(v, 0), float64(count-1)))
}

// window is a part of the grid that holds a feature and its flanks twice over.
type window struct {
	i0, j0, columns, rows int
	gridColumns           int
	radius                float64 // of the disc, in grid steps
}

func (d *Drape) window(nodes []int, reach float64) window {
	g := d.Grid
	radius := reach / g.Step
	margin := 2*int(math.Ceil(radius)) + 1
	i0, j0, i1, j1 := g.Columns, g.Rows, 0, 0
	for _, k := range nodes {
		i, j := k%g.Columns, k/g.Columns
		i0, i1, j0, j1 = min(i0, i), max(i1, i), min(j0, j), max(j1, j)
	}
	i0, j0 = max(i0-margin, 0), max(j0-margin, 0)
	i1, j1 = min(i1+margin, g.Columns-1), min(j1+margin, g.Rows-1)
	return window{i0, j0, i1 - i0 + 1, j1 - j0 + 1, g.Columns, radius}
}

// depth returns how deep (or high) every node of the window lies, mm.
func (w window) depth(heights []float64, f Feature) []float64 {
	sign := 1.0
	if f.Kind == Ridge {
		sign = -1
	}
	part := make([]float64, w.columns*w.rows)
	for j := range w.rows {
		for i := range w.columns {
			part[j*w.columns+i] = sign * heights[(w.j0+j)*w.gridColumns+w.i0+i]
		}
	}
	closed := w.highest(w.highest(part, 1), -1)
	for k := range closed {
		closed[k] -= part[k]
	}
	return closed
}

// highest returns the highest value within the disc around every node, or with
// sign −1 the lowest. Beyond the window there is nothing. The disc is a stack
// of rows; the highest along a row of any length costs the same.
func (w window) highest(values []float64, sign float64) []float64 {
	out := make([]float64, len(values))
	for k := range out {
		out[k] = math.Inf(-1)
	}
	row := make([]float64, len(values))
	ahead, behind := make([]float64, w.columns), make([]float64, w.columns)
	reach := int(w.radius)
	for dj := 0; dj <= reach; dj++ {
		half := int(math.Sqrt(w.radius*w.radius - float64(dj*dj)))
		for j := range w.rows {
			slidingHighest(values[j*w.columns:(j+1)*w.columns], row[j*w.columns:(j+1)*w.columns], ahead, behind, half, sign)
		}
		for j := range w.rows {
			for _, from := range [2]int{j - dj, j + dj} {
				if from < 0 || from >= w.rows {
					continue
				}
				source, target := row[from*w.columns:(from+1)*w.columns], out[j*w.columns:(j+1)*w.columns]
				for i, v := range source {
					target[i] = max(target[i], v)
				}
			}
		}
	}
	for k := range out {
		out[k] *= sign
	}
	return out
}

// slidingHighest writes to out[i] the highest of sign·in over i−half…i+half,
// by running maxima from both ends of blocks of the run's length (van Herk
// 1992, Pattern Recognit. Lett. 13:517, from memory).
func slidingHighest(in, out, ahead, behind []float64, half int, sign float64) {
	run := 2*half + 1
	last := len(in) - 1
	for i, v := range in {
		ahead[i] = sign * v
		if i%run != 0 {
			ahead[i] = max(ahead[i], ahead[i-1])
		}
	}
	for i := last; i >= 0; i-- {
		behind[i] = sign * in[i]
		if i != last && (i+1)%run != 0 {
			behind[i] = max(behind[i], behind[i+1])
		}
	}
	for i := range out {
		from, to := max(i-half, 0), min(i+half, last)
		switch {
		case from/run != to/run:
			out[i] = max(behind[from], ahead[to])
		case to == last:
			out[i] = behind[from]
		default: // a whole block, or cut short by the row's start
			out[i] = ahead[to]
		}
	}
}

// highestNear returns the highest value within a section's half width.
func (w window) highestNear(values []float64, s section) float64 {
	i, j := s.node%w.gridColumns-w.i0, s.node/w.gridColumns-w.j0
	best := math.Inf(-1)
	reach := int(s.halfWidth)
	for dj := -min(reach, j); dj <= min(reach, w.rows-1-j); dj++ {
		half := int(math.Sqrt(s.halfWidth*s.halfWidth - float64(dj*dj)))
		for di := -min(half, i); di <= min(half, w.columns-1-i); di++ {
			best = max(best, values[(j+dj)*w.columns+i+di])
		}
	}
	return best
}
