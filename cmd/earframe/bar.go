package main

import (
	"io"

	"github.com/schollz/progressbar/v3"
)

// bar shows progress on a terminal; anywhere else it says nothing.
type bar struct{ shown *progressbar.ProgressBar }

// The bar's parts, in percent: making the framework takes most of the time.
const (
	frameworkPart = 70
	wholePart     = 100
)

func newBar(w io.Writer, doing string) *bar {
	if !isTerminal(w) {
		return &bar{}
	}
	return &bar{progressbar.NewOptions(wholePart,
		progressbar.OptionSetWriter(w),
		progressbar.OptionSetDescription(doing),
		progressbar.OptionClearOnFinish(),
		progressbar.OptionSetPredictTime(false),
	)}
}

// framework is told how much of the framework is made.
func (b *bar) framework(done, all int) { b.set(frameworkPart * done / all) }

// output is told how much of the output is written.
func (b *bar) output(done, all int) {
	b.set(frameworkPart + (wholePart-frameworkPart)*done/all)
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
