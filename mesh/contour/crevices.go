package contour

import (
	"cmp"
	"context"
	"math"
	"slices"

	"earframe/field"
	"earframe/internal/workers"
	"earframe/mesh"
)

// Why some planes of the lattice lie closer than a step.
//
// A lattice sees a crevice where one of its nodes lies in it. Under a level
// underside over a rounded edge, or a tail that leaves its bed at a small angle,
// the two faces part so slowly that a lattice of even planes closes the crevice
// for a step and more; to see it to a tenth of a step it would have to be finer
// a hundred times.
//
//	      helix            But one plane close to the helix's underside passes
//	___________________    between the faces nearly as far in as they go: the
//	........:·········     dotted one. So plumb lines through the lattice's columns
//	 base    `·.           ask where the solid begins again, or ends, within a
//	            `.         step, and planes are added where most such lines need
//	              |        one. They cost a row of cells wherever a wall passes,
//	                       and nothing where there is no crevice.
//
// Cells are boxes all the same, however flat, and that is all that the proof of
// soundness asks for.

const (
	// morePlanes bounds the planes that are added, as a share of those along z.
	morePlanes = 1.0 / 8

	// fewestLines is how many plumb lines must gain by a plane.
	fewestLines = 3

	// clearOfFaces is how far from a face, in steps, an added plane passes at
	// least: the bottom of a crevice over an edge of radius r is then seen from
	// √(2·r·clearOfFaces·step) on, 0.04 mm for 0.8 mm at the default step. Nearer,
	// the two faces would hinder one another in simplification.
	clearOfFaces = 5 * insideMargin

	// clearOfPlanes is how far from other planes, in steps, an added one lies, so
	// that the flat cells between them hold a vertex as any cell does.
	clearOfPlanes = 4 * insideMargin
)

// refineCrevices adds planes along z through the crevices and thin walls that
// lie between two planes. A field whose plumb lines have no closed form is left
// as it is: to search them would take longer than all the rest.
func (g *lattice) refineCrevices(ctx context.Context) error {
	if !field.NewPlumb(g.field).Exact() {
		return nil
	}
	narrow := make([][]field.Span, len(g.coordinate[0]))
	err := workers.Each(ctx, "crevices", len(narrow), func(i int) error {
		narrow[i] = g.narrowAlong(g.coordinate[0][i])
		return nil
	})
	if err != nil {
		return err
	}
	rooms := slices.Concat(narrow...)
	planes := g.coordinate[2]
	for range int(morePlanes * float64(len(planes))) {
		z, lines := g.stab(rooms)
		if lines < fewestLines {
			break
		}
		z = mesh.Representable(z)
		planes = append(planes, z)
		rooms = slices.DeleteFunc(rooms, func(r field.Span) bool { return r.Low <= z && z <= r.High })
		for i := range rooms {
			rooms[i] = g.clearOf(z, rooms[i])
		}
	}
	slices.Sort(planes)
	g.coordinate[2] = planes
	return nil
}

// narrowAlong returns, for the lattice's columns at x, the room for a plane
// between two faces that are less than a step apart and have none between them.
func (g *lattice) narrowAlong(x float64) []field.Span {
	plumb := field.NewPlumb(g.field)
	var rooms []field.Span
	for _, y := range g.coordinate[1] {
		spans := plumb.Spans(x, y)
		for i, s := range spans {
			rooms = g.appendRoom(rooms, s)
			if i > 0 {
				rooms = g.appendRoom(rooms, field.Span{Low: spans[i-1].High, High: s.Low})
			}
		}
	}
	return rooms
}

// appendRoom appends the room for a plane within the span, if there is one.
func (g *lattice) appendRoom(to []field.Span, s field.Span) []field.Span {
	if s.High-s.Low >= g.step {
		return to
	}
	planes := g.coordinate[2]
	next, _ := slices.BinarySearch(planes, s.Low)
	if planes[next] < s.High {
		return to
	}
	room := field.Span{Low: s.Low + clearOfFaces*g.step, High: s.High - clearOfFaces*g.step}
	room = g.clearOf(planes[next-1], g.clearOf(planes[next], room))
	if room.Low > room.High {
		return to
	}
	return append(to, room)
}

// clearOf returns the part of the room that is clear of the plane at z, which
// does not pass through it.
func (g *lattice) clearOf(z float64, room field.Span) field.Span {
	if z < room.Low {
		room.Low = math.Max(room.Low, z+clearOfPlanes*g.step)
	} else {
		room.High = math.Min(room.High, z-clearOfPlanes*g.step)
	}
	return room
}

// stab returns a height that lies in as many of the rooms as any, and in how
// many it lies. Rooms that end before they begin do not count.
func (g *lattice) stab(rooms []field.Span) (z float64, count int) {
	type end struct {
		z    float64
		more int
	}
	ends := make([]end, 0, 2*len(rooms))
	for _, r := range rooms {
		if r.Low <= r.High {
			ends = append(ends, end{r.Low, 1}, end{r.High, -1})
		}
	}
	slices.SortFunc(ends, func(a, b end) int {
		return cmp.Or(cmp.Compare(a.z, b.z), cmp.Compare(b.more, a.more))
	})
	open := 0
	var shared field.Span
	for i, e := range ends {
		if open += e.more; open > count {
			count, shared = open, field.Span{Low: e.z, High: ends[i+1].z}
		}
	}
	return g.nearCommonFace(rooms, shared), count
}

// nearCommonFace returns a height within the span that rooms share, by the face
// that most of them end at: there the crevice can be seen the farthest in.
func (g *lattice) nearCommonFace(rooms []field.Span, shared field.Span) float64 {
	below, above := 0.0, 0.0
	for _, r := range rooms {
		if r.Low <= shared.Low && shared.High <= r.High {
			below += shared.Low - r.Low
			above += r.High - shared.High
		}
	}
	inset := math.Min((shared.High-shared.Low)/2, g.margin)
	if above < below {
		return shared.High - inset
	}
	return shared.Low + inset
}
