// Command earframe turns the template of an ear framework into true-to-scale
// practice models: unit meshes, the assembled framework, pictures and a record.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
)

// A build makes much short-lived memory and little that lasts: collecting it
// less often, up to a bound, saves a sixth of the time.
const (
	collectAt   = 400 // percent of what lasts
	memoryBound = 350 << 20
)

func main() {
	debug.SetGCPercent(collectAt)
	debug.SetMemoryLimit(memoryBound)
	signal.Ignore(syscall.SIGPIPE) // a reader that goes away is an error of writing, not the end
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program at once
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}
