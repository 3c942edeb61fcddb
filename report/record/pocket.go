package record

import (
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/pocket"
	"earframe/report/verdict"
	"earframe/units"
)

// Pocket is the pocket check, as pocket.json holds it.
type Pocket struct {
	Caution  string        `json:"caution"`
	Case     string        `json:"case"`
	Side     units.Side    `json:"side"`
	Verdicts []Answer      `json:"verdicts,omitempty"` // one a question
	ToDo     []Task        `json:"to_do,omitempty"`    // worst first
	Inputs   []Value       `json:"inputs"`
	Pocket   PocketEdge    `json:"pocket"`
	Bed      float64       `json:"bed_mm"`
	Depth    PocketDepth   `json:"depth"`
	Demand   SkinDemand    `json:"skin_demand"`
	Stretch  Stretch       `json:"stretch"`
	Contact  ContactShares `json:"contact"`
	Bridging Bridging      `json:"bridging"`
	Dead     DeadSpaces    `json:"dead_space"`
	Relief   []Relief      `json:"relief"`
	Bolsters *Bolsters     `json:"bolsters,omitempty"`
	Solution Solution      `json:"solution"`
	Findings []Finding     `json:"findings,omitempty"`
}

// PocketEdge is pocket.Edge.
type PocketEdge struct {
	From string  `json:"from"`
	Area float64 `json:"area_mm2"`
}

// Place is pocket.Place.
type Place struct {
	Height float64    `json:"height_mm"`
	At     mgl64.Vec2 `json:"at_mm"`
	Name   string     `json:"place"`
}

// PocketDepth is pocket.Depth.
type PocketDepth struct {
	Frame     Place    `json:"frame"`
	Unit      string   `json:"unit"`
	Peak      Place    `json:"peak"`
	Outside   float64  `json:"skin_outside_mm"`
	BothSkins float64  `json:"with_both_skins_mm"`
	Available *float64 `json:"available_mm"`
	Room      *float64 `json:"room_mm"`
}

// SkinDemand is pocket.Demand.
type SkinDemand struct {
	Drape   float64 `json:"drape_mm2"`
	Outside float64 `json:"outside_mm2"`
	Ratio   float64 `json:"ratio"`
	Extra   float64 `json:"extra_mm2"`
	Missing float64 `json:"missing_mm2"`
	Sliding float64 `json:"sliding"`
	Band    string  `json:"band"`
}

// Stretch is pocket.Stretch.
type Stretch struct {
	Bands    []BandShare      `json:"bands"`
	Along    []StretchShare   `json:"along"`
	Across   float64          `json:"across"`
	Sections []SectionStretch `json:"sections"`
	Note     string           `json:"note"`
}

// StretchShare is pocket.StretchShare.
type StretchShare struct {
	Share   float64 `json:"share"`
	Stretch float64 `json:"stretch"`
}

// BandShare is pocket.BandShare.
type BandShare struct {
	Name      string  `json:"name"`
	From      float64 `json:"from"`
	Published bool    `json:"published"`
	Source    string  `json:"source"`
	Share     float64 `json:"share"`
}

// SectionStretch is pocket.SectionStretch.
type SectionStretch struct {
	Name    string  `json:"name"`
	Stretch float64 `json:"stretch"`
}

// ContactShares is pocket.Contact.
type ContactShares struct {
	OnFrame float64 `json:"on_frame"`
	OnBed   float64 `json:"on_bed"`
	Free    float64 `json:"free"`
}

// Bridging is pocket.Bridging.
type Bridging struct {
	Radius   *float64       `json:"radius_mm"` // null without suction
	Given    bool           `json:"given"`
	Suction  float64        `json:"suction_kpa"`
	Strain   float64        `json:"strain"`
	Tension  float64        `json:"tension_n_per_m"`
	Residual float64        `json:"residual_mm"`
	Steps    int            `json:"steps"`
	States   []SuctionState `json:"states,omitempty"`
}

// SuctionState is pocket.State.
type SuctionState struct {
	Name    string      `json:"name"`
	Suction float64     `json:"suction_kpa"`
	Natural float64     `json:"natural_tension_kpa"`
	Radius  *float64    `json:"radius_mm"` // null without suction
	Strain  float64     `json:"strain"`
	Kept    []KeptShare `json:"relief"`
}

// DeadSpaces is pocket.Dead.
type DeadSpaces struct {
	Volume  float64     `json:"volume_mm3"`
	Spaces  []DeadSpace `json:"spaces"`
	ByPlace []PlaceGap  `json:"by_place"`
	Least   float64     `json:"least_gap_mm"`
}

// DeadSpace is pocket.DeadSpace.
type DeadSpace struct {
	Place   string     `json:"place"`
	Volume  float64    `json:"volume_mm3"`
	Area    float64    `json:"area_mm2"`
	Deepest float64    `json:"deepest_mm"`
	At      mgl64.Vec2 `json:"at_mm"`
	AtPlace string     `json:"at_place"`
}

// PlaceGap is pocket.PlaceGap.
type PlaceGap struct {
	Place   string     `json:"place"`
	Volume  float64    `json:"volume_mm3"`
	Area    float64    `json:"area_mm2"`
	Deepest float64    `json:"deepest_mm"`
	At      mgl64.Vec2 `json:"at_mm"`
}

