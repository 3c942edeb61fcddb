// Package meshtest holds what the tests of several packages make meshes of and
// hold them against: exact polyhedra, simple fields, and a judge that is not ours.
// Lengths are millimetres.
package meshtest
