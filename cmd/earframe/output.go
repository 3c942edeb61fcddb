package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image/color"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"

	"earframe/assemble"
	"earframe/closure"
	"earframe/mesh"
	"earframe/report"
	"earframe/units"

	"golang.org/x/sync/errgroup"
)

// joinedName is the joined framework's name in files that hold several objects.
const joinedName = "framework"

// output is the folder being written: everything goes into a folder beside the
// final one first, so that a failure half-way leaves the final one as it was.
type output struct {
	final, staged string
}

// writeOutput writes everything the framework and the skin laid over it give into
// the folder and returns their record. laid is nil where the skin could not be
// laid, which refused then says. tell is told the progress.
func writeOutput(ctx context.Context, f *assemble.Framework, laid *closure.Result, refused []units.Finding, dir string, tell assemble.Progress) (*report.Record, error) {
	out, err := stage(dir)
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(out.staged)
	record := report.NewRecord(f, caution)
	record.Lay(laid, refused)
	if err := out.fill(ctx, f, laid, tell); err != nil {
		return nil, out.named(err)
	}
	if record.Files, err = out.files(); err != nil {
		return nil, out.named(err)
	}
	data, err := record.JSON()
	if err != nil {
		return nil, err
	}
	if err := writeFile(ctx, filepath.Join(out.staged, "record.json"), data); err != nil {
		return nil, out.named(err)
	}
	return record, out.publish(ctx)
}

// stage makes the folder to write into, beside the final one so that moving a
// file from one to the other is a renaming.
func stage(dir string) (*output, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("cannot make the output folder: %w", err)
	}
	staged, err := os.MkdirTemp(dir, ".unfinished-")
	if err != nil {
		return nil, fmt.Errorf("cannot write into the output folder %s: %w", dir, reason(err))
	}
	out := &output{final: dir, staged: staged}
	for _, sub := range []string{"units", "views"} {
		if err := os.Mkdir(filepath.Join(staged, sub), 0o755); err != nil {
			os.RemoveAll(staged)
			return nil, fmt.Errorf("cannot write into the output folder %s: %w", dir, reason(err))
		}
	}
	return out, nil
}

// fill writes meshes and pictures.
func (o *output) fill(ctx context.Context, f *assemble.Framework, laid *closure.Result, tell assemble.Progress) error {
	joined := object(&f.Joined)
	joined.Label = "Joined framework"
	joined.Color = color.RGBA{R: 0xE0, G: 0xDC, B: 0xD0, A: 255} // the pale of cartilage
	var pieces []mesh.Object
	for i := range f.Pieces {
		pieces = append(pieces, object(&f.Pieces[i]))
	}
	title := fmt.Sprintf("Ear framework %s, %s ear", f.Plan.ID, f.Plan.Side)
	document := func(objects ...mesh.Object) mesh.Document {
		return mesh.Document{Title: title, Description: caution, Objects: objects}
	}
	bed := append(slices.Clone(pieces), joined)
	mesh.LayOut(bed, bedGap)
	jobs := []func(context.Context) error{
		func(ctx context.Context) error { return o.views(ctx, f, pieces) },
		func(ctx context.Context) error { return mesh.Save(ctx, o.path("framework.stl"), document(joined)) },
		func(ctx context.Context) error {
			return mesh.Save(ctx, o.path("framework.3mf"), document(bed...))
		},
		func(ctx context.Context) error { return mesh.Save(ctx, o.path("framework.glb"), document(pieces...)) },
	}
	for _, p := range pieces {
		jobs = append(jobs, func(ctx context.Context) error {
			return mesh.Save(ctx, o.path("units", p.Name+".stl"), document(p))
		})
	}
	if laid != nil {
		jobs = append(jobs, func(ctx context.Context) error { return o.pocket(ctx, laid) })
	}
	var done atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
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
func object(p *assemble.Piece) mesh.Object {
	o := mesh.Object{Name: joinedName, Mesh: p.Mesh, Verdict: &p.Verdict}
	if p.Unit != nil {
		o.Name, o.Label, o.Color = p.Unit.Name, p.Unit.Label, parseColour(p.Unit.Part.Colour())
	}
	return o
}

// parseColour reads #RRGGBB.
func parseColour(hash string) color.RGBA {
	rgb, err := hex.DecodeString(strings.TrimPrefix(hash, "#"))
	if err != nil || len(rgb) != 3 {
		panic("earframe: a part's colour is not #RRGGBB: " + hash)
	}
	return color.RGBA{R: rgb[0], G: rgb[1], B: rgb[2], A: 255}
}

func (o *output) views(ctx context.Context, f *assemble.Framework, pieces []mesh.Object) error {
	pictures, err := report.Views(ctx, pieces, report.ViewOptions{CaseID: f.Plan.ID, Side: f.Plan.Side})
	if err != nil {
		return err
	}
	for i := range pictures {
		if err := pictures[i].Write(o.path("views")); err != nil {
			return err
		}
	}
	return nil
}

func (o *output) path(names ...string) string {
	return filepath.Join(append([]string{o.staged}, names...)...)
}

// files lists what has been written, by name, with its digest.
func (o *output) files() ([]report.File, error) {
	var files []report.File
	err := filepath.WalkDir(o.staged, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(o.staged, path)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(data)
		files = append(files, report.File{
			Name: filepath.ToSlash(name), Bytes: int64(len(data)), SHA256: hex.EncodeToString(sum[:]),
		})
		return nil
	})
	return files, err
}

// publish moves the finished files to their place.
func (o *output) publish(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return filepath.WalkDir(o.staged, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(o.staged, path)
		if err != nil {
			return err
		}
		target := filepath.Join(o.final, name)
		if entry.IsDir() {
			return os.MkdirAll(target, 0o755)
		}
		return os.Rename(path, target)
	})
}

// named puts the final folder's name in an error in the place of the passing
// one, which the user does not know.
func (o *output) named(err error) error {
	return &renamedError{err, strings.ReplaceAll(err.Error(), o.staged, o.final)}
}

type renamedError struct {
	cause error
	text  string
}

func (e *renamedError) Error() string { return e.text }
func (e *renamedError) Unwrap() error { return e.cause }

// writeFile writes one small file whole or not at all.
func writeFile(ctx context.Context, path string, data []byte) error {
	return mesh.WriteFile(ctx, path, func(w io.Writer) error {
		_, err := io.Copy(w, bytes.NewReader(data))
		return err
	}, nil)
}

// reason strips a passing file name off an error.
func reason(err error) error {
	if pathError, ok := err.(*fs.PathError); ok {
		return pathError.Err
	}
	return err
}
