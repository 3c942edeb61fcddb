// Command dump writes the plan of the demo framework as plain numbers, to be
// built by another library: outlines, heights, edge radii, recesses, notches.
//
//	go run ./testdata/exact/dump > demo.plan.json
package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"

	"earframe/field"
	"earframe/template"
	"earframe/units"
	"earframe/units/demo"

	"github.com/go-gl/mathgl/mgl64"
)

// A rising underside is sampled every sampleSpacing mm, beyond its outlines by
// sampleMargin mm.
const (
	sampleSpacing = 0.1
	sampleMargin  = 1.0
)

// heightUnit is what heights are rounded to, mm.
const heightUnit = 1e-6

// The plan's layout is said in testdata/exact/README.md.
type plan struct {
	Name  string `json:"name"`
	Units []unit `json:"units"`
}

type unit struct {
	Name       string           `json:"name"`
	Outlines   [][][]mgl64.Vec2 `json:"outlines"`
	Thickness  float64          `json:"thickness"`
	Under      any              `json:"under"`
	EdgeTop    float64          `json:"edge_top"`
	EdgeBottom float64          `json:"edge_bottom"`
	Recesses   []recess         `json:"recesses,omitempty"`
	Notches    []string         `json:"notches,omitempty"`
}

type recess struct {
	Outlines [][][]mgl64.Vec2 `json:"outlines"`
	Depth    float64          `json:"depth"`
	Wall     float64          `json:"wall_degrees"`
}

type samples struct {
	Kind    string     `json:"kind"`
	Origin  mgl64.Vec2 `json:"origin"`
	Spacing float64    `json:"spacing"`
	Columns int        `json:"columns"`
	Rows    int        `json:"rows"`
	Heights []float64  `json:"heights"`
}

func main() {
	if err := dump(); err != nil {
		fmt.Fprintln(os.Stderr, "dump:", err)
		os.Exit(1)
	}
}

func dump() error {
	loaded, err := loadDemo()
	if err != nil {
		return err
	}
	out := plan{Name: "demo"}
	for _, u := range loaded.Units {
		if len(u.NotchFor) > 0 && u.Clearance != 0 {
			return fmt.Errorf("unit %s: notches with %g mm clearance; only a tight fit can be said as a plain "+
				"difference", u.Name, u.Clearance)
		}
		under, err := underside(u)
		if err != nil {
			return err
		}
		said := unit{
			Name: u.Name, Outlines: rings(u.Outlines), Thickness: u.Thickness, Under: under,
			EdgeTop: u.EdgeTop, EdgeBottom: u.EdgeBottom, Notches: u.NotchFor,
		}
		for _, r := range u.Recesses {
			said.Recesses = append(said.Recesses, recess{rings(r.Outlines), r.Depth, r.Wall * 180 / math.Pi})
		}
		out.Units = append(out.Units, said)
	}
	return json.NewEncoder(os.Stdout).Encode(out)
}

func loadDemo() (*units.Plan, error) {
	dir, err := os.MkdirTemp("", "earframe-dump")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	path, err := demo.Good.Write(dir)
	if err != nil {
		return nil, err
	}
	return units.Load(context.Background(), path)
}

func rings(outlines []template.Outline) [][][]mgl64.Vec2 {
	var all [][][]mgl64.Vec2
	for _, o := range outlines {
		one := [][]mgl64.Vec2{o.Outer}
		for _, hole := range o.Holes {
			one = append(one, hole)
		}
		all = append(all, one)
	}
	return all
}

func underside(u *units.Unit) (any, error) {
	surface, err := u.Underside()
	if err != nil {
		return nil, err
	}
	if level, ok := surface.(field.Level); ok {
		return float64(level), nil
	}
	lo := mgl64.Vec2{math.Inf(1), math.Inf(1)}
	hi := mgl64.Vec2{math.Inf(-1), math.Inf(-1)}
	for _, o := range u.Outlines {
		for _, p := range o.Outer {
			for k := range p {
				lo[k], hi[k] = math.Min(lo[k], p[k]-sampleMargin), math.Max(hi[k], p[k]+sampleMargin)
			}
		}
	}
	s := samples{
		Kind: "samples", Origin: lo, Spacing: sampleSpacing,
		Columns: int(math.Ceil((hi[0]-lo[0])/sampleSpacing)) + 1,
		Rows:    int(math.Ceil((hi[1]-lo[1])/sampleSpacing)) + 1,
	}
	for row := range s.Rows {
		for column := range s.Columns {
			z, _, _ := surface.Height(lo[0]+float64(column)*sampleSpacing, lo[1]+float64(row)*sampleSpacing)
			s.Heights = append(s.Heights, math.Round(z/heightUnit)*heightUnit)
		}
	}
	return s, nil
}
