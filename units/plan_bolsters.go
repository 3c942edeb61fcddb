package units

import (
	"fmt"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/template"
	"earframe/units/casefile"
)

// Places where a bolster can lie by anatomy.
const (
	BolsterScapha = "scapha"
	BolsterFossa  = "fossa"
	BolsterConcha = "concha"
	BolsterRim    = "rim" // the foot of the rim
)

// Bolster is a soft roll tied down on the skin.
type Bolster struct {
	Where    string       // one of the places, or the id of a line of the drawing
	Diameter float64      // mm
	Line     []mgl64.Vec2 // that is drawn, mm; nil for a place
	Key      string       // its entry in the case file
}

// readBolsters reads where bolsters are laid. A place that the frame does not have
// is left to the check of the pocket; a line that is not drawn is a fault.
func (p *planner) readBolsters() {
	s := p.Root().Into("pocket")
	given := s.Entry.Field("bolsters")
	if given == nil {
		return
	}
	seen := map[string]bool{}
	for _, item := range given.Items {
		where := item.Field("where")
		if seen[where.Text] {
			p.Fault(item, fmt.Sprintf("a second bolster along %s", where.Text), "Give each place or line one entry")
			continue
		}
		seen[where.Text] = true
		in := s.Item("bolsters", where.Text, item)
		b := Bolster{Where: in.Word("where"), Diameter: in.Number("diameter"), Key: in.Path}
		if !b.byAnatomy() {
			b.Line = p.bolsterLine(where)
		}
		p.Pocket.Bolsters = append(p.Pocket.Bolsters, b)
	}
}

func (b Bolster) byAnatomy() bool {
	switch b.Where {
	case BolsterScapha, BolsterFossa, BolsterConcha, BolsterRim:
		return true
	}
	return false
}

// bolsterLine returns the drawing's line of that id, nil with a fault if there is
// none.
func (p *planner) bolsterLine(where *casefile.Entry) []mgl64.Vec2 {
	known := []string{BolsterScapha, BolsterFossa, BolsterConcha, BolsterRim}
	for _, line := range p.Sheet.Lines {
		if line.Mark != template.BolsterMark {
			continue
		}
		if line.ID == where.Text {
			return line.Points
		}
		known = append(known, line.ID)
	}
	p.Fault(where, fmt.Sprintf("the template has no line of a bolster %q", where.Text), casefile.Known(where.Text, known)+
		". A line's id begins with bolster, such as bolster-1")
	return nil
}
