package engine

import (
	"context"

	"earframe/pocket"
	"earframe/publish"
	"earframe/report"
	"earframe/report/record"
)

// VariationMakes are the names of all that a variation ever writes.
var VariationMakes = []string{"vary.json", "vary.csv", "views/pocket-vary.png"}

// WriteVariation writes the table and the plot of a variation to the place and
// concludes it.
func WriteVariation(ctx context.Context, v *pocket.Variation, to publish.Place) error {
	data, err := record.NewVariation(v).JSON()
	if err != nil {
		return err
	}
	if err := publish.WriteBytes(ctx, to, "vary.json", data); err != nil {
		return err
	}
	if err := writeText(ctx, to, "vary.csv", v.WriteCSV); err != nil {
		return err
	}
	picture, err := report.PocketVariation(v)
	if err != nil {
		return err
	}
	if err := writePictures(ctx, to, picture); err != nil {
		return err
	}
	_, err = to.Conclude(ctx, nil)
	return err
}
