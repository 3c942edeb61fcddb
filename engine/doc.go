// Package engine does all that earframe does: a case goes in, answers come out.
// The command, a page and any program call it alike.
//
// An Engine reads a case's drawing, plans it, makes its units solid, joins them,
// lays the skin over them, makes practice sets and varies numbers; it keeps what
// it made under a key of all that shaped it, so that changing one number makes
// anew only what that number touches. What is used again is the same, byte for
// byte, as what a fresh build makes. Answers come at two levels: Coarse while a
// hand moves, Fine for what files hold.
//
// A Session is a case being worked on: an edit calls off what earlier edits are
// still waiting for.
//
// Results are plain values. They are written to a place that the caller gives: a
// folder, memory, or a zip file. Every long call takes a context, which ends it
// early, and tells its progress.
//
// For practice, simulation and explanation only: see Caution, which goes with
// everything that is written.
package engine

// Caution stands wherever a user could be tempted to use a model for more than
// it is.
const Caution = "For practice, simulation and explanation only: not a medical device, not an implant, not a cutting " +
	"guide. " +
	"The licensed surgeon and local rules decide."
