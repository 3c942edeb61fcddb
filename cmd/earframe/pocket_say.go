package main

import (
	"fmt"
	"io"
	"strings"

	"earframe/engine"
	"earframe/pocket"
	"earframe/report/record"
	"earframe/units/casefile"
)

// sayPocketCheck says what came of laying the skin: the verdict, or all.
func sayPocketCheck(w io.Writer, r *record.Pocket, dir string, all bool) {
	brief{
		title:    fmt.Sprintf("%s, %s ear: the skin over the framework", r.Case, r.Side),
		verdicts: r.Verdicts, todo: r.ToDo, findings: r.Findings, unsourced: unsourced(r.Inputs, false),
		record: "pocket.json", wrote: "Wrote pocket.json, skin.stl, skin.3mf, views and depth to " + dir,
		cautions: []string{engine.Caution, pocket.Caution},
		rest:     func(w io.Writer) { sayPocket(w, r) },
	}.say(w, all)
}

// sayPocket tells in plain words what the pocket check found.
func sayPocket(w io.Writer, r *record.Pocket) {
	fmt.Fprintf(w, "%s, %s ear: the skin over the framework\n\n", r.Case, r.Side)
	fmt.Fprintf(w, "  Pocket: %s, %.0f mm²; %s.\n", r.Pocket.From, r.Pocket.Area, bridging(r.Bridging))
	fmt.Fprintf(w, "  Depth: the frame stands %.1f mm over the bed at its highest (%s), %.1f mm with the skin over "+
		"it%s.\n",
		r.Depth.Frame.Height, r.Depth.Unit, r.Depth.Outside, takes(r.Depth))
	fmt.Fprintf(w, "  Skin: the frame asks for %.0f mm², %.2f times the pocket's area; "+
		"%s.\n", r.Demand.Drape, r.Demand.Ratio, missing(r.Demand))
	fmt.Fprintf(w, "  Tightness: %.2f times if the skin slides freely (%s); without sliding "+
		"%s.\n", r.Demand.Sliding, r.Demand.Band, shares(r.Stretch.Bands))
	fmt.Fprintf(w, "  Contact: skin lies on the frame over %.0f %% of the pocket, on the bed over %.0f %%, free over "+
		"%.0f %%.\n",
		100*r.Contact.OnFrame, 100*r.Contact.OnBed, 100*r.Contact.Free)
	fmt.Fprintf(w, "  Dead space: %.2f ml in all.\n", r.Dead.Volume/1000)
	const most = 6
	for _, s := range r.Dead.Spaces[:min(most, len(r.Dead.Spaces))] {
		fmt.Fprintf(w, "    %.2f ml, up to %.1f mm (%s): %s\n", s.Volume/1000, s.Deepest, s.AtPlace, s.Place)
	}
	sayRelief(w, r)
	sayBolsters(w, r)
	s := r.Solution
	fmt.Fprintf(w, "\n  Worked out on a grid of %.2g mm; against twice that, depth changed by %.2f %% and skin demand "+
		"by %.2f %%.\n\n",
		s.Step, 100*s.PeakChange, 100*s.DemandChange)
}

// bridging says the bridging radius and where it comes from.
func bridging(b record.Bridging) string {
	switch {
	case b.Radius == nil:
		return "no suction"
	case b.Given:
		return fmt.Sprintf("bridging radius %.1f mm (given)", *b.Radius)
	}
	return fmt.Sprintf("bridging radius %.1f mm under %s, tension %.0f N/m (forearm skin's unless given)", *b.Radius,
		casefile.Suction(b.Suction), b.Tension)
}

// sayRelief says how much of each groove and ridge shows, under other suctions and
// tensions too.
func sayRelief(w io.Writer, r *record.Pocket) {
	fmt.Fprintf(w, "\n  %-20s %10s %12s %8s", "relief", "frame, mm", "outside, mm", "kept")
	for _, s := range r.Bridging.States {
		fmt.Fprintf(w, " %14s", s.Name)
	}
	for _, g := range r.Relief {
		fmt.Fprintf(w, "\n  %-20s %10.1f %12.1f %6.0f %%", g.Name, g.OnFrame, g.OnSkin, 100*g.Kept)
		for _, s := range r.Bridging.States {
			for _, k := range s.Kept {
				if k.Name == g.Name {
					fmt.Fprintf(w, " %12.0f %%", 100*k.Kept)
				}
			}
		}
	}
	fmt.Fprintln(w)
}

func takes(d record.PocketDepth) string {
	switch {
	case d.Available == nil:
		return "; give pocket.depth to know whether the pocket takes it"
	case *d.Room < 0:
		return fmt.Sprintf("; the pocket takes %.1f mm, %.1f mm too little", *d.Available, -*d.Room)
	}
	return fmt.Sprintf("; the pocket takes %.1f mm, %.1f mm more than that", *d.Available, *d.Room)
}

func missing(d record.SkinDemand) string {
	switch {
	case d.Missing > 0 && d.Extra == 0:
		return fmt.Sprintf("%.0f mm² are missing, and the flaps bring none", d.Missing)
	case d.Missing > 0:
		return fmt.Sprintf("%.0f mm² are missing beyond the %.0f mm² that the flaps bring", d.Missing, d.Extra)
	}
	return fmt.Sprintf("%.0f mm² of what the flaps bring are left over", -d.Missing)
}

// shares says how much of the pocket each band of stretch has.
func shares(bands []record.BandShare) string {
	var said []string
	for _, b := range bands {
		said = append(said, fmt.Sprintf("%.0f %% %s", 100*b.Share, b.Name))
	}
	return strings.Join(said, ", ")
}
