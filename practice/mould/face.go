package mould

import (
	"context"
	"fmt"
	"math"

	"earframe/field"
	"earframe/mesh"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Choosing between an open mould and one in two parts.
const (
	// faceWithin, mm, is how near to the plane of its flat face a part's surface
	// counts as lying on it: what contouring and simplification leave.
	faceWithin = 0.03

	// goodShare is the share of the part's outline, seen along the pull, that a
	// flat face must reach for the part to be cast in an open mould unasked.
	// earframe's own choice.
	goodShare = 0.5

	// leastShare is what must be flat if an open mould is asked for.
	leastShare = 0.1

	// widestLip, mm, is how far an open mould may reach over the edge of an
	// elastic cast unasked: the rounded edge of a unit. earframe's own choice.
	widestLip = 0.7

	// faceStep, mm, is between the lines on which flat faces are looked for.
	faceStep      = 0.1
	mostFaceLines = 250_000
)

// opening is a part with a flat face turned upwards.
type opening struct {
	turned bool
	level  float64 // of the flat face in the turned part's coordinates, mm
	share  float64 // of the outline
	lip    float64 // how far the mould reaches over the cast, mm
}

// openingOf returns the better of the part's two sides to be the opening of a
// mould: one that is flat enough before one that is not, then the one with the
// smaller lip, then the one with the larger flat face.
func openingOf(ctx context.Context, m *mesh.Mesh, f field.Field) (opening, error) {
	up, err := openingAt(ctx, m, f, false)
	if err != nil {
		return opening{}, err
	}
	down, err := openingAt(ctx, m, f, true)
	if err != nil {
		return opening{}, err
	}
	upFlat, downFlat := up.share >= goodShare, down.share >= goodShare
	upLip, downLip := math.Max(up.lip, leastUndercut), math.Max(down.lip, leastUndercut)
	switch {
	case upFlat != downFlat:
		if downFlat {
			return down, nil
		}
	case downLip < upLip || downLip == upLip && down.share > up.share:
		return down, nil
	}
	return up, nil
}

func openingAt(ctx context.Context, m *mesh.Mesh, f field.Field, turned bool) (opening, error) {
	as := placing{scale: 1, turned: turned}
	m = as.mesh(m)
	lying := &placed{as, f}
	_, hi := extent(m, lying)
	o := opening{turned: turned, level: hi[2]}
	nearest := faceWithin
	for _, z := range lying.Levels() {
		if off := math.Abs(z - hi[2]); off < nearest {
			o.level, nearest = z, off
		}
	}
	c, err := columnsOf(ctx, m, faceStep, 2*faceStep, mostFaceLines)
	if err != nil {
		return opening{}, err
	}
	var flat, all int
	for k, in := range c.part() {
		if in {
			all++
			spans := c.at(k)
			if spans[len(spans)-1].High > o.level-faceWithin {
				flat++
			}
		}
	}
	if all > 0 {
		o.share = float64(flat) / float64(all)
	}
	g := c.grip("", -1, field.Level(o.level))
	far := c.distances(g.root)
	for k, blocked := range g.blocked {
		if blocked {
			o.lip = math.Max(o.lip, far[k])
		}
	}
	return o, nil
}

// extent returns the lowest and highest coordinates of a surface, mm, without
// what contouring left of it beyond the bounds of its solid.
func extent(m *mesh.Mesh, solid field.Field) (lo, hi mgl64.Vec3) {
	lo, hi = m.Bounds()
	box := solid.Bounds()
	for k := range lo {
		lo[k], hi[k] = math.Max(lo[k], box.Min[k]), math.Min(hi[k], box.Max[k])
	}
	return lo, hi
}

// chooseKind returns whether the part goes into an open mould.
func chooseKind(o opening, options Options) (open bool, err error) {
	switch options.Kind {
	case units.MouldTwoPart:
		return false, nil
	case units.MouldOpen:
		if o.share < leastShare {
			return false, fmt.Errorf("%w: its flattest side reaches %.0f percent of its outline, %.0f needed; give "+
				"casting.mould: %s or %s",
				ErrNoFlatFace, 100*o.share, 100*leastShare, units.MouldFitting, units.MouldTwoPart)
		}
		return true, nil
	}
	lip := widestLip
	if options.Cast == units.CastRigid {
		lip = leastUndercut
	}
	return o.share >= goodShare && o.lip <= lip, nil
}
