package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"earframe/engine"
	"earframe/units"
	"earframe/units/demo"
)

// edits changes each number of the demo by a twentieth, one after the other, and
// tells how soon the coarse and the fine answer are there.
func edits(out *bytes.Buffer, session *engine.Session, plan *units.Plan) error {
	took := map[engine.Level][]edit{}
	for _, level := range []engine.Level{engine.Coarse, engine.Fine} { // as after the case was opened
		if _, err := answered(session, level); err != nil {
			return err
		}
	}
	before := session.Case()
	for _, v := range plan.Values {
		number, ok := v.Value.(float64)
		if !ok || number == 0 {
			continue
		}
		changed, err := before.With(v.Path, number*1.05)
		if err != nil {
			continue // out of its range
		}
		session.Replace(changed)
		for _, level := range []engine.Level{engine.Coarse, engine.Fine} {
			duration, err := answered(session, level)
			if err != nil {
				break // a case that cannot be built
			}
			took[level] = append(took[level], edit{v.Path, duration})
		}
	}
	session.Replace(before)
	fmt.Fprint(out, "\n## Edits\n\nEach number of the demo changed by a twentieth, from the demo as it is: how soon the "+
		"answer is there.\n\n"+
		"| answer | edits | median, ms | 95th in 100, ms | slowest, ms | the slowest |\n|---|---|---|---|---|---|\n")
	for _, level := range []engine.Level{engine.Coarse, engine.Fine} {
		all := took[level]
		slices.SortFunc(all, func(a, b edit) int { return int(a.took - b.took) })
		last := all[len(all)-1]
		fmt.Fprintf(out, "| %s | %d | %.0f | %.0f | %.0f | `%s` |\n", level, len(all),
			ms(all[len(all)/2].took), ms(all[len(all)*95/100].took), ms(last.took), last.path)
	}
	return nil
}

type edit struct {
	path string
	took time.Duration
}

func ms(d time.Duration) float64 { return d.Seconds() * 1e3 }

// interactive adds what is measured within this process.
func interactive(out *bytes.Buffer) error {
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	path, err := engine.StartDemo(context.Background(), filepath.Join(dir, "case"), demo.Good)
	if err != nil {
		return err
	}
	e := engine.New(engine.KeepUsual)
	c, err := e.Read(path)
	if err != nil {
		return err
	}
	plan, err := e.Plan(context.Background(), c)
	if err != nil {
		return err
	}
	if err := edits(out, e.Open(c), plan); err != nil {
		return err
	}
	return stages(out, plan)
}
