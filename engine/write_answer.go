package engine

import (
	"context"
	"slices"

	"earframe/internal/workers"
	"earframe/mesh/meshfile"
	"earframe/publish"
	"earframe/report"
	"earframe/report/record"
)

// RecordName is the record of a build.
const RecordName = "record.json"

// BuildMakes are the names of all that a build ever writes.
var BuildMakes = append([]string{
	RecordName, "framework.stl", "framework.3mf", "framework.glb", "units/*.stl", "views/*.png",
}, SkinMakes...)

// Write writes all that a fine answer gives to the place and concludes it:
// meshes, pictures, the skin and the record, which it returns.
func (a *Answer) Write(ctx context.Context, to publish.Place, tell workers.Progress) (*record.Build, error) {
	taken := record.NewBuild(a.Framework, a.Skin, a.Refused, Caution)
	if err := workers.Jobs(ctx, len(a.Framework.Pieces)+8, tell, a.files(to)...); err != nil {
		return nil, err
	}
	_, err := to.Conclude(ctx, &publish.Record{
		Name: RecordName, Makes: BuildMakes,
		Content: func(files []publish.File) ([]byte, error) {
			taken.Files = files
			return taken.JSON()
		},
	})
	return taken, err
}

// files returns the writing of each file as a job of its own, what takes longest
// first.
func (a *Answer) files(to publish.Writer) []workers.Job {
	f := a.Framework
	joined, pieces := object(f.Joined), objects(f)
	bed := append(slices.Clone(pieces), joined)
	meshfile.LayOut(bed, bedGap)
	save := func(name string, objects ...meshfile.Object) workers.Job {
		return func(ctx context.Context) error {
			return meshfile.Save(ctx, to, name, document(f.Plan, "Ear framework", Caution, objects...))
		}
	}
	var jobs []workers.Job
	if a.Skin != nil {
		jobs = skinFiles(a.Skin, pieces, to)
	}
	jobs = append(jobs,
		func(ctx context.Context) error {
			pictures, err := report.Views(ctx, pieces, report.ViewOptions{CaseID: f.Plan.ID, Side: f.Plan.Side})
			if err != nil {
				return err
			}
			return writePictures(ctx, to, pictures...)
		},
		save("framework.3mf", bed...), save("framework.glb", pieces...), save("framework.stl", joined))
	for _, p := range pieces {
		jobs = append(jobs, save("units/"+p.Name+".stl", p))
	}
	return jobs
}
