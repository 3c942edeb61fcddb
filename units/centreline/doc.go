// Package centreline finds the middle of a strip, such as the helix from its crus
// to its tail: its developed length, its width, and how tightly it bends. Lengths
// are mm, places fractions of the length.
package centreline
