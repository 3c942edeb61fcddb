package engine

import (
	"context"
	"errors"
	"io"

	"earframe/internal/workers"
	"earframe/mesh/meshfile"
	"earframe/pocket"
	"earframe/publish"
	"earframe/report"
	"earframe/report/record"
)

// SkinMakes are the names of all that the pocket check ever writes.
var SkinMakes = []string{
	"pocket.json", "skin.stl", "skin.3mf", "views/pocket-*.png", "views/skin-*.png",
	"depth/*.png", "depth/depth.csv", "depth/scale.json",
}

// WriteSkin writes all that the skin laid over a framework gives to the place
// and concludes it.
func WriteSkin(ctx context.Context, r *pocket.Result, to publish.Place, tell workers.Progress) error {
	jobs := skinFiles(r, nil, to)
	if err := workers.Jobs(ctx, len(jobs), tell, jobs...); err != nil {
		return err
	}
	_, err := to.Conclude(ctx, nil)
	return err
}

// skinFiles returns the writing of each group of files as a job of its own. Beside
// the healed skin the framework's pieces are shown, if there are any.
func skinFiles(r *pocket.Result, pieces []meshfile.Object, to publish.Writer) []workers.Job {
	return []workers.Job{
		func(ctx context.Context) error { return writeHealed(ctx, r, pieces, to) },
		func(ctx context.Context) error {
			pictures, err := report.PocketPictures(ctx, r)
			if err != nil {
				return err
			}
			return writePictures(ctx, to, pictures...)
		},
		func(ctx context.Context) error { return writeDepth(ctx, r, to) },
		func(ctx context.Context) error {
			data, err := record.NewPocket(r).JSON()
			if err != nil {
				return err
			}
			return publish.WriteBytes(ctx, to, "pocket.json", data)
		},
	}
}

// writeHealed writes the healed skin on its base plate and its pictures.
func writeHealed(ctx context.Context, r *pocket.Result, pieces []meshfile.Object, to publish.Writer) error {
	skin, err := r.SkinModel(ctx)
	if err != nil {
		return err
	}
	held := document(r.Plan, "Skin over the framework", Caution+" "+pocket.Caution, skin)
	if err := errors.Join(meshfile.Save(ctx, to, "skin.stl", held), meshfile.Save(ctx, to, "skin.3mf", held)); err != nil {
		return err
	}
	pictures, err := report.SkinViews(ctx, skin, pieces, report.ViewOptions{CaseID: r.Plan.ID, Side: r.Plan.Side})
	if err != nil {
		return err
	}
	return writePictures(ctx, to, pictures...)
}

// writeDepth writes the depth map.
func writeDepth(ctx context.Context, r *pocket.Result, to publish.Writer) error {
	scale, err := record.Encode(record.DepthScale(r.Depth.Scale()))
	if err != nil {
		return err
	}
	return errors.Join(
		writeText(ctx, to, "depth/top.png", r.Depth.WriteTopPNG),
		writeText(ctx, to, "depth/underside.png", r.Depth.WriteUndersidePNG),
		writeText(ctx, to, "depth/depth.csv", r.Depth.WriteCSV),
		writeText(ctx, to, "depth/scale.json", func(w io.Writer) error { _, err := w.Write(scale); return err }),
	)
}
