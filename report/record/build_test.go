package record_test

import (
	"context"
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"earframe/assemble"
	"earframe/internal/demotest"
	"earframe/mesh"
	"earframe/mesh/wall"
	"earframe/pocket"
	"earframe/report/record"
	"earframe/units"
)

// slab is a box of 10 × 20 × 3 mm with a corner at the origin.
func slab() *mesh.Mesh {
	m := &mesh.Mesh{Triangles: [][3]int32{
		{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
		{2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5},
	}}
	for i := range 8 {
		m.Vertices = append(m.Vertices, mgl64.Vec3{float64(i & 1 * 10), float64(i >> 1 & 1 * 20), float64(i >> 2 * 3)})
	}
	return m
}

// The numbers are worked by hand: 10 · 20 · 3 = 600 mm³, 2 · (200 + 60 + 30) = 580 mm².
const slabRecord = `{
  "caution": "Mind.",
  "case": "slab",
  "side": "left",
  "verdicts": [
    {
      "question": "sound",
      "state": "good",
      "says": "every mesh is closed, none crosses itself; one unit stands as one framework"
    },
    {
      "question": "pocket",
      "state": "not known",
      "says": "neither ear nor pocket is drawn"
    },
    {
      "question": "skin",
      "state": "not known",
      "says": "no skin was laid"
    },
    {
      "question": "relief",
      "state": "not known",
      "says": "no skin was laid"
    },
    {
      "question": "print",
      "state": "to mind",
      "says": "thinnest wall 3.00 mm (base), a filament printer makes 0.90 mm"
    }
  ],
  "to_do": [
    {
      "severity": "warning",
      "question": "print",
      "where": [
        "base"
      ],
      "do": "a wall of 0.70 mm, the printer makes 0.90 mm: widen or thicken it there",
      "count": 1
    }
  ],
  "inputs": [
    {
      "path": "units[base].rise",
      "value": [
        {
          "at": 0,
          "height": 1.5
        },
        {
          "at": 1,
          "height": 0.333333
        }
      ],
      "unit": "mm",
      "origin": "given",
      "note": "case.yaml:3"
    }
  ],
  "units": [
    {
      "name": "base",
      "label": "Base frame",
      "part": "base",
      "ribs": [
        6,
        7
      ],
      "volume_mm3": 600,
      "area_mm2": 580,
      "low_mm": [
        0,
        0,
        0
      ],
      "high_mm": [
        10,
        20,
        3
      ],
      "size_mm": [
        10,
        20,
        3
      ],
      "thinnest_wall": {
        "thickness": 3,
        "at": [
          5,
          10,
          0
        ]
      },
      "triangles": 12,
      "shells": 1,
      "cavities": 0,
      "soundness": "closed, manifold, coherently wound, free of self-intersections"
    }
  ],
  "framework": {
    "volume_mm3": 600,
    "area_mm2": 580,
    "low_mm": [
      0,
      0,
      0
    ],
    "high_mm": [
      10,
      20,
      3
    ],
    "size_mm": [
      10,
      20,
      3
    ],
    "thinnest_wall": null,
    "triangles": 12,
    "shells": 1,
    "cavities": 0,
    "soundness": "closed, manifold, coherently wound, free of self-intersections"
  },
  "contacts": null,
  "findings": [
    {
      "rule": "wall-too-thin",
      "severity": "warning",
      "unit": "base",
      "message": "too thin",
      "at": [
        1,
        2,
        3
      ],
      "value": 0.7,
      "limit": 0.9,
      "measure": "mm",
      "advice": "Make it thicker"
    }
  ],
  "versions": null
}
`

func TestASlabIsRecordedAsWorkedByHand(t *testing.T) {
	m := slab()
	verdict := mesh.Judge(m)
	require.NoError(t, verdict.Err())
	unit := units.Unit{Name: "base", Part: units.Base, Label: "Base frame", Ribs: []int{6, 7}}
	plan := &units.Plan{ID: "slab", Side: units.Left, Printer: units.Printer{Name: "filament", Wall: 0.9}, Values: []units.Value{{
		Path: "units[base].rise", Value: []units.RisePoint{{At: 0, Height: 1.5}, {At: 1, Height: 1.0 / 3}},
		Unit: "mm", Origin: units.Given, Note: "case.yaml:3",
	}}}
	taken := record.NewBuild(&assemble.Framework{
		Plan: plan,
		Pieces: []assemble.Piece{{
			Unit: &unit, Shape: assemble.Shape{Mesh: m, Verdict: verdict},
			Walls: wall.Walls{Drawn: &wall.Wall{Thickness: 3, At: mgl64.Vec3{5, 10, 0}}},
		}},
		Joined: &assemble.Piece{Shape: assemble.Shape{Mesh: m, Verdict: verdict}},
		Findings: []units.Finding{{
			Rule: "wall-too-thin", Severity: units.Warning, Unit: "base", Message: "too thin", At: &mgl64.Vec3{1, 2, 3},
			Value: 0.7, Limit: 0.9, Measure: "mm", Advice: "Make it thicker",
		}},
	}, nil, nil, "Mind.")
	assert.Contains(t, taken.Versions, "go")
	taken.Versions = nil // they change with the program
	data, err := taken.JSON()
	require.NoError(t, err)
	assert.Equal(t, slabRecord, string(data))
}

func TestTheBuildsRecordHoldsThePocketAndItsFindingsOnce(t *testing.T) {
	laid, err := pocket.Check(context.Background(), demotest.Plan(t), pocket.Options{Step: 0.8, NoAdvice: true})
	require.NoError(t, err)
	require.NotEmpty(t, laid.Findings)
	alone := record.NewPocket(laid)
	bare := &assemble.Framework{Plan: laid.Plan}
	taken := record.NewBuild(bare, laid, nil, "")
	assert.Equal(t, alone.Findings, taken.Findings)
	assert.Equal(t, alone.ToDo, taken.ToDo)
	assert.Subset(t, taken.Verdicts, alone.Verdicts)
	assert.Empty(t, taken.Pocket.Findings)
	assert.Empty(t, taken.Pocket.Verdicts)
	assert.Empty(t, taken.Pocket.ToDo)
	assert.Equal(t, alone.Pocket, taken.Pocket.Pocket)

	taken = record.NewBuild(bare, nil, []units.Finding{pocket.Refusal(pocket.ErrNoPocket)}, "")
	assert.Nil(t, taken.Pocket)
	require.Len(t, taken.Findings, 1)
	assert.Equal(t, units.Note, taken.Findings[0].Severity)
}
