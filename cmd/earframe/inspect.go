package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"earframe/mesh"
	"earframe/mesh/meshfile"
	"earframe/mesh/wall"
	"earframe/report/record"
	"earframe/report/verdict"
	"earframe/template"

	"github.com/spf13/cobra"
)

func newInspect(s streams) *cobra.Command {
	var asJSON, all bool
	cmd := &cobra.Command{
		Use:   "inspect FILE...",
		Short: "Judge mesh files, or list the outlines of a drawing",
		Long: "inspect judges every mesh in STL, 3MF and GLB files: closed, manifold, wound outwards, self-intersections,\n" +
			"shells, volume, area, size, thinnest wall. Of an SVG drawing it lists every outline with its size, so that\n" +
			"it can be named in a case file. Other formats are named, not read.\n\n" +
			"Exit code 0: all sound; 1: a mesh is not sound; 2: a file cannot be read.",
		Example: "  earframe inspect demo/framework.3mf demo/units/helix.stl\n  earframe inspect tracing.svg",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return inspect(cmd.Context(), s, args, asJSON, all)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the findings as JSON")
	cmd.Flags().BoolVar(&all, allFlag, false, "say everything of every mesh, however many there are")
	return cmd
}

// inspected is what is said of one file.
type inspected struct {
	File   string
	Meshes []inspectedMesh
	Shapes []template.Shape // of a drawing
}

// inspectedMesh is what is said of one mesh in a file.
type inspectedMesh struct {
	Name     string
	Sound    bool
	Verdict  mesh.Verdict
	Thinnest *wall.Wall
}

// inspect looks at all files before it says anything of a bad one, so that one
// unreadable file does not hide the others.
func inspect(ctx context.Context, s streams, paths []string, asJSON, all bool) error {
	files := []inspected{}
	var unread []error
	var judged soundness
	for _, path := range paths {
		file, err := inspectFile(ctx, path)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			unread = append(unread, err)
			continue
		}
		for _, m := range file.Meshes {
			judged.take(m)
		}
		files = append(files, file)
	}
	if !asJSON {
		judged.say(s.out)
		sayInspected(s.out, files, all || judged.meshes <= fewMeshes)
	} else {
		taken := []record.Inspected{}
		for _, f := range files {
			taken = append(taken, f.record())
		}
		data, err := record.Encode(taken)
		if err != nil {
			return err
		}
		if _, err := s.out.Write(data); err != nil {
			return err
		}
	}
	switch {
	case len(unread) > 0:
		return errors.Join(unread...)
	case judged.bad > 0:
		return errFindings
	}
	return nil
}

func inspectFile(ctx context.Context, path string) (inspected, error) {
	file := inspected{File: path}
	if strings.EqualFold(filepath.Ext(path), ".svg") {
		shapes, err := template.Inspect(ctx, path)
		file.Shapes = shapes
		return file, err
	}
	objects, err := meshfile.ReadFile(ctx, path)
	if err != nil {
		return file, err
	}
	for _, o := range objects {
		m := inspectedMesh{Name: o.Name}
		if m.Verdict, err = mesh.JudgeContext(ctx, o.Mesh); err != nil {
			return file, err
		}
		m.Sound = m.Verdict.Sound()
		if m.Sound {
			walls, err := wall.OfMesh(ctx, o.Mesh, wall.Options{})
			if err != nil {
				return file, err
			}
			m.Thinnest = walls.Least()
		}
		file.Meshes = append(file.Meshes, m)
	}
	return file, nil
}

func (f inspected) record() record.Inspected {
	taken := record.Inspected{File: f.File, Shapes: record.NewShapes(f.Shapes)}
	for _, m := range f.Meshes {
		taken.Meshes = append(taken.Meshes, record.NewMesh(m.Name, m.Verdict, m.Thinnest))
	}
	return taken
}

// fewMeshes is how many meshes are told of one by one.
const fewMeshes = 8

