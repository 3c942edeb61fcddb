package main

import (
	"io"

	"earframe/internal/workers"

	"github.com/schollz/progressbar/v3"
)

// bar shows progress on a terminal; anywhere else it says nothing.
type bar struct {
	tell  workers.Progress
	shown *progressbar.ProgressBar
}

func newBar(w io.Writer, doing string) *bar {
	if !isTerminal(w) {
		return &bar{}
	}
	shown := progressbar.NewOptions(allDone,
		progressbar.OptionSetWriter(w),
		progressbar.OptionSetDescription(doing),
		progressbar.OptionClearOnFinish(),
		progressbar.OptionSetPredictTime(false),
	)
	return &bar{shown: shown, tell: func(done, all int) {
		_ = shown.Set(allDone * done / all) // a terminal that cannot be written to shows no bar
	}}
}

func (b *bar) clear() {
	if b.shown != nil {
		_ = b.shown.Clear()
	}
}
