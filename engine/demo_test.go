package engine_test

import (
	"testing"

	"earframe/assemble"
	"earframe/engine"
	"earframe/internal/demotest"
	"earframe/units/casefile"

	"github.com/stretchr/testify/require"
)

// demoCase returns a case whose values are known here, in a folder of its own.
func demoCase(t testing.TB) *casefile.Case {
	t.Helper()
	c, err := engine.New(0).Read(demotest.Write(t))
	require.NoError(t, err)
	return c
}

// smallCase returns a case with the demo's drawing of which base frame and tragus
// alone are built: quick to answer.
func smallCase(t testing.TB) *casefile.Case {
	t.Helper()
	c, err := casefile.Parse(demoCase(t).File, []byte("case: small\ntemplate: {drawn: frame}\nleave_out: [helix, "+
		"antihelix, concha]\n"))
	require.NoError(t, err)
	return c
}

// piece returns the answer's unit of that name.
func piece(t testing.TB, a *engine.Answer, name string) *assemble.Piece {
	t.Helper()
	for i := range a.Framework.Pieces {
		if p := &a.Framework.Pieces[i]; p.Name() == name {
			return p
		}
	}
	require.Fail(t, "no unit "+name)
	return nil
}
