// Package kept keeps what was made, under a key of all that shaped it, so that it
// need not be made again. Memory is bounded: what was longest not asked for goes
// first. What is kept is shared and must not be changed.
package kept
