package tree

// Leaves returns how many leaves the tree has.
func (t *Tree) Leaves() int { return len(t.levels[0]) }

// Pairs calls visit for the pairs of triangles whose boxes overlap, one of them
// in the leaf and the other in it or in a later leaf, each pair once, until
// visit returns false.
func (t *Tree) Pairs(leaf int, visit func(s, t int32) bool) {
	p := pairing{tree: t, leaf: leaf, visit: visit}
	p.descend(len(t.levels)-1, 0)
}

// pairing is one search for the pairs of a leaf.
type pairing struct {
	tree  *Tree
	leaf  int
	visit func(s, t int32) bool
}

// descend goes through the part of the tree below a box, and reports whether to
// go on.
func (p *pairing) descend(level, index int) bool {
	t := p.tree
	if (index+1)<<level <= p.leaf || !t.levels[0][p.leaf].Overlaps(&t.levels[level][index]) {
		return true
	}
	if level == 0 {
		return p.meet(index)
	}
	for child := 2 * index; child < min(2*index+2, len(t.levels[level-1])); child++ {
		if !p.descend(level-1, child) {
			return false
		}
	}
	return true
}

// meet visits the pairs with another leaf.
func (p *pairing) meet(other int) bool {
	t := p.tree
	from, to := t.leaf(p.leaf)
	otherFrom, otherTo := t.leaf(other)
	for i := from; i < to; i++ {
		if !t.boxes[i].Overlaps(&t.levels[0][other]) {
			continue
		}
		for j := max(otherFrom, i+1); j < otherTo; j++ {
			if t.boxes[i].Overlaps(&t.boxes[j]) && !p.visit(t.triangles[i], t.triangles[j]) {
				return false
			}
		}
	}
	return true
}
