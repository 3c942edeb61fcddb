package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"earframe/mesh/meshfile"
	"earframe/pocket"
	"earframe/publish"
	"earframe/report"
	"earframe/report/record"
	"earframe/units"

	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"
)

// pocketOptions is what the command line says beyond the case file.
type pocketOptions struct {
	out  string
	json bool
	vary string
}

func newPocket(s streams) *cobra.Command {
	var o pocketOptions
	cmd := &cobra.Command{
		Use:   "pocket CASE.yaml",
		Short: "Lay the skin over the framework: depth, skin demand, dead space, relief",
		Long: "pocket lays the skin over the framework inside its pocket and says how deep the frame is and whether the\n" +
			"pocket takes it, how much skin it asks for and how tight that is where, where the skin bridges, and which\n" +
			"groove will still be seen. It writes pocket.json, views/pocket-*.png, the healed skin on a base plate as\n" +
			"skin.stl and skin.3mf, and the framework's depth map as depth/*.\n\n" +
			"With --vary it does so for several values of one number of the case, and writes a table and a plot.\n\n" +
			"Exit code 0: good; 1: done, with findings of severity error; 2: bad input, nothing written.\n\n" +
			caution + "\n" + pocket.Caution,
		Example: "  earframe pocket my-case/case.yaml\n" +
			"  earframe pocket my-case/case.yaml --vary skin.lateral=1.0:3.0:0.5\n" +
			"  earframe pocket my-case/case.yaml --vary 'units[helix].thickness=3:5:0.5'",
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if o.out == "" {
				o.out = filepath.Join(filepath.Dir(args[0]), "pocket")
			}
			if o.vary != "" {
				return varyPocket(cmd.Context(), s, args[0], o)
			}
			return checkPocket(cmd.Context(), s, args[0], o)
		},
	}
	cmd.Flags().StringVar(&o.out, "out", "", "folder for the output (default: pocket beside the case file)")
	cmd.Flags().BoolVar(&o.json, "json", false, "print the result as JSON instead of words")
	cmd.Flags().StringVar(&o.vary, "vary", "", "a value of the case to vary: PATH=FROM:TO:STEP, such as skin.lateral=1.0:3.0:0.5")
	return cmd
}

// checkPocket checks the case at path and says what came of it.
func checkPocket(ctx context.Context, s streams, path string, o pocketOptions) error {
	plan, err := units.Load(ctx, path)
	if err != nil {
		return err
	}
	to, err := publish.NewFolder(o.out)
	if err != nil {
		return err
	}
	defer to.Discard()
	result, err := pocket.Check(ctx, plan, pocket.Options{})
	if err != nil {
		return err
	}
	if err := (output{to}).pocket(ctx, result); err != nil {
		return err
	}
	if _, err := to.Conclude(ctx, nil); err != nil {
		return err
	}
	taken := record.NewPocket(result)
	if o.json {
		data, err := taken.JSON()
		if err != nil {
			return err
		}
		if _, err := s.out.Write(data); err != nil {
			return err
		}
	} else {
		sayPocket(s.out, taken)
		sayFindings(s.out, taken.Findings)
		fmt.Fprintf(s.out, "Wrote pocket.json, skin.stl, skin.3mf, views and depth to %s\n%s\n%s\n", o.out, caution, pocket.Caution)
	}
	return verdictOn(taken.Findings)
}

// pocket writes everything the pocket check gives into the place.
func (o output) pocket(ctx context.Context, r *pocket.Result) error {
	group, ctx := errgroup.WithContext(ctx)
	group.Go(func() error {
		data, err := record.NewPocket(r).JSON()
		if err != nil {
			return err
		}
		return publish.WriteBytes(ctx, o, "pocket.json", data)
	})
	group.Go(func() error {
		pictures, err := report.PocketPictures(ctx, r)
		if err != nil {
			return err
		}
		for i := range pictures {
			if err := pictures[i].Write(ctx, o, "views"); err != nil {
				return err
			}
		}
		return nil
	})
	group.Go(func() error { return o.skin(ctx, r) })
	group.Go(func() error { return o.depth(ctx, r) })
	return group.Wait()
}

// skin writes the skin's model.
func (o output) skin(ctx context.Context, r *pocket.Result) error {
	skin, err := r.SkinModel(ctx)
	if err != nil {
		return err
	}
	document := meshfile.Document{
		Title:       fmt.Sprintf("Skin over the framework %s, %s ear", r.Plan.ID, r.Plan.Side),
		Description: caution + " " + pocket.Caution, Objects: []meshfile.Object{skin},
	}
	return errors.Join(
		meshfile.Save(ctx, o, "skin.stl", document),
		meshfile.Save(ctx, o, "skin.3mf", document),
	)
}

// depth writes the depth map.
func (o output) depth(ctx context.Context, r *pocket.Result) error {
	scale, err := record.Encode(record.DepthScale(r.Depth.Scale()))
	if err != nil {
		return err
	}
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"top.png", r.Depth.WriteTopPNG},
		{"underside.png", r.Depth.WriteUndersidePNG},
		{"depth.csv", r.Depth.WriteCSV},
		{"scale.json", func(w io.Writer) error { _, err := w.Write(scale); return err }},
	} {
		if err := o.Write(ctx, "depth/"+f.name, f.write, nil); err != nil {
			return err
		}
	}
	return nil
}
