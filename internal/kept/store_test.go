package kept

import (
	"context"
	"errors"
	"math"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func sized(n int64) func(string) int64 { return func(string) int64 { return n } }

func made(value string) func(context.Context) (string, error) {
	return func(context.Context) (string, error) { return value, nil }
}

func TestKeysTellApart(t *testing.T) {
	keys := map[Key]string{}
	for name, key := range map[string]Key{
		"nothing": KeyOf(), "empty": KeyOf(""), "ab c": KeyOf("ab", "c"), "a bc": KeyOf("a", "bc"), "abc": KeyOf("abc"),
		"one": KeyOf(1), "1.0": KeyOf(1.0), "next to " +
			"1.0": KeyOf(math.Nextafter(1, 2)), "0": KeyOf(0.0), "-0": KeyOf(math.Copysign(0, -1)),
		"true": KeyOf(true), "false": KeyOf(false), "list": KeyOf([]float64{1, 2}), "shorter list": KeyOf([]float64{1}, 2.0),
		"keys": KeyOf([]Key{{1}}), "key": KeyOf(Key{1}), "bytes": KeyOf([]byte("abc")),
	} {
		assert.NotContains(t, keys, key, name)
		keys[key] = name
	}
	assert.Equal(t, KeyOf("a", 1, 2.5), KeyOf("a", 1, 2.5))
	assert.Panics(t, func() { KeyOf(struct{}{}) })
}

func TestWhatIsKeptIsNotMadeAgain(t *testing.T) {
	s := NewStore(100)
	got, err := Get(t.Context(), s, KeyOf("a"), sized(1), made("first"))
	require.NoError(t, err)
	assert.Equal(t, "first", got)
	got, err = Get(t.Context(), s, KeyOf("a"), sized(1), made("second"))
	require.NoError(t, err)
	assert.Equal(t, "first", got)
	assert.Equal(t, Counts{Found: 1, Made: 1, Bytes: 1, Items: 1}, s.Counts())
}

func TestWhatWasLongestNotAskedForGoesFirst(t *testing.T) {
	s := NewStore(10)
	get := func(name string, bytes int64) {
		_, err := Get(t.Context(), s, KeyOf(name), sized(bytes), made(name))
		require.NoError(t, err)
	}
	get("a", 4)
	get("b", 4)
	get("a", 4) // asked for again
	get("c", 4) // no room for all three
	before := s.Counts().Made
	get("a", 4)
	assert.Equal(t, before, s.Counts().Made, "a stays")
	get("b", 4)
	assert.Equal(t, before+1, s.Counts().Made, "b went")
	get("too large", 11)
	assert.LessOrEqual(t, s.Counts().Bytes, int64(10))
	assert.Equal(t, 2, s.Counts().Items, "what is too large pushes nothing out")
}

func TestOneMakesOthersWait(t *testing.T) {
	s := NewStore(100)
	var count atomic.Int64
	var group sync.WaitGroup
	for range 20 {
		group.Go(func() {
			got, err := Get(t.Context(), s, KeyOf("a"), sized(1), func(context.Context) (string, error) {
				count.Add(1)
				return "one", nil
			})
			assert.NoError(t, err)
			assert.Equal(t, "one", got)
		})
	}
	group.Wait()
	assert.EqualValues(t, 1, count.Load())
}

func TestAFailureIsNotKept(t *testing.T) {
	s := NewStore(100)
	_, err := Get(t.Context(), s, KeyOf("a"), sized(1), func(context.Context) (string, error) { return "", errors.New("no") })
	assert.EqualError(t, err, "no")
	got, err := Get(t.Context(), s, KeyOf("a"), sized(1), made("now"))
	require.NoError(t, err)
	assert.Equal(t, "now", got)
}

func TestWhoWaitsForOneThatWasStoppedMakesItThemselves(t *testing.T) {
	s := NewStore(100)
	stopped, stop := context.WithCancel(t.Context())
	begun := make(chan struct{})
	var group sync.WaitGroup
	group.Go(func() {
		_, err := Get(stopped, s, KeyOf("a"), sized(1), func(ctx context.Context) (string, error) {
			close(begun)
			<-ctx.Done()
			return "", ctx.Err()
		})
		assert.ErrorIs(t, err, context.Canceled)
	})
	<-begun
	group.Go(func() {
		got, err := Get(t.Context(), s, KeyOf("a"), sized(1), made("mine"))
		assert.NoError(t, err)
		assert.Equal(t, "mine", got)
	})
	stop()
	group.Wait()
}

func TestWithoutAStoreThingsAreMade(t *testing.T) {
	got, err := Get(t.Context(), nil, KeyOf("a"), sized(1), made("fresh"))
	require.NoError(t, err)
	assert.Equal(t, "fresh", got)
}
