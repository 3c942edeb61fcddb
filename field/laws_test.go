package field_test

import (
	"testing"

	"github.com/go-gl/mathgl/mgl64"
	"pgregory.net/rapid"

	"earframe/field"
	"earframe/internal/fieldtest"
)

func TestEveryKindOfFieldKeepsItsWord(t *testing.T) {
	fieldtest.Hold(t,
		func(t *rapid.T) field.Field { return field.DrawField(t, 2) },
		func(t *rapid.T, _ field.Field) mgl64.Vec3 { return field.DrawPoint(t, 12) })
}
