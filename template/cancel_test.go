package template

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/go-gl/mathgl/mgl64"
	"github.com/stretchr/testify/assert"
)

// comb is an outline of many teeth whose boxes overlap those of the next one's:
// minutes of work where nothing bounds it.
func comb(teeth int) Ring {
	ring := Ring{{0, 0}}
	for i := range teeth {
		x := float64(i) / 20
		ring = append(ring, Ring{{x, 60}, {x + 0.02, 1}, {x + 0.05, 1}}...)
	}
	return append(ring, mgl64.Vec2{float64(teeth) / 20, 0}).wound(false)
}

// All that takes long ends at once when it is cancelled beforehand, and soon when
// it is on its way, with the context's own error.
func TestWorkEndsWhenItIsCancelled(t *testing.T) {
	plate := Outline{ID: "base", Part: "base", Outer: comb(4000)}
	second := plate.clone()
	for i := range second.Outer {
		second.Outer[i][1] += 0.5
	}
	var tiles strings.Builder
	for i := range maxOfPart {
		fmt.Fprintf(&tiles, `<path id="base-%d" d="M%[1]d %[1]d%sv.5%sV%d h-.5z"/>`,
			i, strings.Repeat("h4", 120), strings.Repeat("h-4", 119)+"h-3.5", 600)
	}
	drawing := inMillimetres(tiles.String())
	for name, work := range map[string]func(context.Context) error{
		"read": func(ctx context.Context) error {
			_, err := ReadFrom(ctx, strings.NewReader(drawing), "ear.svg", Options{})
			return err
		},
		"inspect": func(ctx context.Context) error {
			_, err := InspectFrom(ctx, strings.NewReader(drawing), "ear.svg")
			return err
		},
		"offset":   func(ctx context.Context) error { _, err := Offset(ctx, plate, 0.01); return err },
		"take off": func(ctx context.Context) error { _, err := TakeOff(ctx, plate, 0.01); return err },
		"join":     func(ctx context.Context) error { _, err := Join(ctx, []Outline{plate, second}); return err },
	} {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		assert.ErrorIs(t, work(ctx), context.Canceled, name)

		ctx, cancel = context.WithTimeout(t.Context(), time.Millisecond)
		start := time.Now()
		assert.ErrorIs(t, work(ctx), context.DeadlineExceeded, name)
		assert.Less(t, time.Since(start), time.Second, name)
		cancel()
	}
}
