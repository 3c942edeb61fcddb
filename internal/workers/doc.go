// Package workers shares work over the cores: many tasks of one stage (Each),
// or a few different jobs side by side (Jobs). Which task runs when never shows
// in a result: tasks write to places of their own, and of several errors that of
// the lowest task is returned.
//
// A context that carries a Trace is told of every stage how long it took, in how
// many tasks, and how long the longest of them was: what cannot be shared out
// shows there.
package workers
