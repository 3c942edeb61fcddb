package budget

import (
	"fmt"
	"math"
	"strings"
)

// finish measures the pieces as they are laid in the end and says what was
// found.
func (c *checker) finish() (*Budget, error) {
	b := &Budget{Notes: notes(c.plan)}
	for _, p := range c.table.pieces {
		found, err := c.piece(p)
		if err != nil {
			return nil, err
		}
		if p.further {
			b.Casts = append(b.Casts, found)
		} else {
			b.Pieces = append(b.Pieces, found)
		}
	}
	b.Enough = true
	var lacking, casts []string
	for i := range c.done {
		if err := c.settleUp(&c.done[i]); err != nil {
			return nil, err
		}
		u := c.done[i].result
		b.Units = append(b.Units, u)
		switch {
		case !u.Works():
			b.Enough = false
			lacking = append(lacking, strings.ToLower(u.Label))
		case u.Taken >= 0 && u.Alternatives[u.Taken].ExtraCasts > 0:
			b.Enough = false
			casts = append(casts, strings.ToLower(u.Label))
		}
		b.Findings = append(b.Findings, c.findings(u)...)
	}
	switch {
	case len(lacking) > 0:
		b.Text = fmt.Sprintf("The cartilage does not suffice: %s cannot be had from it", strings.Join(lacking, ", "))
	case len(casts) > 0:
		b.Text = fmt.Sprintf("The cartilage at hand does not suffice: %s needed for %s", moreCasts(len(b.Casts)),
			strings.Join(casts, ", "))
	default:
		b.Text = "The cartilage at hand suffices"
	}
	return b, nil
}

// moreCasts says a number of further casts.
func moreCasts(n int) string {
	if n == 1 {
		return "one more cast is"
	}
	return fmt.Sprintf("%d more casts are", n)
}

// piece returns the piece with what is laid in it.
func (c *checker) piece(p *piece) (Nesting, error) {
	found := Nesting{
		Name: p.stock.Name, Label: p.stock.title(), Ribs: p.stock.Ribs,
		Area: p.shape.outline.Area(), Outline: p.stock.Outline, Placements: []Placement{},
	}
	if len(p.laid) > 1 {
		if err := c.table.measure(p); err != nil {
			return Nesting{}, err
		}
	}
	for _, l := range p.laid {
		found.Placements = append(found.Placements, l.placement(p, false))
		found.Used += l.shape.outline.Area()
	}
	for _, l := range p.behind {
		found.Placements = append(found.Placements, l.placement(p, true))
	}
	r, err := c.table.room(p, c.thinnest(), p.laid)
	if err != nil {
		return Nesting{}, err
	}
	left := r.measure()
	found.Left, found.Largest, found.Roundest = left.area, left.largest, left.roundest
	var units []string
	for _, l := range found.Placements {
		units = append(units, fmt.Sprintf("%s %s", strings.TrimSpace(l.Unit+" "+l.Part), toSpare(l.Spare)))
	}
	switch {
	case len(units) == 0:
		found.Text = "nothing is carved from it"
	default:
		found.Text = strings.Join(units, "; ")
	}
	found.Text += fmt.Sprintf("; %.0f of %.0f mm² are left", math.Max(0, found.Left), found.Area)
	return found, nil
}

// thinnest returns the height of the thinnest unit, mm: a remainder is what it
// could be carved from.
func (c *checker) thinnest() float64 {
	least := math.Inf(1)
	for _, u := range c.plan.Units {
		least = math.Min(least, u.Thickness)
	}
	return least
}
