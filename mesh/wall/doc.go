// Package wall measures how thin a solid is where it is thinnest, and says where.
//
// A wall is where a ball in the solid is held between facing sides: it touches the
// surface at two places that its centre sees 150 degrees apart or more. The wall's
// thickness is the ball's diameter (the medial ball of Blum, "A transformation for
// extracting new descriptors of shape", 1967; the bound on the angle is that of
// Foskey, Lin, Manocha, "Efficient computation of a simplified medial axis", Solid
// Modeling 2003). Near a rim and nearly all over a bar the ball is held by what lies
// beside; there it is the ball that would fit between the facing sides alone. So
// plates, ribs, tubes and bars are walls, and so is a wedge sharper than 30
// degrees, down to its edge, while the thin material along any edge that is
// blunter, sharp or rounded, is not.
//
// The thinnest wall is the thickness that 0.1 mm² of the surface within 0.4 mm of
// it have or go below: no single place counts. It is a property of the solid. It is
// found to within 0.05 mm however the solid lies, since it is measured on the field
// (OfField), from places that stand irregularly 0.5 mm apart and 0.06 mm where it
// seems thinnest, and no sampling step of a mesh comes into it. A thin place smaller
// than half a millimetre across may be missed; less than 0.01 mm is not told from an
// edge. A field has to lead to its surface down its gradient; where it is flat, only
// walls are found as thick as it knows distances on both sides.
//
// Of a mesh (OfMesh) the same is measured by the way inwards, for what is at hand as
// a mesh only.
//
// Units are millimetres. The answer is the same on any number of cores.
package wall
