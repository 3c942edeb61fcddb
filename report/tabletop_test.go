package report_test

import (
	"context"
	"image/color"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/mesh/meshfile"
	"earframe/report"
)

func TestATabletopShowsEveryObjectWhereItLies(t *testing.T) {
	vermilion := color.RGBA{R: 0xD5, G: 0x5E, B: 0x00, A: 255}
	objects := []report.Object{
		{Name: "a", Label: "Lower half", Color: skyBlue, Mesh: box(mgl64.Vec3{0, 0, 0}, mgl64.Vec3{40, 20, 6})},
		{Name: "b", Label: "Upper half", Color: vermilion, Mesh: box(mgl64.Vec3{-5, -5, 0}, mgl64.Vec3{35, 15, 6})},
	}
	meshfile.LayOutRows(objects, 5, 60)
	assert.Greater(t, objects[1].Offset[1], 20.0, "the second does not fit the first row")
	picture, err := report.Tabletop(context.Background(), objects, report.TabletopOptions{Name: "moulds", CaseID: "a1", Title: "Casting moulds", Legend: "Moulds"})
	require.NoError(t, err)
	assert.Equal(t, "moulds", picture.Name)
	bounds, share := inked(picture)
	assert.Greater(t, share, 0.05)
	assert.True(t, bounds.In(drawing.Inset(8)), "cut off at the edge: %v", bounds)
	for _, o := range objects {
		count, _, _ := where(picture, o.Color)
		assert.Greater(t, count, 300, o.Label)
	}
	_, err = report.Tabletop(context.Background(), nil, report.TabletopOptions{})
	assert.ErrorContains(t, err, "no objects")
}
