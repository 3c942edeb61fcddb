// Package kit makes the units of a framework into separate prints that are put
// together by hand: with room between them, lettered in the order of assembly,
// each in a pose in which it prints, laid out on the printer's plates.
//
// # Room
//
// Wherever two units face one another the gap between their surfaces is the
// clearance, beneath a unit as well as beside it. One of the two gives way: the
// one that has a notch for the other, else the one that is laid down first, so
// that a unit which is let in or laid on keeps the shape it was carved in. What
// is taken away is everything nearer to the other unit's surface than the
// clearance, by true distance: a rise, a notch or a rounded edge makes no
// difference. A unit laid down by hand therefore sinks into a shallow seat and
// comes to rest one clearance lower than drawn.
//
// Lengths are millimetres. Meshes are in the framework's coordinates, printed
// ones turned, with a plate's offsets placing them on the bed. Every mesh is
// judged. The same framework gives the same kit on any number of cores.
//
// Limits: clearances are exact to the sampling of the meshes, some hundredths of
// a millimetre; overhangs are judged triangle by triangle, so a bridge between
// two supports counts as one. For practice and teaching only: what is printed is
// not sterile, not for patients and not for food.
package kit
