// Package fixation plans where the units of a framework are wired together on
// the practice bench: points along every seam, each with the direction of the
// wire, how much material it passes in either unit, and the wire that all of
// them take.
//
// A seam is the middle line of the patch over which two units lie on one
// another: it keeps the same distance from both edges of the patch, so that the
// wire has as much material around it as there is. Where the patch forks, as
// under the antihelix, every limb has a seam of its own; where it is a ring, as
// between the conchal vault and the base frame, so is the seam.
//
// Lengths are millimetres in the framework's coordinates; directions are unit
// vectors that point inward, from the outer surface toward the head. Points lie
// where the patch was found by plumb lines through both solids, exact to a
// hundredth of a millimetre. Units that meet along upright faces only, as in a
// butt joint, are wired along the outline that they share, square to it and
// halfway up; a finding names those whose face is too low for that.
//
// The plan is for practice, simulation and teaching. It is no instruction for
// an operation: the licensed surgeon decides where and whether a wire goes.
package fixation
