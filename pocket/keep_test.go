package pocket

import (
	"testing"

	"earframe/internal/demotest"
	"earframe/internal/kept"

	"github.com/stretchr/testify/assert"
)

func TestAdviceIsKeptForWhatItFollowsFromAlone(t *testing.T) {
	p := demotest.Plan(t)
	store := kept.NewStore(1 << 28)
	first := check(t, p, Options{Step: 0.8, Kept: store}).Findings
	made := store.Counts().Made
	p.Skin.Medial *= 2
	assert.Equal(t, first, check(t, p, Options{Step: 0.8, Kept: store}).Findings)
	assert.Equal(t, made, store.Counts().Made, "nothing follows from the skin toward the head")
	for what, change := range map[string]func(){
		"skin brought by the flaps": func() { p.Pocket.ExtraSkin = 300 },
		"bridging radius":           func() { p.Pocket.BridgingRadius = 4 },
	} {
		change()
		kept := check(t, p, Options{Step: 0.8, Kept: store}).Findings
		assert.Equal(t, check(t, p, Options{Step: 0.8}).Findings, kept, what)
		assert.NotEqual(t, first, kept, what)
	}
}
