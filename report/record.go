package report

import (
	"runtime"
	"runtime/debug"
	"slices"

	"earframe/assemble"
	"earframe/mesh"
	"earframe/pocket"
	"earframe/units"

	"github.com/go-gl/mathgl/mgl64"
)

// Record is everything that went into a framework and came out of it, in the
// form it is stored in record.json. The same case gives the same record: it
// holds no time and no path.
type Record struct {
	Caution   string             `json:"caution"`
	Case      string             `json:"case"`
	Side      units.Side         `json:"side"`
	Inputs    []units.Value      `json:"inputs"` // every value with where it came from
	Units     []UnitRecord       `json:"units"`
	Framework Solid              `json:"framework"` // the joined one
	Contacts  []assemble.Contact `json:"contacts"`
	Pocket    *pocket.Record     `json:"pocket,omitempty"` // the skin laid over it; its findings are among the record's
	Findings  []units.Finding    `json:"findings"`
	Files     []File             `json:"files,omitempty"`
	Versions  map[string]string  `json:"versions"`
}

// UnitRecord is one unit's measures.
type UnitRecord struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	Part  string `json:"part"`
	Ribs  []int  `json:"ribs"` // empty: from what remains
	// Developed is the length of the centreline, mm, for a unit that is a strip.
	Developed float64 `json:"centreline_mm,omitempty"`
	Solid
}

// Solid is the measures of a closed mesh, mm.
type Solid struct {
	Volume    float64    `json:"volume_mm3"`
	Area      float64    `json:"area_mm2"`
	Low       mgl64.Vec3 `json:"low_mm"`
	High      mgl64.Vec3 `json:"high_mm"`
	Size      mgl64.Vec3 `json:"size_mm"`
	Thinnest  *mesh.Wall `json:"thinnest_wall"` // null: round all over
	Triangles int        `json:"triangles"`
	Shells    int        `json:"shells"`
	Cavities  int        `json:"cavities"`
	Soundness string     `json:"soundness"`
}

// File is one written file.
type File struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// sound is what a mesh that left the judge may claim.
const sound = "closed, manifold, coherently wound, free of self-intersections"

// NewRecord takes down the framework. Caution is the sentence that stands on
// top of it.
func NewRecord(f *assemble.Framework, caution string) *Record {
	r := &Record{
		Caution: caution, Case: f.Plan.ID, Side: f.Plan.Side, Inputs: f.Plan.Values,
		Framework: measures(f.Joined), Contacts: f.Contacts, Findings: f.Findings, Versions: versions(),
	}
	for i := range f.Pieces {
		p := &f.Pieces[i]
		u := UnitRecord{
			Name: p.Unit.Name, Label: p.Unit.Label, Part: string(p.Unit.Part), Ribs: p.Unit.Ribs, Solid: measures(p),
		}
		if p.Unit.Centreline != nil {
			u.Developed = p.Unit.Centreline.Length()
		}
		r.Units = append(r.Units, u)
	}
	return r
}

// Lay adds what came of laying the skin over the framework; laid is nil where
// that could not be done, which findings then say.
func (r *Record) Lay(laid *pocket.Result, findings []units.Finding) {
	r.Findings = slices.Concat(r.Findings, findings)
	if laid == nil {
		return
	}
	pocket := laid.Record
	r.Findings = append(r.Findings, pocket.Findings...)
	pocket.Findings = nil
	r.Pocket = &pocket
}

func measures(p *assemble.Piece) Solid { return solidOf(p.Verdict, p.Thinnest) }

// JSON returns the record as indented JSON. A measure that is not a number
// cannot be stored and is an error.
func (r *Record) JSON() ([]byte, error) { return recordJSON(r) }

// versions returns what the program was built from.
func versions() map[string]string {
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
