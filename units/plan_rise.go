package units

import (
	"fmt"
	"math"

	"earframe/template"
	"earframe/units/casefile"
	"earframe/units/centreline"
	"earframe/units/parts"
)

// readRise reads the height of a unit's underside.
func (b *unitBuilder) readRise(d draft, u *Unit) {
	given := d.scope.Entry.Field("rise")
	if given == nil {
		b.standardRise(d, u)
		return
	}
	if given.Items == nil {
		u.Rise.Height = given.Number
		d.scope.Record("rise", u.Rise.Height, given, "")
		return
	}
	for _, item := range given.Items {
		point := RisePoint{item.Field("at").Number, item.Field("height").Number}
		if last := len(u.Rise.Profile) - 1; last >= 0 && point.At <= u.Rise.Profile[last].At {
			b.Fault(item, fmt.Sprintf("at %s comes after at "+
				"%s", casefile.Plain(point.At), casefile.Plain(u.Rise.Profile[last].At)),
				"Give the points in order from the first end, 0, to the other, 1")
			return
		}
		u.Rise.Profile = append(u.Rise.Profile, point)
	}
	d.scope.Record("rise", u.Rise.Profile, given, "")
	if u.Centreline == nil {
		b.Fault(given, "a profile follows the centreline, and "+whyNoCentreline(u),
			"Give one number, or make a unit of each outline that is a strip")
	}
}

func whyNoCentreline(u *Unit) string {
	if len(u.Outlines) > 1 {
		return fmt.Sprintf("%s is made of %d outlines", u.Name, len(u.Outlines))
	}
	_, err := centreline.New(u.Outlines[0])
	return fmt.Sprint(err)
}

// standardRise lays the unit where its part belongs: the base on the plane of
// heights, the conchal vault under it, everything else on it.
func (b *unitBuilder) standardRise(d draft, u *Unit) {
	note, place := "lies on the base frame", d.part.Row().Place
	switch {
	case place == parts.OnPlane:
		note = "heights are counted from its underside"
	case place == parts.UnderBase:
		u.Rise.Height = -u.Thickness
		note = "closes the concha from under the base frame"
	case place == parts.AlongRim && u.Centreline != nil && len(b.base) > 0:
		u.Rise.Profile = helixProfile(u.Centreline, b.base, b.crusHeight(), b.top)
		d.scope.RecordAs("rise", u.Rise.Profile, UnsourcedDefault, "crus dips into the concha, rim on the base frame, tail "+
			"let in; the root is where the base frame begins to carry it on the template")
		return
	default:
		u.Rise.Height = b.top
		if place == parts.AlongRim && len(b.base) > 0 {
			b.Findings = append(b.Findings, Finding{
				Rule: "unit-laid-level", Severity: Note, Unit: u.Name,
				Message: "laid level on the base frame: " + whyNoCentreline(u),
				Advice:  "Draw the helix as one strip from its crus to its tail",
			})
		}
	}
	origin := UnsourcedDefault
	if place == parts.OnPlane {
		origin = Default
	}
	d.scope.RecordAs("rise", u.Rise.Height, origin, note)
}

// crusHeight returns the default height of the underside of the crus's end: in
// the conchal vault if there is one, leaving a floor under it.
func (b *unitBuilder) crusHeight() float64 {
	for _, d := range b.drafts {
		if d.part == Concha {
			thickness := Concha.Row().Thickness
			if given := d.scope.Entry.Field("thickness"); given != nil {
				thickness = given.Number
			}
			return -math.Max(thickness-crusFloor, thickness/2)
		}
	}
	return -crusDip
}

// oriented returns the centreline from its first end. A helix begins at its
// crus: at the end nearer to the concha, or without one, deeper inside the ear
// or the base frame. Everything else begins at its lower end, and if it lies
// level (less than a tenth of its length between the ends) at the anterior one.
func (b *unitBuilder) oriented(line *centreline.Line, part Part) *centreline.Line {
	start, end := line.At(0), line.At(1)
	if part == Helix {
		for _, around := range []string{string(Concha), "ear", string(Base)} {
			first, last := math.Inf(1), math.Inf(1)
			for _, o := range outlinesOf(b.drawn, around) {
				region, err := template.Region(o.Filled())
				if err != nil {
					continue
				}
				first, last = math.Min(first, region.Distance(start)), math.Min(last, region.Distance(end))
			}
			if first < last {
				return line
			}
			if last < first {
				return line.Reversed()
			}
		}
		return line
	}
	rise := end[1] - start[1]
	if math.Abs(rise) < line.Length()/10 {
		anterior := end[0] - start[0]
		if b.Side == Right {
			anterior = -anterior
		}
		rise = anterior
	}
	if rise < 0 {
		return line.Reversed()
	}
	return line
}
