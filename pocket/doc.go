// Package pocket lays the skin over a planned framework in its pocket and says
// in the words of the trade what a surgeon asks before closing: whether the
// pocket takes the frame's height, how much skin it asks for, where the skin
// bridges and leaves dead space, and which groove will still be seen.
//
// It brings together the plan, the depth map of package assemble and the drape
// of package membrane, names places by anatomy, and turns what is out of bounds
// into findings with advice that is worked out, not canned. Lengths are mm;
// heights count from the bed, the framework's lowest point.
//
// An idealised membrane of one tension everywhere, for planning practice and
// teaching: see Caution, which goes with every result.
package pocket

// Caution goes with every result of the pocket check.
const Caution = "The skin is an idealised membrane of one tension everywhere, for planning practice and teaching: " +
	"blood supply, scars and hairline of real skin are not in it. It does not decide whether an operation is safe."
