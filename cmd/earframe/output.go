package main

import (
	"context"
	"fmt"
	"slices"
	"sync/atomic"

	"earframe/assemble"
	"earframe/internal/workers"
	"earframe/mesh/meshfile"
	"earframe/pocket"
	"earframe/publish"
	"earframe/report"
	"earframe/report/record"
	"earframe/units"

	"golang.org/x/sync/errgroup"
)

// joinedName is the joined framework's name in files that hold several objects.
const joinedName = "framework"

// recordName is the record of a build, buildMakes the names of what else a build
// writes.
const recordName = "record.json"

var buildMakes = []string{
	"framework.stl", "framework.3mf", "framework.glb", "units/*.stl", "views/*.png",
	"pocket.json", "skin.stl", "skin.3mf", "depth/top.png", "depth/underside.png", "depth/depth.csv", "depth/scale.json",
}

// writeOutput writes everything the framework and the skin laid over it give into
// the place and returns their record. laid is nil where the skin could not be
// laid, which refused then says. tell is told the progress.
func writeOutput(ctx context.Context, f *assemble.Framework, laid *pocket.Result, refused []units.Finding, to publish.Place, tell workers.Progress) (*record.Build, error) {
	taken := record.NewBuild(f, caution)
	taken.Lay(laid, refused)
	out := output{to}
	if err := out.fill(ctx, f, laid, tell); err != nil {
		return nil, err
	}
	_, err := to.Conclude(ctx, &publish.Record{Name: recordName, Makes: buildMakes, Content: func(files []publish.File) ([]byte, error) {
		taken.Files = files
		return taken.JSON()
	}})
	return taken, err
}

// output is a place that results are written to.
type output struct{ publish.Place }

// fill writes meshes and pictures.
func (o output) fill(ctx context.Context, f *assemble.Framework, laid *pocket.Result, tell workers.Progress) error {
	joined := object(f.Joined)
	joined.Label = "Joined framework"
	joined.Color = cartilageColour
	var pieces []meshfile.Object
	for i := range f.Pieces {
		pieces = append(pieces, object(&f.Pieces[i]))
	}
	title := fmt.Sprintf("Ear framework %s, %s ear", f.Plan.ID, f.Plan.Side)
	document := func(objects ...meshfile.Object) meshfile.Document {
		return meshfile.Document{Title: title, Description: caution, Objects: objects}
	}
	bed := append(slices.Clone(pieces), joined)
	meshfile.LayOut(bed, bedGap)
	jobs := []func(context.Context) error{
		func(ctx context.Context) error { return o.views(ctx, f, pieces) },
		func(ctx context.Context) error { return meshfile.Save(ctx, o, "framework.stl", document(joined)) },
		func(ctx context.Context) error {
			return meshfile.Save(ctx, o, "framework.3mf", document(bed...))
		},
		func(ctx context.Context) error {
			return meshfile.Save(ctx, o, "framework.glb", document(pieces...))
		},
	}
	for _, p := range pieces {
		jobs = append(jobs, func(ctx context.Context) error {
			return meshfile.Save(ctx, o, "units/"+p.Name+".stl", document(p))
		})
	}
	if laid != nil {
		jobs = append(jobs, func(ctx context.Context) error { return o.pocket(ctx, laid) })
	}
	return carryOut(ctx, jobs, len(jobs), tell)
}

// carryOut does all jobs, at most so many at once, and tells after each how many
// are done.
func carryOut(ctx context.Context, jobs []func(context.Context) error, atOnce int, tell workers.Progress) error {
	var done atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(atOnce)
	for _, job := range jobs {
		group.Go(func() error {
			err := job(ctx)
			tell(int(done.Add(1)), len(jobs))
			return err
		})
	}
	return group.Wait()
}

// bedGap is the room in mm between the objects of the 3MF file, which lie side
// by side on the bed.
const bedGap = 5

// object returns the piece as files and pictures take it.
func object(p *assemble.Piece) meshfile.Object {
	o := meshfile.Object{Name: joinedName, Mesh: p.Mesh, Verdict: &p.Verdict}
	if p.Unit != nil {
		o.Name, o.Label, o.Color = p.Unit.Name, p.Unit.Label, report.UnitColour(p.Unit)
	}
	return o
}

func (o output) views(ctx context.Context, f *assemble.Framework, pieces []meshfile.Object) error {
	pictures, err := report.Views(ctx, pieces, report.ViewOptions{CaseID: f.Plan.ID, Side: f.Plan.Side})
	if err != nil {
		return err
	}
	for i := range pictures {
		if err := pictures[i].Write(ctx, o, "views"); err != nil {
			return err
		}
	}
	return nil
}
