package main

import (
	"fmt"
	"io"
	"strings"

	"earframe/report/record"
	"earframe/units/casefile"
)

// sayBolsters tells what the bolsters do, nothing without any.
func sayBolsters(w io.Writer, r *record.Pocket) {
	b := r.Bolsters
	if b == nil {
		return
	}
	const millilitre = 1000 // mm³
	asks := "no more skin"
	if b.Added >= 1 {
		asks = fmt.Sprintf("%.0f mm² more skin", b.Added)
	}
	fmt.Fprintf(w, "\n  Bolsters ask for %s; dead space %.2f ml, without them %.2f ml. Kept without them: %s.\n",
		asks, r.Dead.Volume/millilitre, b.Dead/millilitre, keptShares(b.Relief))
	fmt.Fprintf(w, "  %-20s %8s %10s %10s %12s %16s %6s\n", "bolster", "roll, mm", "length, mm", "on floor", "force, N/mm",
		"without suction", "mmHg")
	for _, roll := range b.Rolls {
		fmt.Fprintf(w, "  %-20s %8.1f %10.0f %8.0f %% %12.3f %16.3f %6.0f\n", roll.Name, roll.Diameter, roll.Length,
			100*roll.Resting, roll.Force, roll.Drained, roll.Pressure/casefile.MmHg)
	}
}

func keptShares(relief []record.Relief) string {
	var said []string
	for _, g := range relief {
		said = append(said, fmt.Sprintf("%s %.0f %%", g.Name, 100*g.Kept))
	}
	return strings.Join(said, ", ")
}
