package record

import (
	"github.com/go-gl/mathgl/mgl64"

	"earframe/mesh"
	"earframe/mesh/wall"
)

// Solid is the measures of a closed mesh, mm.
type Solid struct {
	Volume    float64    `json:"volume_mm3"`
	Area      float64    `json:"area_mm2"`
	Low       mgl64.Vec3 `json:"low_mm"`
	High      mgl64.Vec3 `json:"high_mm"`
	Size      mgl64.Vec3 `json:"size_mm"`
	Thinnest  *Wall      `json:"thinnest_wall"` // null: round all over
	Triangles int        `json:"triangles"`
	Shells    int        `json:"shells"`
	Cavities  int        `json:"cavities"`
	Soundness string     `json:"soundness"`
}

// sound is what a mesh that left the judge may claim.
const sound = "closed, manifold, coherently wound, free of self-intersections"

// solidOf returns the measures of a judged mesh.
func solidOf(v mesh.Verdict, thinnest *wall.Wall) Solid {
	return Solid{
		Volume: v.Volume, Area: v.Area, Low: v.Low, High: v.High, Size: v.High.Sub(v.Low),
		Thinnest: (*Wall)(thinnest), Triangles: v.Triangles, Shells: len(v.Shells), Cavities: v.Cavities, Soundness: sound,
	}
}

// Wall is wall.Wall.
type Wall struct {
	Thickness float64    `json:"thickness"`
	At        mgl64.Vec3 `json:"at"`
	Extent    float64    `json:"extent,omitempty"` // how far around it stays thinner than the printer makes
}

// Verdict is mesh.Verdict.
type Verdict struct {
	Vertices        int           `json:"vertices"`
	Triangles       int           `json:"triangles"`
	Edges           int           `json:"edges"`
	Shells          []Shell       `json:"shells"`
	Cavities        int           `json:"cavities"`
	Volume          float64       `json:"volume"`
	Area            float64       `json:"area"`
	Low             mgl64.Vec3    `json:"low"`
	High            mgl64.Vec3    `json:"high"`
	LeastAltitude   float64       `json:"least_altitude"`
	LeastAltitudeAt mgl64.Vec3    `json:"least_altitude_at"`
	Findings        []MeshFinding `json:"findings"`
}

func meshVerdict(v mesh.Verdict) Verdict {
	return Verdict{
		Vertices: v.Vertices, Triangles: v.Triangles, Edges: v.Edges,
		Shells:   each(v.Shells, func(s mesh.Shell) Shell { return Shell(s) }),
		Cavities: v.Cavities, Volume: v.Volume, Area: v.Area, Low: v.Low, High: v.High,
		LeastAltitude: v.LeastAltitude, LeastAltitudeAt: v.LeastAltitudeAt,
		Findings: each(v.Findings, func(f mesh.Finding) MeshFinding { return MeshFinding(f) }),
	}
}

// Shell is mesh.Shell.
type Shell struct {
	Triangles int        `json:"triangles"`
	Vertices  int        `json:"vertices"`
	Euler     int        `json:"euler"`
	Genus     int        `json:"genus"`
	Volume    float64    `json:"volume"`
	At        mgl64.Vec3 `json:"-"`
	Area      float64    `json:"area"`
	Cavity    bool       `json:"cavity"`
}

// MeshFinding is mesh.Finding.
type MeshFinding struct {
	Fault   mesh.Fault   `json:"fault"`
	Count   int          `json:"count"`
	AtLeast bool         `json:"at_least,omitempty"`
	Places  []mgl64.Vec3 `json:"places"`
}
