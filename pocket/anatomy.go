package pocket

import (
	"math"
	"strings"

	"earframe/field"
	"earframe/membrane"
	"earframe/template"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Names of places.
const (
	scapha     = "scapha"
	fossa      = "triangular fossa"
	concha     = "concha"
	helix      = "helix"
	antihelix  = "antihelix fold"
	tragus     = "tragus"
	aboveCrus  = "concha above the crus"
	belowCrus  = "concha below the crus"
	behindCrus = "concha behind the crus"
	onFrame    = "on the base frame"
	above      = "above the rim"
	below      = "below the frame"
	behind     = "behind the rim"
	inFront    = "in front of the frame"
	allRound   = "all round the foot of the frame"
)

// hollow is a named groove, seen from outside.
type hollow struct {
	name   string
	region *field.Region
	unit   string // that it is carved into
}

// anatomy knows where the places of an ear are on a plan.
type anatomy struct {
	hollows  []hollow // scapha, triangular fossa, concha: those that there are
	ridges   []hollow // helix, antihelix fold
	tragus   []hollow // as a place; its relief is not asked for
	outer    []*field.Region
	centre   mgl64.Vec2
	extent   mgl64.Vec2  // half size of the framework, mm
	crus     *mgl64.Vec2 // end of the helix's crus, if it lies in the concha
	backward float64     // 1 if posterior is at +x, else -1
}

func newAnatomy(plan *units.Plan) (*anatomy, error) {
	a := &anatomy{backward: 1}
	if plan.Side == units.Right {
		a.backward = -1
	}
	for _, u := range plan.Units {
		if err := a.addUnit(u); err != nil {
			return nil, err
		}
	}
	a.measure()
	for _, u := range plan.Units {
		if u.Part == units.Helix && u.Centreline != nil {
			end := u.Centreline.At(0)
			if h := a.hollow(concha); h != nil && h.region.Distance(end) < 0 {
				a.crus = &end
			}
		}
	}
	return a, nil
}

// addUnit takes in a unit's outlines, its grooves, or itself as a ridge.
func (a *anatomy) addUnit(u *units.Unit) error {
	for _, o := range u.Outlines {
		region, err := field.NewRegion(o.Outer)
		if err != nil {
			return err
		}
		a.outer = append(a.outer, region)
	}
	for _, recess := range u.Recesses {
		name, known := map[string]string{units.Scapha: scapha, units.Fossa: fossa}[recess.Name]
		if !known {
			name = recess.Name
		}
		if err := a.add(&a.hollows, name, u.Name, recess.Outlines); err != nil {
			return err
		}
	}
	switch u.Part {
	case units.Base:
		return a.addConcha(u)
	case units.Antihelix:
		return a.add(&a.ridges, antihelix, u.Name, u.Outlines)
	case units.Helix:
		return a.add(&a.ridges, helix, u.Name, u.Outlines)
	case units.Tragus:
		return a.add(&a.tragus, tragus, u.Name, u.Outlines)
	}
	return nil
}

// addConcha finds the concha: the base frame's largest hole.
func (a *anatomy) addConcha(base *units.Unit) error {
	var holes []template.Outline
	for _, o := range base.Outlines {
		for _, hole := range o.Holes {
			turned := make(template.Ring, len(hole))
			for i, p := range hole {
				turned[len(hole)-1-i] = p
			}
			holes = append(holes, template.Outline{ID: o.ID, Outer: turned})
		}
	}
	if hole, ok := largest(holes); ok {
		return a.add(&a.hollows, concha, base.Name, []template.Outline{hole})
	}
	return nil
}

func (a *anatomy) add(to *[]hollow, name, unit string, outlines []template.Outline) error {
	var rings [][]mgl64.Vec2
	for _, o := range outlines {
		rings = append(rings, o.Rings()...)
	}
	if len(rings) == 0 {
		return nil
	}
	region, err := field.NewRegion(rings...)
	if err != nil {
		return err
	}
	for _, h := range *to {
		if h.name == name { // a part made of several units
			name += " of " + unit
			break
		}
	}
	*to = append(*to, hollow{name, region, unit})
	return nil
}

func (a *anatomy) measure() {
	low, high := mgl64.Vec2{math.Inf(1), math.Inf(1)}, mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
	for _, region := range a.outer {
		lo, hi := region.Bounds()
		for k := range lo {
			low[k], high[k] = math.Min(low[k], lo[k]), math.Max(high[k], hi[k])
		}
	}
	a.centre, a.extent = low.Add(high).Mul(0.5), high.Sub(low).Mul(0.5)
}

func (a *anatomy) hollow(name string) *hollow {
	for i := range a.hollows {
		if a.hollows[i].name == name {
			return &a.hollows[i]
		}
	}
	return nil
}

// features are the grooves and ridges whose relief is measured.
func (a *anatomy) features() []membrane.Feature {
	var features []membrane.Feature
	for _, h := range a.hollows {
		features = append(features, membrane.Feature{Name: h.name, Kind: membrane.Groove, Region: h.region})
	}
	for _, h := range a.ridges {
		features = append(features, membrane.Feature{Name: h.name, Kind: membrane.Ridge, Region: h.region})
	}
	return features
}

// besideHollow is how far, in mm, from the outline of a carved groove the frame
// still counts as its side; ours, no source.
const besideHollow = 3

// at names the place. Units that lie on the base frame come first: they hide
// parts of the grooves carved into it.
func (a *anatomy) at(p mgl64.Vec2) string {
	for _, standing := range [][]hollow{a.ridges, a.tragus} {
		for _, h := range standing {
			if h.region.Distance(p) <= 0 {
				return h.name
			}
		}
	}
	nearest, distance := "", math.Inf(1)
	for _, h := range a.hollows {
		if d := h.region.Distance(p); d < distance {
			nearest, distance = h.name, d
		}
	}
	switch {
	case distance <= 0 && nearest == concha:
		return a.inConcha(p)
	case distance <= 0:
		return nearest
	case !a.onFrame(p):
		return a.around(p)
	case a.betweenRidges(p):
		return scapha
	case distance < besideHollow && nearest != concha:
		return nearest
	}
	return onFrame
}

// betweenRidges reports whether a place on the base frame lies between helix and
// antihelix, where the scapha goes on beyond what is carved of it.
func (a *anatomy) betweenRidges(p mgl64.Vec2) bool {
	const beside = 5 // mm from either; ours, no source
	if a.hollow(scapha) == nil {
		return false
	}
	for _, name := range []string{helix, antihelix} {
		near := false
		for _, ridge := range a.ridges {
			near = near || strings.HasPrefix(ridge.name, name) && ridge.region.Distance(p) <= beside
		}
		if !near {
			return false
		}
	}
	f := a.hollow(fossa)
	return f == nil || a.hollow(scapha).region.Distance(p) < f.region.Distance(p)
}

func (a *anatomy) onFrame(p mgl64.Vec2) bool {
	for _, region := range a.outer {
		if region.Distance(p) <= 0 {
			return true
		}
	}
	return false
}

// inConcha names a place in the concha by the crus of the helix, which divides
// it.
func (a *anatomy) inConcha(p mgl64.Vec2) string {
	switch {
	case a.crus == nil:
		return concha
	case a.backward*(p[0]-a.crus[0]) > 0:
		return behindCrus
	case p[1] > a.crus[1]:
		return aboveCrus
	}
	return belowCrus
}

// around names a place beside the frame by its direction from the middle.
func (a *anatomy) around(p mgl64.Vec2) string {
	from := p.Sub(a.centre)
	x, y := a.backward*from[0]/math.Max(a.extent[0], 1), from[1]/math.Max(a.extent[1], 1)
	switch {
	case math.Abs(y) >= math.Abs(x) && y > 0:
		return above
	case math.Abs(y) >= math.Abs(x):
		return below
	case x > 0:
		return behind
	}
	return inFront
}

// hollowOf returns the hollow that a named place belongs to, nil if to none.
func (a *anatomy) hollowOf(place string) *hollow {
	for i := range a.hollows {
		if strings.HasPrefix(place, a.hollows[i].name) {
			return &a.hollows[i]
		}
	}
	return nil
}
