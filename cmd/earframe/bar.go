package main

import (
	"io"

	"github.com/schollz/progressbar/v3"
)

// bar shows progress on a terminal; anywhere else it says nothing.
type bar struct{ shown *progressbar.ProgressBar }

// Percentages on the bar: making the framework takes most of a build's time.
const (
	frameworkMade = 70
	allDone       = 100
)

func newBar(w io.Writer, doing string) *bar {
	if !isTerminal(w) {
		return &bar{}
	}
	return &bar{progressbar.NewOptions(allDone,
		progressbar.OptionSetWriter(w),
		progressbar.OptionSetDescription(doing),
		progressbar.OptionClearOnFinish(),
		progressbar.OptionSetPredictTime(false),
	)}
}

// part returns what is told the progress of the work between two percentages of
// the whole.
func (b *bar) part(from, to int) func(done, all int) {
	return func(done, all int) { b.set(from + (to-from)*done/all) }
}

func (b *bar) set(percent int) {
	if b.shown != nil {
		_ = b.shown.Set(percent) // a terminal that cannot be written to shows no bar
	}
}

func (b *bar) clear() {
	if b.shown != nil {
		_ = b.shown.Clear()
	}
}
