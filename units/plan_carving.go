package units

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"earframe/template"
)

func (b *unitBuilder) readEdges(d draft, u *Unit, usual standard) {
	edge := d.scope.into("edge")
	read := func(name string, radius float64) float64 {
		radius, note := limitedRadius(radius, u.Thickness)
		radius = edge.number(name, radius, Default, note)
		if radius > u.Thickness/2 {
			b.faults.faultAt(edge.entry.field(name), fmt.Sprintf("found %s mm, expected at most half the thickness (%s mm)",
				plain(radius), plain(u.Thickness/2)), "")
		}
		return radius
	}
	u.EdgeTop = read("top", usual.edgeTop)
	u.EdgeBottom = read("bottom", usual.edgeBottom)
}

func (b *unitBuilder) readRecesses(d draft, u *Unit) {
	given := d.scope.entry.field("recesses")
	if given == nil {
		if d.part != Base {
			return
		}
		for _, name := range []string{Scapha, Fossa} {
			if len(b.outlinesOf(name)) > 0 {
				s := scope{p: b.planner, key: recessKey(), path: fmt.Sprintf("%s.recesses[%s]", d.scope.path, name)}
				b.readRecess(s, u, name)
			}
		}
		return
	}
	for _, item := range given.items {
		outline := item.field("outline")
		s := scope{p: b.planner, entry: item, key: recessKey(), path: fmt.Sprintf("%s.recesses[%s]", d.scope.path, outline.text)}
		if len(b.recessOutlines(b.drawn, outline.text)) == 0 {
			b.faults.faultAt(outline, fmt.Sprintf("the template has no recess %q", outline.text),
				knownWords(outline.text, slices.Concat(idsOf(b.drawn, Scapha), idsOf(b.drawn, Fossa))))
			continue
		}
		b.readRecess(s, u, outline.text)
	}
}

func recessKey() *key { return unitKeys().named("recesses").item }

// recessOutlines returns the outlines drawn as that recess, or the one with that
// id among all recesses.
func (b *unitBuilder) recessOutlines(outlines []template.Outline, name string) []template.Outline {
	var of []template.Outline
	for _, o := range outlines {
		if (o.Part == Scapha || o.Part == Fossa) && (o.Part == name || o.ID == name) {
			of = append(of, o)
		}
	}
	return of
}

func (b *unitBuilder) readRecess(s scope, u *Unit, name string) {
	r := Recess{Name: name, Outlines: b.recessOutlines(b.Outlines, name)}
	r.Depth = s.number("depth", math.Min(recessDepth, u.Thickness/2), UnsourcedDefault, "no published value was found")
	wall := s.number("wall", recessWall, Default, ourChoice)
	r.Wall = wall * math.Pi / 180
	if r.Depth >= u.Thickness {
		b.faults.faultAt(s.entry.field("depth"), fmt.Sprintf("found %s mm, expected less than the thickness (%s mm)", plain(r.Depth), plain(u.Thickness)), "")
	}
	if len(r.Outlines) > 0 {
		u.Recesses = append(u.Recesses, r)
	}
}

func (b *unitBuilder) readRibs(d draft, u *Unit, usual standard) {
	u.Ribs = usual.ribs
	given := d.scope.entry.field("ribs")
	if given != nil {
		u.Ribs = nil
		for _, item := range given.items {
			u.Ribs = append(u.Ribs, int(item.number))
		}
	}
	if u.Ribs == nil {
		d.scope.record("ribs", "remainder", nil, Default, commonPractice)
		return
	}
	d.scope.record("ribs", u.Ribs, given, Default, commonPractice)
}

// readNotches reads which units are let into this one: by default the helix
// into the base frame and the conchal vault.
func (b *unitBuilder) readNotches(d draft, u *Unit) {
	given := d.scope.entry.field("notches")
	var known []string
	for _, other := range b.drafts {
		if other.name == d.name {
			continue
		}
		known = append(known, other.name)
		if given == nil && other.part == Helix && (d.part == Base || d.part == Concha) {
			u.NotchFor = append(u.NotchFor, other.name)
		}
	}
	if given != nil {
		for _, item := range given.items {
			if !slices.Contains(known, item.text) {
				b.faults.faultAt(item, fmt.Sprintf("no other unit is named %q", item.text), knownWords(item.text, known))
				continue
			}
			u.NotchFor = append(u.NotchFor, item.text)
		}
	}
	if given != nil || len(u.NotchFor) > 0 {
		d.scope.record("notches", u.NotchFor, given, Default, ourChoice)
	}
	if len(u.NotchFor) > 0 {
		u.Clearance = d.scope.number("clearance", 0, Default, "a tight fit")
	} else if extra := d.scope.entry.field("clearance"); extra != nil {
		b.faults.faultAt(extra, "clearance without notches", "Say under notches which units are let in: "+strings.Join(known, ", "))
	}
}
