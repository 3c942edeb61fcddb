package pocket

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"earframe/field"
	"earframe/membrane"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Record is the pocket check in numbers, as pocket.json holds it: lengths mm,
// areas mm², volumes mm³, heights over the bed. The same case gives the same
// record.
type Record struct {
	Caution  string          `json:"caution"`
	Case     string          `json:"case"`
	Side     units.Side      `json:"side"`
	Inputs   []units.Value   `json:"inputs"` // of skin and pocket, with where they came from
	Pocket   PocketRecord    `json:"pocket"`
	Bed      float64         `json:"bed_mm"` // height of the bed in the units' coordinates
	Depth    DepthRecord     `json:"depth"`
	Demand   DemandRecord    `json:"skin_demand"`
	Stretch  StretchRecord   `json:"stretch"`
	Contact  ContactRecord   `json:"contact"`
	Dead     DeadRecord      `json:"dead_space"`
	Relief   []ReliefRecord  `json:"relief"`
	Solution SolutionRecord  `json:"solution"`
	Findings []units.Finding `json:"findings,omitempty"`
}

// PocketRecord is the pocket's edge.
type PocketRecord struct {
	From string  `json:"from"` // how the edge was found
	Area float64 `json:"area_mm2"`
}

// Place is a height with where it is, and what that place is called.
type Place struct {
	Height float64    `json:"height_mm"`
	At     mgl64.Vec2 `json:"at_mm"`
	Name   string     `json:"place"`
}

// DepthRecord says whether the pocket takes the frame.
type DepthRecord struct {
	Frame     Place    `json:"frame"` // highest point of the framework
	Unit      string   `json:"unit"`  // that stands there
	Peak      Place    `json:"peak"`  // of the skin's deep surface
	Outside   float64  `json:"skin_outside_mm"`
	BothSkins float64  `json:"with_both_skins_mm"` // lateral and medial skin and what is between
	Available *float64 `json:"available_mm"`       // null: not known
	Room      *float64 `json:"room_mm"`            // less than 0: the frame stands too high
}

// DemandRecord says how much skin the frame asks for.
type DemandRecord struct {
	Drape   float64 `json:"drape_mm2"`   // area of the skin's deep surface
	Outside float64 `json:"outside_mm2"` // of its outer surface
	Ratio   float64 `json:"ratio"`       // drape over pocket
	Extra   float64 `json:"extra_mm2"`   // that the flaps bring
	Missing float64 `json:"missing_mm2"` // less than 0: skin is left over
	Sliding float64 `json:"sliding"`     // drape over pocket and extra skin: the stretch if skin slides freely
	Band    string  `json:"band"`        // of that stretch
}

// StretchRecord says how tight the skin is where.
type StretchRecord struct {
	Bands    []BandShare      `json:"bands"`
	Along    []StretchShare   `json:"along"`  // linear stretch along the steepest way, if skin does not slide
	Across   float64          `json:"across"` // and square to it: 1 everywhere
	Sections []SectionStretch `json:"sections"`
	Note     string           `json:"note"`
}

// StretchShare says that a share of the pocket's area is stretched less.
type StretchShare struct {
	Share   float64 `json:"share"`
	Stretch float64 `json:"stretch"`
}

// BandShare is how much of the pocket falls into a band of stretch.
type BandShare struct {
	Name      string  `json:"name"`
	From      float64 `json:"from"`
	Published bool    `json:"published"`
	Source    string  `json:"source"`
	Share     float64 `json:"share"` // of the pocket's area, if skin does not slide
}

// SectionStretch is the linear stretch of a strip of skin that slides along one
// straight section of the pocket.
type SectionStretch struct {
	Name    string  `json:"name"`
	Stretch float64 `json:"stretch"`
}

// ContactRecord is shares of the pocket's area.
type ContactRecord struct {
	OnFrame float64 `json:"on_frame"`
	OnBed   float64 `json:"on_bed"`
	Free    float64 `json:"free"`
}

// ReliefRecord is how much of a groove or ridge shows.
type ReliefRecord struct {
	Name    string     `json:"name"`
	Kind    string     `json:"kind"` // groove or ridge
	OnFrame float64    `json:"on_frame_mm"`
	OnSkin  float64    `json:"on_skin_mm"`
	Kept    float64    `json:"kept"`      // share
	Lost    float64    `json:"lost_part"` // share of its length along which less than half is kept
	Width   float64    `json:"width_mm"`  // at its widest
	Reach   float64    `json:"reach_mm"`  // how far off its flanks were looked for
	At      mgl64.Vec2 `json:"at_mm"`     // its deepest or highest section
}

// SolutionRecord says how well the drape was worked out.
type SolutionRecord struct {
	Step         float64 `json:"step_mm"`
	Nodes        int     `json:"nodes"`
	Iterations   int     `json:"iterations"`
	Residual     float64 `json:"residual_mm"` // the last correction
	PeakChange   float64 `json:"peak_change"` // against the grid before, share
	DemandChange float64 `json:"demand_change"`
	Resolved     bool    `json:"resolved"` // both changed by less than 0.5 %
}

// noSliding says what the stretch map is.
const noSliding = "bands and map are of skin that does not slide over the frame; sections and the demand are of skin that slides freely"

// record takes down what was measured.
func (r *Result) record(ctx context.Context) Record {
	plan := r.Plan
	record := Record{
		Caution: Caution, Case: plan.ID, Side: plan.Side, Bed: r.Depth.Bed,
		Pocket: PocketRecord{From: r.from(), Area: r.Drape.PocketArea},
		Depth:  r.depthRecord(), Demand: r.demandRecord(),
		Stretch: r.stretchRecord(), Contact: ContactRecord(r.Drape.ContactShares()),
		Dead: r.deadRecord(), Relief: r.reliefRecords(ctx), Solution: r.solution(),
	}
	for _, v := range plan.Values {
		if strings.HasPrefix(v.Path, "pocket.") || strings.HasPrefix(v.Path, "skin.") {
			record.Inputs = append(record.Inputs, v)
		}
	}
	return record
}

func (r *Result) from() string {
	if r.drawn() {
		return "the outline " + r.Outline.ID + " as drawn"
	}
	return fmt.Sprintf("the outline %s widened by %g mm", r.Outline.ID, r.Plan.Pocket.Margin)
}

func (r *Result) depthRecord() DepthRecord {
	height, at := r.Depth.Highest()
	peak := r.Drape.PeakDepth()
	d := DepthRecord{
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

func (r *Result) demandRecord() DemandRecord {
	d, extra := r.Drape, r.Plan.Pocket.ExtraSkin
	record := DemandRecord{
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

func (r *Result) stretchRecord() StretchRecord {
	record := StretchRecord{Note: noSliding, Across: 1, Along: r.alongShares(0.5, 0.9, 0.95, 0.99)}
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

func (r *Result) solution() SolutionRecord {
	d := r.Drape
	last := d.Refinements[len(d.Refinements)-1]
	return SolutionRecord{
		Step: last.Step, Nodes: last.Nodes, Iterations: d.Iterations, Residual: d.Residual,
		PeakChange: last.PeakChange, DemandChange: last.DemandChange, Resolved: d.Resolved,
	}
}

// JSON returns the record as indented JSON.
func (r *Record) JSON() ([]byte, error) {
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(r); err != nil {
		return nil, fmt.Errorf("the pocket's record cannot be stored: %w", err)
	}
	return out.Bytes(), nil
}
