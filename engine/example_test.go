package engine_test

import (
	"context"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"earframe/engine"
	"earframe/publish"
	"earframe/units/demo"
)

// From a drawing to meshes: a case is started, built and written into memory.
func Example() {
	dir, err := os.MkdirTemp("", "example")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	if _, err := engine.StartCase(ctx, dir, demo.Good); err != nil { // template.svg, case.yaml
		log.Fatal(err)
	}
	e := engine.New(0)
	c, err := e.Read(filepath.Join(dir, engine.CaseFile))
	if err != nil {
		log.Fatal(err)
	}
	plan, err := e.Plan(ctx, c)
	if err != nil {
		log.Fatal(err)
	}
	answer, err := e.Answer(ctx, plan.WithStep(0.5, "a quick look"), engine.Fine, nil)
	if err != nil {
		log.Fatal(err)
	}
	var files publish.Memory
	if _, err := answer.Write(ctx, &files, nil); err != nil {
		log.Fatal(err)
	}
	for _, name := range []string{"framework.stl", "units/helix.stl", "record.json"} {
		fmt.Println(name, len(files.Contents()[name]) > 0)
	}
	// Output:
	// framework.stl true
	// units/helix.stl true
	// record.json true
}

// A case is worked on: one number is changed, and what it touches is answered
// anew; the case file on disk stays as it is.
func ExampleSession() {
	dir, err := os.MkdirTemp("", "example")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	path, err := engine.StartDemo(ctx, dir, demo.Good)
	if err != nil {
		log.Fatal(err)
	}
	e := engine.New(engine.KeepUsual)
	c, err := e.Read(path)
	if err != nil {
		log.Fatal(err)
	}
	session := e.Open(c)
	for _, thickness := range []float64{4, 4.5} {
		if _, err := session.Edit("units[helix].thickness", thickness); err != nil {
			log.Fatal(err)
		}
		answer, err := session.Answer(ctx, engine.Coarse, nil)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("helix %.1f mm thick: the frame stands %.1f mm high\n", thickness, answer.Skin.Measures.Depth.Peak.Height)
	}
	// Output:
	// helix 4.0 mm thick: the frame stands 10.6 mm high
	// helix 4.5 mm thick: the frame stands 11.1 mm high
}
