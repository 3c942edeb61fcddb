package main

import (
	"bytes"
	"fmt"
	"math"
)

// pocket times the depth map and the pocket check.
func pocket(out *bytes.Buffer) error {
	depth, err := measure("Depth", "./assemble")
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\n## The demo's depth map\n\nTop and underside from the field itself: %.0f ms at 0.4 mm, %.0f ms "+
		"at 0.2 mm, %.0f ms at 0.1 mm.\n",
		1e3*depth["Depth/step_0.4"], 1e3*depth["Depth/step_0.2"], 1e3*depth["Depth/step_0.1"])
	check, err := measure("Pocket", "./pocket")
	if err != nil {
		return err
	}
	fmt.Fprint(out, "\n## The demo's pocket check\n\nFrom the plan on: depth map, drape with its refinement, skin, dead "+
		"space, relief, findings.\n\n"+
		"| first grid, mm | seconds | of which the drape |\n|---|---|---|\n")
	for _, step := range []string{"0.4", "0.2"} {
		fmt.Fprintf(out, "| %s | %.2f | %.2f |\n", step, check["Pocket/step_"+step], check["Pocket/drape_alone,_step_"+step])
	}
	fmt.Fprintf(out, "\nAdvice that has to be worked out by laying the skin again: %.1f s more. The skin's printable "+
		"model: %.1f s.\n",
		check["Pocket/step_0.4_with_advice"]-check["Pocket/step_0.4"], check["Pocket/skin_model"])
	return drapes(out)
}

// drapes times multigrid beside plain relaxation over grid steps. The unknowns
// grow fourfold from step to step.
func drapes(out *bytes.Buffer) error {
	times, err := measure("Lay|PlainRelaxation", "./membrane")
	if err != nil {
		return err
	}
	fmt.Fprint(out, "\n## The drape against its unknowns\n\nAn ear-like frame under suction (bridging radius 9 mm); "+
		"plain relaxation goes on until its energy is within a\n"+
		"millionth. Exponents are of the time over the unknowns, from the step before.\n\n"+
		"| step, mm | multigrid, s | exponent | plain relaxation, s | exponent |\n|---|---|---|---|---|\n")
	before := map[string]float64{}
	for _, step := range []string{"1.6", "0.8", "0.4", "0.2", "0.1"} {
		fmt.Fprintf(out, "| %s", step)
		for _, kind := range []string{"Lay", "PlainRelaxation"} {
			t, ok := times[kind+"/bridging=9/step="+step]
			if !ok {
				fmt.Fprint(out, " | - | -")
				continue
			}
			exponent := "-"
			if before[kind] > 0 {
				exponent = fmt.Sprintf("%.2f", math.Log2(t/before[kind])/2)
			}
			fmt.Fprintf(out, " | %.3f | %s", t, exponent)
			before[kind] = t
		}
		fmt.Fprintln(out, " |")
	}
	return nil
}
