package tree

// partLevel is the level of the tree at which it is shared out: a part holds
// 2^partLevel leaves, some milliseconds' work.
const partLevel = 7

// Parts returns into how many parts the search for pairs can be shared out.
func (t *Tree) Parts() int {
	if len(t.triangles) == 0 {
		return 0
	}
	return len(t.levels[t.partLevel()])
}

func (t *Tree) partLevel() int { return min(partLevel, len(t.levels)-1) }

// Pairs calls visit for the pairs of triangles whose boxes overlap, one of them
// in the part and the other in it or in a later part, each pair once, until visit
// returns false.
func (t *Tree) Pairs(part int, visit func(s, t int32) bool) {
	p := pairing{t, visit}
	level := t.partLevel()
	for other := part; other < len(t.levels[level]); other++ {
		if !p.below(level, part, other) {
			return
		}
	}
}

// pairing is one search for pairs.
type pairing struct {
	tree  *Tree
	visit func(s, t int32) bool
}

// below goes through the pairs below two nodes of a level, of which the second is
// not before the first, and reports whether to go on.
func (p *pairing) below(level, one, other int) bool {
	t := p.tree
	if one != other && !t.levels[level][one].Overlaps(&t.levels[level][other]) {
		return true
	}
	if level == 0 {
		return p.meet(one, other)
	}
	end := len(t.levels[level-1])
	for a := 2 * one; a < min(2*one+2, end); a++ {
		for b := max(2*other, a); b < min(2*other+2, end); b++ {
			if !p.below(level-1, a, b) {
				return false
			}
		}
	}
	return true
}

// meet visits the pairs of two leaves.
func (p *pairing) meet(one, other int) bool {
	t := p.tree
	from, to := t.leaf(one)
	otherFrom, otherTo := t.leaf(other)
	for i := from; i < to; i++ {
		box := t.boxes[i]
		if one != other && !box.Overlaps(&t.levels[0][other]) {
			continue
		}
		for j := max(otherFrom, i+1); j < otherTo; j++ {
			if box.Overlaps(&t.boxes[j]) && !p.visit(t.triangles[i], t.triangles[j]) {
				return false
			}
		}
	}
	return true
}
