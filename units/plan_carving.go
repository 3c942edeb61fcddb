package units

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"earframe/template"
	"earframe/units/casefile"
	"earframe/units/parts"
)

func (b *unitBuilder) readEdges(d draft, u *Unit, usual parts.Row) {
	edge := d.scope.Into("edge")
	read := func(name string, radius float64) float64 {
		radius, note := limited(radius, u.Thickness)
		radius = edge.NumberOr(name, radius, note)
		if radius > u.Thickness/2 {
			b.Fault(edge.Entry.Field(name), fmt.Sprintf("found %s mm, expected at most half the thickness (%s mm)",
				casefile.Plain(radius), casefile.Plain(u.Thickness/2)), "")
		}
		return radius
	}
	u.EdgeTop = read("top", usual.EdgeTop)
	u.EdgeBottom = read("bottom", usual.EdgeBottom)
}

func (b *unitBuilder) readRecesses(d draft, u *Unit) {
	given := d.scope.Entry.Field("recesses")
	if given == nil {
		for _, name := range d.part.Row().Recesses {
			if len(b.outlinesOf(name)) > 0 {
				b.readRecess(d.scope.Item("recesses", name, nil), u, name)
			}
		}
		return
	}
	for _, item := range given.Items {
		outline := item.Field("outline")
		if len(b.recessOutlines(b.drawn, outline.Text)) == 0 {
			b.Fault(outline, fmt.Sprintf("the template has no recess %q", outline.Text),
				casefile.Known(outline.Text, slices.Concat(idsOf(b.drawn, Scapha), idsOf(b.drawn, Fossa))))
			continue
		}
		b.readRecess(d.scope.Item("recesses", outline.Text, item), u, outline.Text)
	}
}

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

func (b *unitBuilder) readRecess(s casefile.Section, u *Unit, name string) {
	r := Recess{Name: name, Outlines: b.recessOutlines(b.Outlines, name)}
	depth, note := limited(s.Standard("depth"), u.Thickness)
	r.Depth = s.NumberOr("depth", depth, note)
	wall := s.Number("wall")
	r.Wall = wall * math.Pi / 180
	if r.Depth >= u.Thickness {
		b.Fault(s.Entry.Field("depth"), fmt.Sprintf("found %s mm, expected less than the thickness (%s "+
			"mm)", casefile.Plain(r.Depth), casefile.Plain(u.Thickness)), "")
	}
	if len(r.Outlines) > 0 {
		u.Recesses = append(u.Recesses, r)
	}
}

func (b *unitBuilder) readRibs(d draft, u *Unit, usual parts.Row) {
	u.Ribs = usual.Ribs
	given := d.scope.Entry.Field("ribs")
	if given != nil {
		u.Ribs = nil
		for _, item := range given.Items {
			u.Ribs = append(u.Ribs, int(item.Number))
		}
	}
	if u.Ribs == nil {
		d.scope.Record("ribs", "remainder", nil, "")
		return
	}
	d.scope.Record("ribs", u.Ribs, given, "")
}

// readNotches reads which units are let into this one: by default the helix
// into the base frame and the conchal vault.
func (b *unitBuilder) readNotches(d draft, u *Unit) {
	given := d.scope.Entry.Field("notches")
	var known []string
	for _, other := range b.drafts {
		if other.name == d.name {
			continue
		}
		known = append(known, other.name)
		if given == nil && slices.Contains(d.part.Row().LetIn, other.part) {
			u.NotchFor = append(u.NotchFor, other.name)
		}
	}
	if given != nil {
		for _, item := range given.Items {
			if !slices.Contains(known, item.Text) {
				b.Fault(item, fmt.Sprintf("no other unit is named %q", item.Text), casefile.Known(item.Text, known))
				continue
			}
			u.NotchFor = append(u.NotchFor, item.Text)
		}
	}
	if given != nil || len(u.NotchFor) > 0 {
		d.scope.Record("notches", u.NotchFor, given, "")
	}
	if len(u.NotchFor) > 0 {
		u.Clearance = d.scope.Number("clearance")
	} else if extra := d.scope.Entry.Field("clearance"); extra != nil {
		b.Fault(extra, "clearance without notches", "Say under notches which units are let in: "+strings.Join(known, ", "))
	}
}
