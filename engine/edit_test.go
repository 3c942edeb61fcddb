package engine_test

import (
	"bytes"
	"math/rand/v2"
	"os"
	"reflect"
	"runtime"
	"slices"
	"strconv"
	"testing"

	"earframe/engine"
	"earframe/units"
	"earframe/units/casefile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// dice returns random numbers that EARFRAME_SEED repeats.
func dice(t testing.TB) *rand.Rand {
	seed := uint64(1)
	if given, err := strconv.ParseUint(os.Getenv("EARFRAME_SEED"), 10, 64); err == nil {
		seed = given
	}
	t.Logf("EARFRAME_SEED=%d", seed)
	return rand.New(rand.NewPCG(seed, 0))
}

// numbers returns the paths of all numbers of a plan, with their values.
func numbers(plan *units.Plan) (paths []string, values []float64) {
	for _, v := range plan.Values {
		if number, ok := v.Value.(float64); ok {
			paths, values = append(paths, v.Path), append(values, number)
		}
	}
	return paths, values
}

// edited changes one number of the case, by up to a fifth of it; it may be one
// that the case refuses.
func edited(random *rand.Rand, c *casefile.Case, plan *units.Plan) (*casefile.Case, string, error) {
	paths, values := numbers(plan)
	k := random.IntN(len(paths))
	value := float64(int(100*values[k]*(0.8+0.4*random.Float64()))) / 100
	changed, err := c.With(paths[k], value)
	return changed, paths[k] + " = " + strconv.FormatFloat(value, 'g', -1, 64), err
}

func TestWhatIsUsedAgainIsWhatAFreshBuildMakes(t *testing.T) {
	count := 200
	if testing.Short() {
		count = 20
	}
	random := dice(t)
	session := engine.New(engine.KeepUsual).Open(demoCase(t))
	answered := 0
	for range count {
		before := session.Case()
		plan, err := engine.New(0).Plan(t.Context(), before)
		require.NoError(t, err)
		changed, what, err := edited(random, before, plan)
		if err != nil {
			continue // a value out of its range
		}
		session.Replace(changed)
		kept, err := session.Answer(t.Context(), engine.Coarse, nil)
		fresh, freshly := engine.New(0).Open(changed).Answer(t.Context(), engine.Coarse, nil)
		if freshly != nil {
			assert.EqualError(t, err, freshly.Error(), what)
			session.Replace(before)
			continue
		}
		require.NoError(t, err, what)
		requireSame(t, fresh, kept, what)
		answered++
		if random.IntN(3) == 0 { // undone, as a user does
			session.Replace(before)
		}
	}
	assert.Greater(t, answered, count/2, "most edits can be answered")
}

func requireSame(t *testing.T, want, got *engine.Answer, what string) {
	t.Helper()
	require.Equal(t, want.Findings(), got.Findings(), what)
	require.Equal(t, want.Framework.Contacts, got.Framework.Contacts, what)
	for i := range want.Framework.Pieces {
		a, b := &want.Framework.Pieces[i], &got.Framework.Pieces[i]
		require.True(t, reflect.DeepEqual(a.Mesh, b.Mesh), "%s: mesh of %s", what, a.Name())
		require.Equal(t, a.Verdict, b.Verdict, "%s: %s", what, a.Name())
		require.Equal(t, a.Walls, b.Walls, "%s: %s", what, a.Name())
	}
	require.Equal(t, want.Skin == nil, got.Skin == nil, what)
	if want.Skin != nil {
		require.Equal(t, want.Skin.Measures, got.Skin.Measures, what)
		require.True(t, slices.Equal(depths(t, want), depths(t, got)), "%s: depth map", what)
	}
}

// depths returns the answer's depth map as it is written.
func depths(t *testing.T, a *engine.Answer) []byte {
	var written bytes.Buffer
	require.NoError(t, a.Skin.Depth.WriteCSV(&written))
	return written.Bytes()
}

func TestManyEditsLeaveMemoryFlat(t *testing.T) {
	if testing.Short() {
		t.Skip("500 edits")
	}
	const bound = 32 << 20
	random := dice(t)
	session := engine.New(bound).Open(smallCase(t))
	start := session.Case()
	plan, err := engine.New(0).Plan(t.Context(), start)
	require.NoError(t, err)
	held := func() uint64 {
		runtime.GC()
		var stats runtime.MemStats
		runtime.ReadMemStats(&stats)
		return stats.HeapAlloc
	}
	var early uint64
	for i := range 500 {
		changed, _, err := edited(random, start, plan)
		if err != nil {
			continue
		}
		session.Replace(changed)
		_, _ = session.Answer(t.Context(), engine.Coarse, nil) // a plan that cannot be built is an answer too
		if i == 100 {
			early = held()
		}
	}
	assert.Less(t, float64(held()), float64(early)+bound/2)
}
