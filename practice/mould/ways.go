package mould

import "cmp"

// ways is a heap (container/heap) of columns by the way that leads to them, the
// shortest first; of equal ways the lower column.
type ways []way

type way struct {
	length float64 // mm
	column int
}

func (w ways) Len() int      { return len(w) }
func (w ways) Swap(i, j int) { w[i], w[j] = w[j], w[i] }
func (w ways) Less(i, j int) bool {
	return cmp.Or(cmp.Compare(w[i].length, w[j].length), cmp.Compare(w[i].column, w[j].column)) < 0
}

func (w *ways) Push(x any) { *w = append(*w, x.(way)) }
func (w *ways) Pop() any {
	last := (*w)[len(*w)-1]
	*w = (*w)[:len(*w)-1]
	return last
}
