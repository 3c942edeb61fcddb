package budget

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"earframe/internal/demotest"
)

// fourPieces returns ribs 6 and 7 in a block, 8 and 9, and one more of 6 and 7.
func fourPieces() []Stock {
	return append(plenty(), ribPiece("second block", []int{6, 7}, 110, 38, 10, 200))
}

func BenchmarkFiveUnitsInFourPieces(b *testing.B) {
	plan := demotest.Plan(b)
	for b.Loop() {
		_, err := Check(context.Background(), plan, fourPieces())
		require.NoError(b, err)
	}
}

// BenchmarkFiveUnitsOfSmallRibs has most units short, so that alternatives are
// tried for them.
func BenchmarkFiveUnitsOfSmallRibs(b *testing.B) {
	plan := demotest.Plan(b)
	stocks := []Stock{
		ribPiece("block", []int{6, 7}, 95, 28, 7, 150), ribPiece("rib-8", []int{8}, 75, 10, 7, 80),
		ribPiece("rib-9", []int{9}, 60, 10, 6, 80),
	}
	for b.Loop() {
		_, err := Check(context.Background(), plan, stocks)
		require.NoError(b, err)
	}
}
