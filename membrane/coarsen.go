package membrane

import "context"

// childWeights[c][n][q]: how much of the coarse cell's corner q corner n of its
// child c takes.
var childWeights = [4][4][4]float64{
	{{1, 0, 0, 0}, {.5, .5, 0, 0}, {.5, 0, .5, 0}, {.25, .25, .25, .25}},
	{{.5, .5, 0, 0}, {0, 1, 0, 0}, {.25, .25, .25, .25}, {0, .5, 0, .5}},
	{{.5, 0, .5, 0}, {.25, .25, .25, .25}, {0, 0, 1, 0}, {0, 0, .5, .5}},
	{{.25, .25, .25, .25}, {0, .5, 0, .5}, {0, 0, .5, .5}, {0, 0, 0, 1}},
}

// coarsen writes PᵀKP of the fine cells to the coarse ones.
func (m *multigrid) coarsen(ctx context.Context, fine, coarse *levelOf) {
	overRows(ctx, stageMultigrid, coarse.rows-1, coarse.columns, func(from, to int) {
		for j := from; j < to; j++ {
			for i := range coarse.columns - 1 {
				sum := &coarse.forms[j*coarse.columns+i]
				*sum = cellForm{}
				base := 2*j*fine.columns + 2*i
				for child, k := range [4]int{base, base + 1, base + fine.columns, base + fine.columns + 1} {
					if form := &fine.forms[k]; *form != (cellForm{}) {
						sum.addProjected(form, &childWeights[child])
					}
				}
			}
		}
	})
}

// addProjected adds PᵀKP.
func (f *cellForm) addProjected(k *cellForm, p *[4][4]float64) {
	full := [4][4]float64{
		{k[0], k[4], k[5], k[6]}, {k[4], k[1], k[7], k[8]},
		{k[5], k[7], k[2], k[9]}, {k[6], k[8], k[9], k[3]},
	}
	var half [4][4]float64
	for a := range 4 {
		for q := range 4 {
			half[a][q] = full[a][0]*p[0][q] + full[a][1]*p[1][q] + full[a][2]*p[2][q] + full[a][3]*p[3][q]
		}
	}
	for q := range 4 {
		for r := q; r < 4; r++ {
			f[formIndex[q][r]] += p[0][q]*half[0][r] + p[1][q]*half[1][r] + p[2][q]*half[2][r] + p[3][q]*half[3][r]
		}
	}
}
