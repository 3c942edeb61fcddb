// Package mesh holds triangle meshes, judges their soundness, and reads and writes
// them as STL, 3MF and GLB. Package contour makes them out of fields, package
// simplify gives them fewer triangles.
//
// Units are millimetres. Triangles are wound counter-clockwise seen from
// outside. A mesh that leaves this package towards a file is closed, edge- and
// vertex-manifold, coherently wound, and free of self-intersections and
// degenerate triangles: Judge proves it, and what fails is not written.
package mesh
