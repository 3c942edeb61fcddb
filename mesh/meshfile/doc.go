// Package meshfile reads and writes meshes as STL, 3MF and GLB, in millimetres.
//
// Formats are told apart by content. What is written is read back and compared
// corner by corner, and a mesh that the judge does not find sound is not written.
// The same document gives the same bytes each time.
package meshfile
