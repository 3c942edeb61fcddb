// Package crossing tells whether triangles of a mesh have more in common than the
// vertices they share: they cross, touch or overlap. The answers are exact for the
// coordinates as they are stored, and the same on any number of cores.
package crossing
