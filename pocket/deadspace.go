package pocket

import (
	"cmp"
	"slices"
	"strings"

	"earframe/anatomy"
	"earframe/membrane"

	"github.com/go-gl/mathgl/mgl64"
)

// Dead is where skin reaches neither the frame nor the bed.
type Dead struct {
	Volume  float64     // of all of it
	Spaces  []DeadSpace // largest first, those worth naming
	ByPlace []PlaceGap  // the same volume, shared out to named places
	Least   float64
}

// DeadSpace is one connected dead space.
type DeadSpace struct {
	Place   string // in words; several where it spreads over them
	Volume  float64
	Area    float64
	Deepest float64
	At      mgl64.Vec2 // the largest gap
	AtPlace string
}

// PlaceGap is the dead space in one named place.
type PlaceGap struct {
	Place   string
	Volume  float64
	Area    float64
	Deepest float64
	At      mgl64.Vec2
}

const (
	// leastGap is the gap in mm below which skin counts as lying on; ours, no
	// source: a tenth of the skin's thickness.
	leastGap = 0.2
	// worthNaming is the volume in mm³ from which a dead space is listed; ours,
	// no source.
	worthNaming = 5
	// placeShare is the share of a dead space's volume from which it is said to
	// lie in a place.
	placeShare = 0.12
)

// dead finds and names the dead spaces.
func (r *Result) dead() Dead {
	record := Dead{Least: leastGap, Spaces: []DeadSpace{}, ByPlace: []PlaceGap{}}
	gaps := r.Drape.Gaps()
	all := map[string]*PlaceGap{}
	for _, s := range r.Drape.DeadSpaces(leastGap) {
		record.Volume += s.Volume
		in := r.shareOut(s, gaps)
		for name, gap := range in {
			if all[name] == nil {
				all[name] = &PlaceGap{Place: name}
			}
			all[name].take(*gap)
		}
		if s.Volume < worthNaming {
			continue
		}
		record.Spaces = append(record.Spaces, DeadSpace{
			Place: placesOf(in, s.Volume), Volume: s.Volume, Area: s.Area,
			Deepest: s.Deepest, At: s.Where, AtPlace: r.places.At(s.Where),
		})
	}
	for _, gap := range all {
		record.ByPlace = append(record.ByPlace, *gap)
	}
	slices.SortFunc(record.ByPlace, largestFirst)
	return record
}

func largestFirst(a, b PlaceGap) int {
	return cmp.Or(cmp.Compare(b.Volume, a.Volume), cmp.Compare(a.Place, b.Place))
}

func (g *PlaceGap) take(other PlaceGap) {
	g.Volume += other.Volume
	g.Area += other.Area
	if other.Deepest > g.Deepest {
		g.Deepest, g.At = other.Deepest, other.At
	}
}

// shareOut divides a dead space among the places it lies in.
func (r *Result) shareOut(s membrane.DeadSpace, gaps []float64) map[string]*PlaceGap {
	in := map[string]*PlaceGap{}
	square := r.Drape.Grid.Step * r.Drape.Grid.Step
	total := 0.0
	for _, k := range s.Nodes {
		p := r.Drape.Grid.Place(k)
		name := r.places.At(p)
		if in[name] == nil {
			in[name] = &PlaceGap{Place: name}
		}
		in[name].take(PlaceGap{Volume: square * gaps[k], Area: square, Deepest: gaps[k], At: p})
		total += square * gaps[k]
	}
	// Nodes at the pocket's edge stand for less than a square.
	for _, gap := range in {
		gap.Volume *= s.Volume / total
	}
	return in
}

// placesOf names where a dead space lies: the places that hold a good part of
// it, the larger first; three or four sides of the frame are all round it.
func placesOf(in map[string]*PlaceGap, volume float64) string {
	var held []PlaceGap
	round := PlaceGap{Place: anatomy.AllRound}
	sides := 0
	for _, side := range anatomy.Sides {
		if in[side] != nil {
			round.take(*in[side])
			sides++
		}
	}
	for name, gap := range in {
		if sides >= 3 && slices.Contains(anatomy.Sides[:], name) {
			continue
		}
		held = append(held, *gap)
	}
	if sides >= 3 {
		held = append(held, round)
	}
	slices.SortFunc(held, largestFirst)
	var names []string
	for i, gap := range held {
		if i == 0 || gap.Volume >= placeShare*volume {
			names = append(names, gap.Place)
		}
	}
	return strings.Join(names, ", ")
}
