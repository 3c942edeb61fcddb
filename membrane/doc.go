// Package membrane draws a membrane over an obstacle inside a closed edge and
// measures what comes of it: its area and stretch, where it touches and where it
// bridges, the volume under it, its offset to the outside, and how much of a
// groove or ridge is left on that. It knows nothing of ears; package pocket asks
// it a surgeon's questions.
//
// The skin's deep surface is a height u(x, y) in millimetres above the bed
// over the pocket. It minimises
//
//	∫ √(1 + |∇u|²) + u/R dA,   u ≥ frame, u ≥ 0, u = 0 on the pocket's edge
//
// where R is the bridging radius: free skin curves with a mean curvature
// H = (κ₁+κ₂)/2 of 1/(2R), so across a long groove it sags with radius R.
// R = +Inf is skin laid on without suction. R is given, or follows from the suction
// and from the tension that the drape itself finds: see Suction. Rolls on the skin
// bound u from above as well: see Roll.
// The skin's outside is the drape carried outward by a ball; Outside.Solid makes a
// closed mesh of it from the drape's own triangles, bent onto walls and rims, and its
// creases are traced, not sampled.
//
// Limits: the skin is a membrane with one tension, without stiffness, friction
// or thickness of its own in the solve; it does not slide along the frame, so
// stretches are those of the vertical map from the flat pocket to the drape.
// Blood supply, scars and hairline are not in it. For planning practice,
// simulation and teaching only; it does not decide whether an operation is
// safe.
//
// Method: linear finite elements on a square lattice, both diagonals of every
// cell averaged so that no direction is preferred, cells cut at the pocket's
// edge, nodes drawn to rims and to the foot of walls; what the frame still comes
// through is lifted onto it, and the surface so made is the one that is read and
// whose area is told; truncated nonsmooth Newton multigrid (Gräser and Kornhuber 2009,
// J. Comput. Math. 27(1), from memory), from coarse lattices to fine ones. The energy
// never rises from one iteration to the next, the work is proportional to the
// number of nodes, and the answer has the same bits on any number of cores.
package membrane
