package pocket

import (
	"context"
	"fmt"
	"math"
	"slices"

	"earframe/field"
	"earframe/internal/workers"
	"earframe/membrane"

	"github.com/go-gl/mathgl/mgl64"
)

// Measures is the pocket check in numbers: lengths mm, areas mm², volumes mm³,
// heights over the bed. The same case gives the same numbers.
type Measures struct {
	Pocket   Edge
	Bed      float64 // height of the bed in the units' coordinates
	Depth    Depth
	Demand   Demand
	Stretch  Stretch
	Contact  Contact
	Bridging Bridging
	Dead     Dead
	Relief   []Relief
	Bolsters *Bolsters // nil without any
	Solution Solution
}

// Edge is the pocket's edge.
type Edge struct {
	From string // how the edge was found
	Area float64
}

// Place is a height with where it is, and what that place is called.
type Place struct {
	Height float64
	At     mgl64.Vec2
	Name   string
}

// Depth says whether the pocket takes the frame.
type Depth struct {
	Frame     Place  // highest point of the framework
	Unit      string // that stands there
	Peak      Place  // of the skin's deep surface
	Outside   float64
	BothSkins float64  // lateral and medial skin and what is between
	Available *float64 // null: not known
	Room      *float64 // less than 0: the frame stands too high
}

// Demand says how much skin the frame asks for.
type Demand struct {
	Drape   float64 // area of the skin's deep surface
	Outside float64 // of its outer surface
	Ratio   float64 // drape over pocket
	Extra   float64 // that the flaps bring
	Missing float64 // less than 0: skin is left over
	Sliding float64 // drape over pocket and extra skin: the stretch if skin slides freely
	Band    string  // of that stretch
}

// Stretch says how tight the skin is where.
type Stretch struct {
	Bands    []BandShare
	Along    []StretchShare // linear stretch along the steepest way, if skin does not slide
	Across   float64        // and square to it: 1 everywhere
	Sections []SectionStretch
	Note     string
}

// StretchShare says that a share of the pocket's area is stretched less.
type StretchShare struct {
	Share   float64
	Stretch float64
}

// BandShare is how much of the pocket falls into a band of stretch.
type BandShare struct {
	Name      string
	From      float64
	Published bool
	Source    string
	Share     float64 // of the pocket's area, if skin does not slide
}

// SectionStretch is the linear stretch of a strip of skin that slides along one
// straight section of the pocket.
type SectionStretch struct {
	Name    string
	Stretch float64
}

// Contact is shares of the pocket's area.
type Contact struct {
	OnFrame float64
	OnBed   float64
	Free    float64
}

// Relief is how much of a groove or ridge shows.
type Relief struct {
	Name    string
	Kind    string // groove or ridge
	OnFrame float64
	OnSkin  float64
	Kept    float64    // share
	Lost    float64    // share of its length along which less than half is kept
	Width   float64    // at its widest
	Reach   float64    // how far off its flanks were looked for
	At      mgl64.Vec2 // its deepest or highest section
}

// Solution says how well the drape was worked out.
type Solution struct {
	Step         float64
	Nodes        int
	Iterations   int
	Residual     float64 // the last correction
	PeakChange   float64 // against the grid before, share
	DemandChange float64
	Resolved     bool // both changed by less than 0.5 %
}

// noSliding says what the stretch map is.
const noSliding = "bands and map are of skin that does not slide over the frame; sections and the demand are of skin " +
	"that slides freely"

// measure takes down what was measured.
func (r *Result) measure(ctx context.Context) (Measures, error) {
	m := Measures{
		Bed: r.Depth.Bed, Pocket: Edge{From: r.from(), Area: r.Drape.PocketArea},
		Depth: r.depth(), Bridging: r.bridging(), Contact: Contact(r.Drape.ContactShares()), Solution: r.solution(),
	}
	parts := []func() error{
		func() (err error) { m.Relief, err = r.reliefOf(ctx, r.Drape, r.outside()); return err },
		func() (err error) { m.Bolsters, err = r.bolstersDo(ctx); return err },
		func() error { m.Stretch = r.stretch(); return nil },
		func() error { m.Dead = r.dead(); return nil },
		func() error { m.Demand = r.demand(); return nil },
	}
	err := workers.Each(ctx, "pocket: measures", len(parts), func(n int) error { return parts[n]() })
	return m, err
}

func (r *Result) from() string {
	if r.drawn() {
		return "the outline " + r.Outline.ID + " as drawn"
	}
	return fmt.Sprintf("the outline %s widened by %g mm", r.Outline.ID, r.Plan.Pocket.Margin)
}

