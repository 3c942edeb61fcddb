package kit

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"earframe/assemble"
	"earframe/field"
	"earframe/mesh"
	"earframe/mesh/contour"
	"earframe/mesh/simplify"
	"earframe/units"
)

// fit puts the pieces in order and takes room for their neighbours out of them.
func (k *Kit) fit(ctx context.Context, f *assemble.Framework) error {
	order := f.InOrder()
	for i, p := range order {
		piece := Print{Order: i + 1, Name: p.Unit.Name, Unit: p.Unit, plain: p.Solid}
		var seated []*assemble.Piece
		for j, other := range order {
			gives := j > i && givesWay(p.Unit, other.Unit) || j < i && !givesWay(other.Unit, p.Unit)
			if gives && k.near(f, p, other) {
				seated = append(seated, other)
				piece.GivesWay = append(piece.GivesWay, other.Unit.Name)
			}
		}
		if err := k.makeRoom(ctx, &piece, seated, f.Plan); err != nil {
			return err
		}
		piece.Solid = piece.plain
		k.Pieces = append(k.Pieces, piece)
	}
	return nil
}

// givesWay reports whether the first of two pieces, which comes before the
// second in the order of assembly, is the one that room is taken from: it is
// unless only the second has a notch for it.
func givesWay(earlier, later *units.Unit) bool {
	return !slices.Contains(later.NotchFor, earlier.Name) || slices.Contains(earlier.NotchFor, later.Name)
}

// makeRoom takes room for its neighbours out of a piece.
func (k *Kit) makeRoom(ctx context.Context, p *Print, seated []*assemble.Piece, plan *units.Plan) error {
	if len(seated) == 0 {
		return nil
	}
	var rooms []field.Field
	for i, s := range seated {
		if k.Clearance == 0 {
			rooms = append(rooms, s.Solid)
			continue
		}
		room, err := newAround(ctx, s.Solid, s.Mesh, k.Clearance, plan.Step)
		if err != nil {
			return err
		}
		rooms = append(rooms, room)
		var others []*units.Unit
		for j, o := range seated {
			if j != i && p.carries(o.Unit) == p.carries(s.Unit) {
				others = append(others, o.Unit)
			}
		}
		thin, err := k.newSliver(p, s.Unit, others, plan)
		if err != nil {
			return err
		}
		rooms = append(rooms, thin)
	}
	p.room = field.Union(rooms...)
	p.plain = field.Difference(p.plain, p.room)
	return nil
}

// near reports whether two pieces are nearer to one another than the clearance,
// to a sampling error, as the framework's contacts were measured.
func (k *Kit) near(f *assemble.Framework, a, b *assemble.Piece) bool {
	for _, c := range f.Contacts {
		if c.A == a.Unit.Name && c.B == b.Unit.Name || c.A == b.Unit.Name && c.B == a.Unit.Name {
			return c.Area > 0 || c.Depth > 0 || c.Gap < k.Clearance+signSlack
		}
	}
	return false
}

// print makes the piece's mesh and finds the pose in which it prints.
func (p *Print) print(ctx context.Context, plan *units.Plan) error {
	var err error
	if p.Mesh, p.Verdict, err = p.surface(ctx, p.Solid, plan); err != nil {
		return fmt.Errorf("kit: %s: %w", p.Name, p.adviceFor(ctx, plan, err))
	}
	if p.Pose, err = p.pose(ctx, plan); err != nil {
		return err
	}
	return p.lieDown(ctx, plan)
}

const (
	lessRoom  = "give a smaller kit.clearance, or a thicker unit"
	lessHoles = "leave out fixation.hole and drill by hand after printing"
)

var errNothingLeft = errors.New("nothing is left of it")

// adviceFor adds to the error what to do about a print of which nothing is left.
func (p *Print) adviceFor(ctx context.Context, plan *units.Plan, err error) error {
	if !errors.Is(err, errNothingLeft) {
		return err
	}
	if p.drill != nil {
		if _, err := p.undrilled(ctx, plan); err == nil {
			advice, err := p.narrowerHoles(ctx, plan, math.MaxInt)
			if err != nil {
				return err
			}
			return fmt.Errorf("%w between the holes drilled through it: %s", errNothingLeft, advice)
		}
	}
	return fmt.Errorf("%w: %s", err, lessRoom)
}

// undrilled judges the piece as it would be without holes.
func (p *Print) undrilled(ctx context.Context, plan *units.Plan) (mesh.Verdict, error) {
	bare := *p
	_, verdict, err := bare.surface(ctx, p.plain, plan)
	return verdict, err
}

// narrowerHoles says what to do about holes that leave too little: to drill by hand, or,
// where a narrower one leaves the print in at most so many pieces, how wide it may be.
func (p *Print) narrowerHoles(ctx context.Context, plan *units.Plan, pieces int) (string, error) {
	hole := plan.Practice.Fixation.Hole
	tenths := sort.Search(int(math.Ceil(10*hole))-1, func(i int) bool {
		drill := field.Offset(p.drill, (float64(i+1)/10-hole)/2)
		bare := *p
		_, verdict, err := bare.surface(ctx, field.Difference(p.plain, drill), plan)
		return err != nil || len(verdict.Shells)-verdict.Cavities > pieces
	})
	if tenths <= 0 {
		return lessHoles, ctx.Err()
	}
	return fmt.Sprintf("%s, or give fixation.hole %.1f mm or less", lessHoles, float64(tenths)/10), ctx.Err()
}

// step is the sampling step of the piece's mesh: the plan's, or the clearance if
// that is less, since the edges of a seat are as high as the clearance. Half the
// plan's step is as fine as it gets: finer than that no hand feels a seat.
func (p *Print) step(plan *units.Plan) float64 {
	if p.room == nil {
		return plan.Step
	}
	return max(min(plan.Step, plan.Practice.Kit.Clearance), plan.Step/2)
}

// surface contours, simplifies and judges a solid.
func surface(ctx context.Context, solid field.Field, step, tolerance float64) (*mesh.Mesh, mesh.Verdict, error) {
	m, err := contour.Of(ctx, solid, contour.Options{Step: step})
	if err != nil {
		return nil, mesh.Verdict{}, err
	}
	if len(m.Triangles) == 0 {
		return nil, mesh.Verdict{}, errNothingLeft
	}
	return simplify.Judged(ctx, m, simplify.Options{Tolerance: tolerance})
}
