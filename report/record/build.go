package record

import (
	"runtime"
	"runtime/debug"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"earframe/assemble"
	"earframe/pocket"
	"earframe/publish"
	"earframe/report/verdict"
	"earframe/units"
)

// Build is everything that went into a framework and came out of it, in the form
// it is stored in record.json.
type Build struct {
	Caution   string            `json:"caution"`
	Case      string            `json:"case"`
	Side      units.Side        `json:"side"`
	Verdicts  []Answer          `json:"verdicts"` // one a question
	ToDo      []Task            `json:"to_do"`    // worst first
	Inputs    []Value           `json:"inputs"`   // every value with where it came from
	Units     []Unit            `json:"units"`
	Framework Solid             `json:"framework"` // the joined one
	Contacts  []Contact         `json:"contacts"`
	Pocket    *Pocket           `json:"pocket,omitempty"` // the skin laid over it; its findings are among the record's
	Findings  []Finding         `json:"findings"`
	Files     []publish.File    `json:"files,omitempty"`
	Versions  map[string]string `json:"versions"`
}

// Unit is one unit's measures.
type Unit struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	Part  string `json:"part"`
	Ribs  []int  `json:"ribs"` // empty: from what remains
	// Developed is the length of the centreline, mm, for a unit that is a strip.
	Developed float64 `json:"centreline_mm,omitempty"`
	Solid
}

// Contact is assemble.Contact.
type Contact struct {
	A         string      `json:"a"`
	B         string      `json:"b"`
	Area      float64     `json:"area_mm2"`
	Volume    float64     `json:"overlap_mm3"`
	Depth     float64     `json:"overlap_deepest_mm"`
	DepthAt   *mgl64.Vec3 `json:"overlap_at,omitempty"`
	Gap       float64     `json:"gap_mm"`
	GapAt     *mgl64.Vec3 `json:"gap_at,omitempty"`
	Permitted bool        `json:"notch"`
}

// NewBuild takes down the framework and the skin laid over it; laid is nil where that
// could not be done, which refused then says. A framework whose units were left apart
// has no measures of its own. Caution is the sentence that stands on top of it.
func NewBuild(f *assemble.Framework, laid *pocket.Result, refused []units.Finding, caution string) *Build {
	r := &Build{
		Caution: caution, Case: f.Plan.ID, Side: f.Plan.Side, Inputs: values(f.Plan.Values),
		Verdicts: answers(verdict.OfBuild(f, laid, refused)),
		Contacts: each(f.Contacts, func(c assemble.Contact) Contact { return Contact(c) }),
		Versions: Versions(),
	}
	if f.Joined != nil {
		r.Framework = solidOf(f.Joined.Verdict, nil)
	}
	for i := range f.Pieces {
		p := &f.Pieces[i]
		u := Unit{
			Name: p.Unit.Name, Label: p.Unit.Label, Part: string(p.Unit.Part), Ribs: p.Unit.Ribs,
			Solid: solidOf(p.Verdict, p.Walls.Least()),
		}
		if p.Unit.Centreline != nil {
			u.Developed = p.Unit.Centreline.Length()
		}
		r.Units = append(r.Units, u)
	}
	all := slices.Concat(f.Findings, refused)
	if laid != nil {
		all = append(all, laid.Findings...)
		// What stands in the record of the whole stands there alone.
		r.Pocket = NewPocket(laid)
		r.Pocket.Findings, r.Pocket.Verdicts, r.Pocket.ToDo = nil, nil, nil
	}
	r.Findings, r.ToDo = findings(all), tasks(all)
	return r
}

// Versions returns what the program was built from.
func Versions() map[string]string {
	found := map[string]string{"go": runtime.Version(), "earframe": "unknown"}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return found
	}
	found["earframe"] = info.Main.Version
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" {
			found["revision"] = s.Value
		}
	}
	for _, m := range info.Deps {
		found[m.Path] = m.Version
	}
	return found
}

// DepthScale is assemble.DepthScale, as depth/scale.json holds it.
type DepthScale struct {
	PerCount float64 `json:"mm_per_count"`
	PerPixel float64 `json:"mm_per_pixel"`
	Columns  int     `json:"columns"`
	Rows     int     `json:"rows"`
	Left     float64 `json:"x_of_first_pixel_mm"`
	Top      float64 `json:"y_of_first_pixel_mm"`
	Bed      float64 `json:"bed_mm"`
	Zero     string  `json:"zero"`
}