func (r *Result) depth() Depth {
	height, at := r.Depth.Highest()
	peak := r.Drape.PeakDepth()
	d := Depth{
		Frame: Place{height, at, r.places.At(at)},
		Unit:  r.unitAt(at),
		Peak:  Place{peak.Height, peak.Where, r.places.At(peak.Where)},
	}
	d.Outside = peak.Height + r.Plan.Skin.Lateral // a ball on the highest point
	d.BothSkins = d.Outside + r.Plan.Skin.Medial
	if available := r.Plan.Pocket.Depth; available > 0 {
		room := available - max(peak.Height, height)
		d.Available, d.Room = &available, &room
	}
	return d
}

// unitAt names the unit whose top is the highest at a place.
func (r *Result) unitAt(p mgl64.Vec2) string {
	name, top := "", math.Inf(-1)
	for _, s := range r.solids {
		if spans := field.NewPlumb(s.Field).Spans(p[0], p[1]); len(spans) > 0 && spans[len(spans)-1].High > top {
			top, name = spans[len(spans)-1].High, s.Unit.Name
		}
	}
	return name
}

func (r *Result) demand() Demand {
	d, extra := r.Drape, r.Plan.Pocket.ExtraSkin
	record := Demand{
		Drape: d.DrapeArea, Outside: d.DrapeArea, Ratio: d.SkinDemand(),
		Extra: extra, Missing: d.SkinMissing(extra), Sliding: d.DrapeArea / (d.PocketArea + extra),
	}
	if r.Skin != nil {
		record.Outside = r.Skin.Area()
	}
	record.Band = bandOf(record.Sliding).Name
	return record
}

// bandOf returns the band a stretch falls into; below 1 it is the first.
func bandOf(stretch float64) membrane.Band {
	bands := membrane.Bands()
	found := bands[0]
	for _, b := range bands {
		if stretch >= b.From {
			found = b
		}
	}
	return found
}

func (r *Result) stretch() Stretch {
	record := Stretch{Note: noSliding, Across: 1, Along: r.alongShares(0.5, 0.9, 0.95, 0.99)}
	shares := r.Drape.BandShares()
	for i, b := range membrane.Bands() {
		record.Bands = append(record.Bands, BandShare{b.Name, b.From, b.Published, b.Source, shares[i]})
	}
	lo, hi := r.edge.Bounds()
	peak := r.Drape.PeakDepth().Where
	for _, s := range []struct {
		name string
		a, b mgl64.Vec2
	}{
		{"anterior to posterior through the peak", mgl64.Vec2{lo[0], peak[1]}, mgl64.Vec2{hi[0], peak[1]}},
		{"inferior to superior through the peak", mgl64.Vec2{peak[0], lo[1]}, mgl64.Vec2{peak[0], hi[1]}},
	} {
		a, b := r.withinPocket(s.a, s.b)
		stretch, err := r.Drape.SectionStretch(a, b)
		if err == nil { // a section of no length has no stretch
			record.Sections = append(record.Sections, SectionStretch{s.name, stretch})
		}
	}
	return record
}

// alongShares returns the largest linear stretch that shares of the pocket's
// area stay under.
func (r *Result) alongShares(shares ...float64) []StretchShare {
	var along []float64
	for k, s := range r.Drape.Stretches() {
		if r.Drape.Inside[k] {
			along = append(along, s.Along)
		}
	}
	slices.Sort(along)
	var found []StretchShare
	for _, share := range shares {
		found = append(found, StretchShare{share, along[int(share*float64(len(along)-1))]})
	}
	return found
}

// withinPocket shortens a section to where it enters and leaves the pocket.
func (r *Result) withinPocket(a, b mgl64.Vec2) (from, to mgl64.Vec2) {
	const parts = 400
	first, last := -1, -1
	for n := range parts + 1 {
		if r.edge.Distance(a.Add(b.Sub(a).Mul(float64(n)/parts))) <= 0 {
			if first < 0 {
				first = n
			}
			last = n
		}
	}
	at := func(n int) mgl64.Vec2 { return a.Add(b.Sub(a).Mul(float64(n) / parts)) }
	return at(max(first, 0)), at(max(last, 0))
}

func (r *Result) solution() Solution {
	d := r.Drape
	last := d.Refinements[len(d.Refinements)-1]
	return Solution{
		Step: last.Step, Nodes: last.Nodes, Iterations: d.Iterations, Residual: d.Residual,
		PeakChange: last.PeakChange, DemandChange: last.DemandChange, Resolved: d.Resolved,
	}
}
