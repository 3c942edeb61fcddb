// Package mould makes casting moulds for rib blanks and for units: from any
// solid given as a field, an open mould of one piece where the part has a flat
// face, else one of two halves with registration keys, a pour funnel and vents.
//
// Lengths are millimetres, angles radians, volumes millilitres where a name
// ends in ML. Inside is negative. A mould has its own frame of reference: its
// underside is at z = 0 and z points against gravity when it is poured, so the
// open mould's opening looks up and the upper half is lifted off upwards.
//
// The cavity is the part itself, larger by the shrinkage and narrowed by the
// draft where these are asked for; the mould is the block without the cavity and
// without its channels, so that volumes add up. Surfaces are as near to the
// part's as contouring at the step brings them: within 0.05 mm at the steps
// chosen here, wherever the part has no detail smaller than the step.
//
// For practice and teaching only: what is cast is neither sterile nor for
// patients, nor for food; silicone and resin are handled as their data sheets
// say.
package mould
