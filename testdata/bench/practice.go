package main

import (
	"bytes"
	"fmt"
)

// nesting times the cartilage budget alone.
func nesting(out *bytes.Buffer) error {
	times, err := measure("FiveUnits", "./practice/budget")
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\n## Nesting\n\nFive units in four pieces: %.2f s. In small ribs, where most units are short and "+
		"other ways are tried: %.2f s.\n",
		times["FiveUnitsInFourPieces"], times["FiveUnitsOfSmallRibs"])
	return nil
}
