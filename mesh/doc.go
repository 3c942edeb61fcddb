// Package mesh holds triangle meshes: it contours a field into one, simplifies
// it to a stated tolerance, judges its soundness, and reads and writes it as
// STL, 3MF and GLB.
//
// Units are millimetres. Triangles are wound counter-clockwise seen from
// outside. A mesh that leaves this package towards a file is closed, edge- and
// vertex-manifold, coherently wound, and free of self-intersections and
// degenerate triangles: Judge proves it, and what fails is not written.
package mesh
