package units

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWhoWaitsForWhatAnotherMakesIsLetGoByTheirContext(t *testing.T) {
	var thing once[int]
	begun, finish := make(chan struct{}), make(chan struct{})
	first := make(chan int)
	go func() {
		value, _ := thing.get(context.Background(), func() (int, error) {
			close(begun)
			<-finish
			return 7, nil
		})
		first <- value
	}()
	<-begun
	ended, end := context.WithCancel(t.Context())
	end()
	never := func() (int, error) { t.Error("made twice"); return 0, nil }
	_, err := thing.get(ended, never)
	require.ErrorIs(t, err, context.Canceled)
	close(finish)
	assert.Equal(t, 7, <-first)
	value, err := thing.get(ended, never)
	require.NoError(t, err)
	assert.Equal(t, 7, value, "what is there needs no waiting")
}

func TestWhatFailedIsMadeAnewByTheNext(t *testing.T) {
	var thing once[int]
	failure := errors.New("not now")
	_, err := thing.get(t.Context(), func() (int, error) { return 1, failure })
	require.ErrorIs(t, err, failure)
	assert.Panics(t, func() { _, _ = thing.get(t.Context(), func() (int, error) { panic("broken") }) })
	value, err := thing.get(t.Context(), func() (int, error) { return 2, nil })
	require.NoError(t, err)
	assert.Equal(t, 2, value)
}
