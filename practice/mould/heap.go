package mould

// heap is a queue of columns by their way, the shortest first; of equal ways the
// lower column.
type heap struct{ items []item }

type item struct {
	way    float64
	column int
}

func (a item) before(b item) bool {
	return a.way < b.way || a.way == b.way && a.column < b.column
}

func (h *heap) push(way float64, column int) {
	h.items = append(h.items, item{way, column})
	for k := len(h.items) - 1; k > 0 && h.items[k].before(h.items[(k-1)/2]); k = (k - 1) / 2 {
		h.items[k], h.items[(k-1)/2] = h.items[(k-1)/2], h.items[k]
	}
}

func (h *heap) pop() (way float64, column int) {
	top := h.items[0]
	last := len(h.items) - 1
	h.items[0] = h.items[last]
	h.items = h.items[:last]
	for k := 0; ; {
		child := 2*k + 1
		if child >= last {
			break
		}
		if child+1 < last && h.items[child+1].before(h.items[child]) {
			child++
		}
		if !h.items[child].before(h.items[k]) {
			break
		}
		h.items[k], h.items[child] = h.items[child], h.items[k]
		k = child
	}
	return top.way, top.column
}