// Relief is pocket.Relief.
type Relief struct {
	Name    string     `json:"name"`
	Kind    string     `json:"kind"`
	OnFrame float64    `json:"on_frame_mm"`
	OnSkin  float64    `json:"on_skin_mm"`
	Kept    float64    `json:"kept"`
	Lost    float64    `json:"lost_part"`
	Width   float64    `json:"width_mm"`
	Reach   float64    `json:"reach_mm"`
	At      mgl64.Vec2 `json:"at_mm"`
}

// Bolsters is pocket.Bolsters.
type Bolsters struct {
	Rolls   []BolsterRoll `json:"rolls"`
	Tension float64       `json:"tension_n_m"`
	Loose   float64       `json:"tension_without_suction_n_m"`
	Drape   float64       `json:"drape_without_mm2"`
	Added   float64       `json:"added_mm2"`
	Dead    float64       `json:"dead_space_without_mm3"`
	Relief  []Relief      `json:"relief_without"`
}

// BolsterRoll is pocket.BolsterRoll.
type BolsterRoll struct {
	Key      string     `json:"key"`
	Name     string     `json:"place"`
	Diameter float64    `json:"diameter_mm"`
	Length   float64    `json:"length_mm"`
	From     mgl64.Vec2 `json:"from_mm"`
	To       mgl64.Vec2 `json:"to_mm"`
	Resting  float64    `json:"resting"`
	Stands   float64    `json:"stands_mm"`
	At       mgl64.Vec2 `json:"at_mm"`
	Force    float64    `json:"force_n_mm"`
	Drained  float64    `json:"force_without_suction_n_mm"`
	Pressure float64    `json:"pressure_without_suction_kpa"`
}

// Solution is pocket.Solution.
type Solution struct {
	Step         float64 `json:"step_mm"`
	Nodes        int     `json:"nodes"`
	Iterations   int     `json:"iterations"`
	Residual     float64 `json:"residual_mm"`
	PeakChange   float64 `json:"peak_change"`
	DemandChange float64 `json:"demand_change"`
	Resolved     bool    `json:"resolved"`
}

// NewPocket takes down the pocket check.
func NewPocket(r *pocket.Result) *Pocket {
	m, plan := &r.Measures, r.Plan
	record := &Pocket{
		Verdicts: answers(verdict.OfSkin(r)), ToDo: tasks(r.Findings),
		Caution: pocket.Caution, Case: plan.ID, Side: plan.Side, Bed: m.Bed, Pocket: PocketEdge(m.Pocket),
		Depth: PocketDepth{
			Frame: Place(m.Depth.Frame), Unit: m.Depth.Unit, Peak: Place(m.Depth.Peak), Outside: m.Depth.Outside,
			BothSkins: m.Depth.BothSkins, Available: m.Depth.Available, Room: m.Depth.Room,
		},
		Demand: SkinDemand(m.Demand), Contact: ContactShares(m.Contact),
		Stretch: Stretch{
			Bands:    each(m.Stretch.Bands, func(b pocket.BandShare) BandShare { return BandShare(b) }),
			Along:    each(m.Stretch.Along, func(s pocket.StretchShare) StretchShare { return StretchShare(s) }),
			Across:   m.Stretch.Across,
			Sections: each(m.Stretch.Sections, func(s pocket.SectionStretch) SectionStretch { return SectionStretch(s) }),
			Note:     m.Stretch.Note,
		},
		Bridging: bridging(m.Bridging),
		Dead: DeadSpaces{
			Volume:  m.Dead.Volume,
			Spaces:  each(m.Dead.Spaces, func(s pocket.DeadSpace) DeadSpace { return DeadSpace(s) }),
			ByPlace: each(m.Dead.ByPlace, func(g pocket.PlaceGap) PlaceGap { return PlaceGap(g) }),
			Least:   m.Dead.Least,
		},
		Relief:   each(m.Relief, func(r pocket.Relief) Relief { return Relief(r) }),
		Solution: Solution(m.Solution), Findings: findings(r.Findings),
	}
	if b := m.Bolsters; b != nil {
		record.Bolsters = &Bolsters{
			Rolls:   each(b.Rolls, func(roll pocket.BolsterRoll) BolsterRoll { return BolsterRoll(roll) }),
			Tension: b.Tension, Loose: b.Loose, Drape: b.Drape, Added: b.Added, Dead: b.Dead,
			Relief: each(b.Relief, func(r pocket.Relief) Relief { return Relief(r) }),
		}
	}
	for _, v := range values(plan.Values) {
		if strings.HasPrefix(v.Path, "pocket.") || strings.HasPrefix(v.Path, "skin.") {
			record.Inputs = append(record.Inputs, v)
		}
	}
	return record
}

func bridging(b pocket.Bridging) Bridging {
	return Bridging{
		Radius: b.Radius, Given: b.Given, Suction: b.Suction, Strain: b.Strain, Tension: b.Tension,
		Residual: b.Residual, Steps: b.Steps,
		States: each(b.States, func(s pocket.State) SuctionState {
			return SuctionState{
				Name: s.Name, Suction: s.Suction, Natural: s.Natural, Radius: s.Radius, Strain: s.Strain,
				Kept: each(s.Kept, func(k pocket.KeptShare) KeptShare { return KeptShare(k) }),
			}
		}),
	}
}
