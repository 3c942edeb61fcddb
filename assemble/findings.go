package assemble

import (
	"fmt"
	"math"
	"strings"

	"earframe/mesh/wall"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

const (
	// deepestOverlap is how far, in mm, units may reach into one another
	// outside a declared notch before it is an error: what a file takes off.
	deepestOverlap = 0.3

	// leastContact is the area in mm² below which a unit rests on nothing.
	leastContact = 0.5

	// crumbReach is how far, in mm, from its thinnest place what a notch leaves may
	// stay too thin and be a crumb yet: the size of a few nozzle's widths. Common
	// practice, no source.
	crumbReach = 2

	// wallWorth is how well, in mm, a wall is measured (package wall): a crumb that
	// lacks less than that is not worth a word, since nothing hangs on it.
	wallWorth = 0.05

	// leastHollow is the volume in mm³ from which a hollow is more than a bubble
	// of the sampling: a step's cube many times over at any step allowed.
	leastHollow = 1

	// outsideSlack is how far, in mm, an outline may pass the ear's before it
	// is said: the flattening tolerance of both.
	outsideSlack = 0.05
)

// inspect returns what is to be minded about the assembled units.
func (f *Framework) inspect() []units.Finding {
	var found []units.Finding
	found = append(found, f.broken()...)
	found = append(found, f.loose()...)
	found = append(found, f.overlaps()...)
	found = append(found, f.thinWalls()...)
	found = append(found, f.hollows()...)
	found = append(found, f.outsideEar()...)
	if f.Joined != nil {
		found = append(found, f.joined()...)
	}
	return found
}

// joined says what is to be minded about the units as one solid.
func (f *Framework) joined() []units.Finding {
	var found []units.Finding
	if pieces := len(f.Joined.Verdict.Shells) - f.Joined.Verdict.Cavities; pieces > 1 {
		found = append(found, units.Finding{
			Rule: "framework-in-pieces", Severity: units.Error,
			Message: fmt.Sprintf("the joined framework falls into %d pieces", pieces),
			Value:   float64(pieces), Limit: 1, Measure: "pieces",
			Advice: "Bring the loose units into contact, or print the units one by one.",
		})
	}
	if cavities := f.Joined.Verdict.Cavities; cavities > 0 {
		found = append(found, units.Finding{
			Rule: "framework-encloses-hollows", Severity: units.Note,
			Message: fmt.Sprintf("the joined framework encloses %d hollow spaces where units bridge a groove", cavities),
			Value:   float64(cavities), Measure: "cavities",
			Advice: "Uncured resin stays in them: print the units one by one, or drain them.",
		})
	}
	return found
}

// broken finds units that are in more pieces than were drawn: a neck thinner
// than the sampling step parts, and has no wall to be measured any more.
func (f *Framework) broken() []units.Finding {
	var found []units.Finding
	for i := range f.Pieces {
		p := &f.Pieces[i]
		pieces, drawn := len(p.Verdict.Shells)-p.Verdict.Cavities, len(p.Unit.Outlines)
		if pieces <= drawn {
			continue
		}
		found = append(found, units.Finding{
			Rule: "unit-in-pieces", Severity: units.Error, Unit: p.Unit.Name,
			Message: fmt.Sprintf("it falls into %d pieces where %d were drawn", pieces, drawn),
			Value:   float64(pieces), Limit: float64(drawn), Measure: "pieces",
			Advice: fmt.Sprintf("Widen its narrowest neck, make a recess or notch shallower there, or sample finer than %g "+
				"mm.", f.Plan.Step),
		})
	}
	return found
}

// loose finds units that rest on nothing.
func (f *Framework) loose() []units.Finding {
	if len(f.Pieces) < 2 {
		return nil
	}
	var found []units.Finding
	for i := range f.Pieces {
		name := f.Pieces[i].Unit.Name
		area := 0.0
		var nearest *Contact
		for k := range f.Contacts {
			c := &f.Contacts[k]
			if c.A != name && c.B != name {
				continue
			}
			area += c.Area
			if c.Depth > 0 { // sunk in: it holds, whatever else is said of it
				area += leastContact
			}
			if nearest == nil || c.Gap < nearest.Gap {
				nearest = c
			}
		}
		if area >= leastContact {
			continue
		}
		other := nearest.A
		if other == name {
			other = nearest.B
		}
		found = append(found, units.Finding{
			Rule: "unit-touches-nothing", Severity: units.Error, Unit: name, At: nearest.GapAt,
			Message: fmt.Sprintf("it touches nothing; %s is nearest, %.2f mm away", other, nearest.Gap),
			Value:   nearest.Gap, Limit: 0, Measure: "mm",
			Advice: "Change its rise so that it rests on its neighbour, or its outline so that it reaches it.",
		})
	}
	return found
}

// overlaps finds units that claim the same space.
func (f *Framework) overlaps() []units.Finding {
	var found []units.Finding
	for _, c := range f.Contacts {
		if c.Depth <= deepestOverlap {
			continue
		}
		oneUnit := ""
		if f.Plan.Unit(c.A).Part == f.Plan.Unit(c.B).Part {
			oneUnit = ", or make one unit of the outlines of both"
		}
		found = append(found, units.Finding{
			Rule: "units-overlap", Severity: units.Error, Unit: c.B, At: c.DepthAt,
			Message: fmt.Sprintf("it reaches %.2f mm into %s (%.1f mm³) outside a declared notch", c.Depth, c.A, c.Volume),
			Value:   c.Depth, Limit: deepestOverlap, Measure: "mm",
			Advice: fmt.Sprintf("Raise it by %.2f mm there, draw the outlines apart, or let it in with notches: [%s] under "+
				"%s%s.",
				c.Depth, c.B, c.A, oneUnit),
		})
	}
	return found
}

// thinWalls finds what the printer cannot make: a wall drawn so, a wall that
// notches leave, or a crumb beside them.
func (f *Framework) thinWalls() []units.Finding {
	limit := f.Plan.Printer.Wall
	var found []units.Finding
	for i := range f.Pieces {
		p := &f.Pieces[i]
		if w := p.Walls.Drawn; w != nil && w.Thickness < limit {
			at := w.At
			found = append(found, units.Finding{
				Rule: "wall-too-thin", Severity: units.Error, Unit: p.Unit.Name, At: &at,
				Message: fmt.Sprintf("its thinnest wall is %.2f mm, as drawn; a %s printer makes %.2f mm and more",
					w.Thickness, f.Plan.Printer.Name, limit),
				Value: w.Thickness, Limit: limit, Measure: "mm",
				Advice: fmt.Sprintf("Widen or thicken it there by %.2f mm, make its recess shallower, or choose a finer printer.",
					limit-w.Thickness),
			})
		}
		w := p.Walls.Cut
		if w != nil && w.Thickness < limit && !(w.Extent <= crumbReach && w.Thickness > limit-wallWorth) {
			found = append(found, f.leftByNotch(p, w))
		}
	}
	return found
}

// leftByNotch returns what to say of a wall that notches leave too thin.
func (f *Framework) leftByNotch(p *Piece, w *wall.Wall) units.Finding {
	notches := strings.Join(p.Unit.NotchFor, " and ")
	printer, at := f.Plan.Printer, w.At
	if w.Extent <= crumbReach {
		return units.Finding{
			Rule: "notch-leaves-crumb", Severity: units.Warning, Unit: p.Unit.Name, At: &at,
			Message: fmt.Sprintf("the notch for %s leaves a crumb of it, %.2f mm thin and within %.1f mm of there; a %s "+
				"printer makes %.2f mm and more",
				notches, w.Thickness, w.Extent, printer.Name, printer.Wall),
			Value: w.Thickness, Limit: printer.Wall, Measure: "mm",
			Advice: "It is left out in printing or breaks off, and nothing hangs on it. " +
				"To be rid of it, draw the outlines so that the notch ends outside the unit or farther within.",
		}
	}
	return units.Finding{
		Rule: "notch-leaves-thin-wall", Severity: units.Error, Unit: p.Unit.Name, At: &at,
		Message: fmt.Sprintf("the notch for %s leaves it a wall of %.2f mm; a %s printer makes %.2f mm and more",
			notches, w.Thickness, printer.Name, printer.Wall),
		Value: w.Thickness, Limit: printer.Wall, Measure: "mm",
		Advice: fmt.Sprintf("Let %s in less deep or farther from the edge, make %s thicker or wider there by %.2f mm, or "+
			"choose a finer printer.",
			notches, p.Unit.Name, printer.Wall-w.Thickness),
	}
}

// hollows finds spaces within units that nothing can get into or out of, and says
// all of a unit at once, where the largest is.
func (f *Framework) hollows() []units.Finding {
	var found []units.Finding
	for i := range f.Pieces {
		p := &f.Pieces[i]
		count, all, largest, at := 0, 0.0, 0.0, mgl64.Vec3{}
		for _, shell := range p.Verdict.Shells {
			if !shell.Cavity {
				continue
			}
			count++
			all -= shell.Volume
			if -shell.Volume > largest || count == 1 {
				largest, at = -shell.Volume, shell.At
			}
		}
		if count == 0 {
			continue
		}
		severity := units.Error
		if largest < leastHollow {
			severity = units.Warning
		}
		message := fmt.Sprintf("it encloses a hollow of %.2f mm³", largest)
		if count > 1 {
			message = fmt.Sprintf("it encloses %d hollows of %.2f mm³ in all, the largest %.2f mm³", count, all, largest)
		}
		advice := "Make the recess there less deep or open to a side: nothing gets into it, and uncured resin stays in it."
		if len(p.Unit.NotchFor) > 0 {
			notches := strings.Join(p.Unit.NotchFor, " or ")
			message += fmt.Sprintf(": the notch for %s does not come out there, so that it cannot be let in", notches)
			advice = fmt.Sprintf("Make %s thicker, or give it more rise, so that it stands out of %s; take %s out of the "+
				"notches of %s if they are to be one.",
				notches, p.Unit.Name, notches, p.Unit.Name)
		}
		found = append(found, units.Finding{
			Rule: "unit-encloses-hollow", Severity: severity, Unit: p.Unit.Name, At: &at, Message: message,
			Value: largest, Limit: leastHollow, Measure: "mm³", Advice: advice,
		})
	}
	return found
}

// outsideEar finds units that reach beyond the ear's outline.
func (f *Framework) outsideEar() []units.Finding {
	var ears []template.Outline
	for _, o := range f.Plan.Outlines {
		if o.Part == "ear" {
			ears = append(ears, o.Filled())
		}
	}
	if len(ears) == 0 {
		return nil
	}
	ear, err := template.Region(ears...)
	if err != nil {
		return []units.Finding{{
			Rule: "ear-not-measurable", Severity: units.Error,
			Message: fmt.Sprintf("the ear outline cannot be measured: %v", err),
		}}
	}
	var found []units.Finding
	for i := range f.Pieces {
		u := f.Pieces[i].Unit
		farthest, at := math.Inf(-1), mgl64.Vec2{}
		for _, o := range u.Outlines {
			for _, p := range o.Outer {
				if d := ear.Distance(p); d > farthest {
					farthest, at = d, p
				}
			}
		}
		if farthest <= outsideSlack {
			continue
		}
		found = append(found, units.Finding{
			Rule: "unit-outside-ear", Severity: units.Error, Unit: u.Name, At: &mgl64.Vec3{at[0], at[1], u.Rise.Height},
			Message: fmt.Sprintf("it reaches %.2f mm beyond the ear's outline", farthest),
			Value:   farthest, Limit: 0, Measure: "mm",
			Advice: "Draw it inside the ear outline, or draw the ear outline where the skin is to end.",
		})
	}
	return found
}
