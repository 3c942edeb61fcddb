// Package lettering sets text in outlines and finds the place on an underside
// where it has the most room: in capitals of an even stroke, in one to three
// lines, turned as need be, read from below with superior up. Lengths are mm.
package lettering
