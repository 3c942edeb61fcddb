package units

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"earframe/field"
	"earframe/internal/kept"
	"earframe/template"
	"earframe/units/centreline"

	"github.com/go-gl/mathgl/mgl64"
)

// Cutting is how a unit is cut in pieces.
type Cutting struct {
	Unit   string
	Pieces []Piece        // in the order in which they are put together
	Cuts   [][]mgl64.Vec2 // between them, from edge to edge, mm
}

// Piece is one of the pieces that a unit is cut in.
type Piece struct {
	Label   string           // beside the unit's: "upper piece", "piece 1 of 3"
	Outline template.Outline // where it belongs in the unit, mm
	Ribs    []int            // that it comes from
}

// InPieces returns the plan with the pieces of cut units in their place, each a unit
// of its own: the unit's solid within a curtain through the cut. Its other units are
// the plan's own, and so are their solids; the letters are left out.
func (p *Plan) InPieces(ctx context.Context, cuttings []Cutting) (*Plan, error) {
	solids, err := p.Solids(ctx)
	if err != nil {
		return nil, err
	}
	cut := *p
	cut.Units, cut.made = nil, &made{}
	var all []Solid
	names := map[string][]string{} // of what a unit is cut in
	for _, s := range solids {
		i := slices.IndexFunc(cuttings, func(c Cutting) bool { return c.Unit == s.Unit.Name })
		if i < 0 {
			all = append(all, s)
			continue
		}
		for k, piece := range cuttings[i].Pieces {
			of, err := s.piece(piece, p.pieceName(s.Unit, piece, k))
			if err != nil {
				return nil, err
			}
			names[s.Unit.Name] = append(names[s.Unit.Name], of.Unit.Name)
			all = append(all, of)
		}
	}
	for i := range all {
		all[i].Unit = all[i].Unit.fitTo(p, names)
		cut.Units = append(cut.Units, all[i].Unit)
	}
	cut.made.solids.value, cut.made.solids.done = all, true
	return &cut, nil
}

// pieceName returns a name that no unit has for the piece of that index: base-upper,
// or base-1 where its label begins with no word of its own.
func (p *Plan) pieceName(u *Unit, piece Piece, index int) string {
	word, _, _ := strings.Cut(piece.Label, " ")
	if word == pieceWord {
		word = fmt.Sprint(index + 1)
	}
	name := u.Name + "-" + word
	for p.Unit(name) != nil {
		name += "-" + pieceWord
	}
	return name
}

const pieceWord = "piece"

// curtainBeyond is how far in mm a curtain stands out above and beneath a unit.
const curtainBeyond = 1.0

// Curtain returns what lies within an outline, seen from the side, as high as the solid.
func Curtain(solid field.Field, o template.Outline) (field.Field, error) {
	region, err := template.Region(o)
	if err != nil {
		return nil, err
	}
	box := solid.Bounds()
	return field.NewPrism(field.Prism{Region: region, Underside: field.Level(box.Min[2] - curtainBeyond),
		Thickness: field.Level(box.Max[2] - box.Min[2] + 2*curtainBeyond)})
}

// piece returns one piece of the solid.
func (s Solid) piece(piece Piece, name string) (Solid, error) {
	curtain, err := Curtain(s.Field, piece.Outline)
	if err != nil {
		return Solid{}, fmt.Errorf("unit %s, %s: %w", s.Unit.Name, piece.Label, err)
	}
	u := *s.Unit
	u.Whole, u.Name, u.Label, u.Ribs = s.Unit, name, u.Label+", "+piece.Label, piece.Ribs
	u.Outlines, u.Pieces, u.Cuts = []template.Outline{piece.Outline}, 0, nil
	u.Centreline = s.Unit.centrelineOf(piece.Outline)
	return Solid{
		Unit: &u, Field: field.Intersection(s.Field, curtain), Drawn: field.Intersection(s.Drawn, curtain),
		Key: kept.KeyOf(s.Key, outlinesKey(u.Outlines)),
	}, nil
}

// centrelineOf returns the centreline of a part of the unit, in the unit's own
// direction; nil if the unit has none, or the part is no strip.
func (u *Unit) centrelineOf(o template.Outline) *centreline.Line {
	if u.Centreline == nil {
		return nil
	}
	line, err := centreline.New(o)
	if err != nil {
		return nil
	}
	first, _ := u.Centreline.Nearest(line.At(0))
	if last, _ := u.Centreline.Nearest(line.At(1)); last < first {
		return line.Reversed()
	}
	return line
}

// fitTo returns the unit with the notches and recesses that it has as a piece, named
// as its neighbours are cut; the unit itself if neither it nor they are.
func (u *Unit) fitTo(whole *Plan, names map[string][]string) *Unit {
	isCut := func(name string) bool { return names[name] != nil }
	if u.Whole == nil && !slices.ContainsFunc(u.NotchFor, isCut) {
		return u
	}
	fitted := *u
	fitted.NotchFor, fitted.Recesses = nil, nil
	for _, name := range u.NotchFor {
		neighbour := whole.Unit(name)
		switch {
		case neighbour == nil || !over(u.Outlines, neighbour.Outlines):
		case isCut(name):
			fitted.NotchFor = append(fitted.NotchFor, names[name]...)
		default:
			fitted.NotchFor = append(fitted.NotchFor, name)
		}
	}
	for _, r := range u.Recesses {
		if over(u.Outlines, r.Outlines) {
			fitted.Recesses = append(fitted.Recesses, r)
		}
	}
	return &fitted
}

// over reports whether outlines lie over others, as far as their corners tell.
func over(a, b []template.Outline) bool {
	within := func(corners, of []template.Outline) bool {
		for _, o := range of {
			for _, q := range corners {
				if slices.ContainsFunc(q.Outer, o.Outer.Contains) {
					return true
				}
			}
		}
		return false
	}
	return within(a, b) || within(b, a)
}