// sayInspected tells of every file, or else of drawings and of what is not sound.
func sayInspected(w io.Writer, files []inspected, all bool) {
	left := 0
	for _, f := range files {
		if !all && f.Shapes == nil && !slices.ContainsFunc(f.Meshes, func(m inspectedMesh) bool { return !m.Sound }) {
			left += len(f.Meshes)
			continue
		}
		f.say(w)
	}
	if left > 0 {
		fmt.Fprintf(w, "The rest: %d sound meshes, with size and thinnest wall: --%s\n", left, allFlag)
	}
}

// soundness is the verdict on all meshes that were inspected.
type soundness struct{ meshes, bad int }

func (s *soundness) take(m inspectedMesh) {
	s.meshes++
	if !m.Sound {
		s.bad++
	}
}

// say says the verdict, if there was a mesh to judge.
func (s soundness) say(w io.Writer) {
	state, says := verdict.Good, fmt.Sprintf("all %d meshes sound", s.meshes)
	switch {
	case s.meshes == 0:
		return
	case s.meshes == 1 && s.bad == 0:
		says = "the mesh is sound"
	case s.bad > 0:
		state, says = verdict.Stop, fmt.Sprintf("%d of %d meshes NOT sound; what is wrong is said below", s.bad, s.meshes)
	}
	fmt.Fprintf(w, "%s %s  %s\n\n", state.Sign(), state, says)
}

// say tells of the file in plain words.
func (f inspected) say(w io.Writer) {
	fmt.Fprintln(w, nameAsSaid(f.File))
	for _, m := range f.Meshes {
		m.say(w)
	}
	switch {
	case len(f.Shapes) > 0:
		sayShapes(w, f.Shapes)
	case f.Shapes != nil:
		fmt.Fprintln(w, "  no shapes: it draws no path, rectangle, circle, ellipse, line or polygon; text and pictures "+
			"have no outline here")
	}
}

// sayShapes lists the shapes of a drawing.
func sayShapes(w io.Writer, shapes []template.Shape) {
	unit := shapes[0].Unit
	fmt.Fprintf(w, "  %-20s %-12s %7s %9s %9s %10s  %s\n", "id", "read as", "at line",
		"wide, "+unit, "high, "+unit, "area, "+unit+"²", "")
	for _, s := range shapes {
		parts := strings.Join(s.Parts, "+")
		if parts == "" {
			parts = "-"
		}
		var remarks []string
		for _, label := range []string{s.Title, s.Layer} {
			if label != "" {
				remarks = append(remarks, strconv.Quote(label))
			}
		}
		if s.Outlines > 1 {
			remarks = append(remarks, fmt.Sprintf("%d outlines", s.Outlines))
		}
		if s.Problem != "" {
			remarks = append(remarks, s.Problem)
		}
		area := fmt.Sprintf("%.2f", s.Area)
		if !s.Closed && s.Problem == "" {
			area = "open"
		}
		fmt.Fprintf(w, "  %-20s %-12s %7d %9.2f %9.2f %10s  %s\n",
			nameAsSaid(cmp.Or(s.ID, "<"+s.Element+">")), parts, s.Line, s.Width, s.Height, area, strings.Join(remarks, "; "))
	}
	fmt.Fprintln(w, "  Give a shape its part in the case file: template: {names: {ID: part}}.")
}

func (m inspectedMesh) say(w io.Writer) {
	v := m.Verdict
	state := "sound: closed, manifold, wound outwards, no self-intersections"
	if !m.Sound {
		state = "NOT sound"
	}
	fmt.Fprintf(w, "  %s: %s\n", nameAsSaid(m.Name), state)
	for _, f := range v.Findings {
		fmt.Fprintf(w, "    %s\n", f)
	}
	size := v.High.Sub(v.Low)
	fmt.Fprintf(w, "    %d triangles, %d shells, %d of them cavities; %.2f mm³, %.2f mm²; %.2f × %.2f × %.2f mm\n",
		v.Triangles, len(v.Shells), v.Cavities, v.Volume, v.Area, size[0], size[1], size[2])
	if m.Thinnest != nil {
		at := m.Thinnest.At
		fmt.Fprintf(w, "    thinnest wall %.2f mm, at x %.1f, y %.1f, z %.1f "+
			"(engraved letters count: a file does not say what is one)\n", m.Thinnest.Thickness, at[0], at[1], at[2])
	}
}
