package engine_test

import (
	"context"
	"sync"
	"testing"

	"earframe/engine"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asked is a context that tells when it is first made use of.
type asked struct {
	context.Context
	begun chan struct{}
	once  sync.Once
}

func (a *asked) Done() <-chan struct{} {
	a.once.Do(func() { close(a.begun) })
	return a.Context.Done()
}

func TestAnEditCallsOffWhatIsOvertaken(t *testing.T) {
	session := engine.New(engine.KeepUsual).Open(demoCase(t))
	_, err := session.Edit("step", 0.05) // takes long enough to be overtaken
	require.NoError(t, err)
	answered := make(chan error)
	asked := &asked{Context: t.Context(), begun: make(chan struct{})}
	go func() {
		_, err := session.Answer(asked, engine.Fine, nil)
		answered <- err
	}()
	<-asked.begun
	_, err = session.Edit("step", 0.4)
	require.NoError(t, err)
	assert.ErrorIs(t, <-answered, engine.ErrOvertaken)

	answer, err := session.Answer(t.Context(), engine.Coarse, nil)
	require.NoError(t, err, "the newest edit is answered")
	assert.Equal(t, 0.4, answer.Plan.Step)
}

func TestTheCallersContextEndsAnAnswerToo(t *testing.T) {
	session := engine.New(0).Open(demoCase(t))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := session.Answer(ctx, engine.Coarse, nil)
	assert.ErrorIs(t, err, context.Canceled)
	assert.NotErrorIs(t, err, engine.ErrOvertaken)
}

func TestAnEditThatCannotBeMadeLeavesTheCase(t *testing.T) {
	session := engine.New(0).Open(demoCase(t))
	before := session.Case()
	for path, value := range map[string]any{"skin.lateral": -1.0, "skin.latteral": 2.0, "units[helix].thickness": "thick"} {
		_, err := session.Edit(path, value)
		assert.Error(t, err, path)
		assert.Same(t, before, session.Case(), path)
	}
}

func TestUndoingGivesTheSameAnswer(t *testing.T) {
	session := engine.New(engine.KeepUsual).Open(demoCase(t))
	before := session.Case()
	first, err := session.Answer(t.Context(), engine.Coarse, nil)
	require.NoError(t, err)
	_, err = session.Edit("units[helix].thickness", 4.6)
	require.NoError(t, err)
	thicker, err := session.Answer(t.Context(), engine.Coarse, nil)
	require.NoError(t, err)
	assert.Greater(t, piece(t, thicker, "helix").Verdict.Volume, piece(t, first, "helix").Verdict.Volume)
	session.Replace(before)
	again, err := session.Answer(t.Context(), engine.Coarse, nil)
	require.NoError(t, err)
	requireSame(t, first, again, "undone")
}

func TestAnEditMakesOnlyWhatItTouches(t *testing.T) {
	session := engine.New(engine.KeepUsual).Open(demoCase(t))
	first, err := session.Answer(t.Context(), engine.Coarse, nil)
	require.NoError(t, err)
	for _, edit := range []struct {
		path    string
		value   float64
		touched []string // units that are made anew
	}{
		{"units[tragus].thickness", 3.8, []string{"tragus"}},
		{"units[helix].thickness", 4.4, []string{"base", "helix", "concha"}}, // it is let into both
		{"units[antihelix].edge.top", 0.7, []string{"antihelix"}},
		{"skin.medial", 1.8, nil},
		{"pocket.margin", 12, nil},
	} {
		before := session.Case()
		_, err := session.Edit(edit.path, edit.value)
		require.NoError(t, err, edit.path)
		answer, err := session.Answer(t.Context(), engine.Coarse, nil)
		require.NoError(t, err, edit.path)
		var touched []string
		for i := range answer.Framework.Pieces {
			if p := &answer.Framework.Pieces[i]; p.Mesh != first.Framework.Pieces[i].Mesh {
				touched = append(touched, p.Name())
			}
		}
		assert.Equal(t, edit.touched, touched, edit.path)
		session.Replace(before)
	}
}
