// Builds a described stack in manifold-3d by exact booleans of polyhedra; no
// distance field, no sampling lattice.
//
// A rounded edge or a sloped wall is carved: the cutter's profile is swept along
// every edge of the outline and turned about every corner that points inward,
// and all of it is taken off the straight prism. So at each height the section
// is the outline worn away by a fixed amount, which is what the profile says.
import Module from 'manifold-3d'

const wasm = await Module()
wasm.setup()
const { Manifold, CrossSection } = wasm

// Profile arcs have so many chords; corners are turned in so many steps.
const arcChords = 24
const turnSteps = 72
// Faces that are to be bent along a rise are cut to edges of this length, mm.
const bendLength = 0.3
// Beyond the solid that is cut, mm.
const beyond = 0.5
const outside = 0.02
// Sweeps run on past a corner by this much, mm, so that they overlap: exact at a
// corner that points outward, too deep by overlap² / 2 radius at one that points
// inward.
const overlap = 0.01

// A regular polygon with the area of the circle, so that chords cost no volume.
function disc(x, y, radius) {
  const n = 4 * arcChords, step = 2 * Math.PI / n
  const r = radius * Math.sqrt(step / Math.sin(step))
  return CrossSection.ofPolygons([Array.from({ length: n }, (_, i) =>
    [x + r * Math.cos(i * step), y + r * Math.sin(i * step)])])
}

// Profiles lie in the (away from the wall, up) plane; they reach a little beyond
// the wall, so that they cross it and do not merely end on it.
function roundingBelow(radius) {
  const block = CrossSection.ofPolygons([[[-outside, -beyond], [radius, -beyond], [radius, radius], [-outside, radius]]])
  return block.subtract(disc(radius, radius, radius))
}

// The wall of a recess: its foot is `run` inward at `depth` below the top.
function slopedWall(depth, slope) {
  const deep = depth + beyond, run = deep * Math.tan(slope)
  return CrossSection.ofPolygons([[[-outside, 0], [-outside, -deep], [run, -deep], [0, 0]]])
}

const polar = (profile) => {
  const { min, max } = profile.bounds()
  return profile.intersect([[[0, min[1] - 1], [max[0] + 1, min[1] - 1], [max[0] + 1, max[1] + 1], [0, max[1] + 1]]])
}

// sweep returns cutters with the profile along every ring.
function sweep(rings, profile) {
  const turned = polar(profile).revolve(turnSteps)
  const cutters = []
  for (const ring of rings) {
    ring.forEach((a, i) => {
      const b = ring[(i + 1) % ring.length], before = ring[(i + ring.length - 1) % ring.length]
      const along = [b[0] - a[0], b[1] - a[1]], length = Math.hypot(...along)
      const [ux, uy] = along.map((x) => x / length)
      // Columns: profile x points inward (left of the edge), y up, extrusion along.
      cutters.push(profile.extrude(length + 2 * overlap).transform([
        -uy, ux, 0, 0, 0, 0, 1, 0, ux, uy, 0, 0, a[0] - overlap * ux, a[1] - overlap * uy, 0, 1,
      ]))
      const bend = (a[0] - before[0]) * along[1] - (a[1] - before[1]) * along[0]
      if (bend < 0) cutters.push(turned.translate([a[0], a[1], 0]))
    })
  }
  return cutters
}

// carve takes the cutters off; united first, and in pairs, which is fastest.
const carve = (solid, cutters) => cutters.length ? solid.subtract(Manifold.union(cutters)) : solid

function prism(rings, { thickness, edge_top, edge_bottom }) {
  const straight = CrossSection.ofPolygons(rings, 'Positive').extrude(thickness)
  const cutters = []
  if (edge_bottom > 0) cutters.push(...sweep(rings, roundingBelow(edge_bottom)))
  if (edge_top > 0) {
    cutters.push(...sweep(rings, roundingBelow(edge_top)).map((c) => c.mirror([0, 0, 1]).translate([0, 0, thickness])))
  }
  return carve(straight, cutters)
}

// groove returns what a recess takes away from a unit whose top is at z = top.
function groove(rings, { depth, wall_degrees }, top) {
  const straight = CrossSection.ofPolygons(rings, 'Positive').extrude(2 * depth).translate([0, 0, -depth])
  const slope = wall_degrees * Math.PI / 180
  return carve(straight, slope > 0 ? sweep(rings, slopedWall(depth, slope)) : []).translate([0, 0, top])
}

// Weights of the uniform cubic B-spline (de Boor's recursion, degree by degree).
function splineWeights(t) {
  let w = [1]
  for (let degree = 1; degree <= 3; degree++) {
    const next = Array(degree + 1).fill(0)
    w.forEach((share, i) => {
      const rising = (t + degree - 1 - i) / degree // of the basis function i
      next[i] += share * (1 - rising)
      next[i + 1] += share * rising
    })
    w = next
  }
  return w
}

// Straight between samples, which are dense; unlike a curve it never overshoots.
const sampleWeights = (t) => [0, 1 - t, t, 0]

function heightOf(under) {
  if (typeof under === 'number') return () => under
  const { kind, origin, spacing, columns, rows, heights } = under
  const weights = { controls: splineWeights, samples: sampleWeights }[kind]
  const clamp = (i, n) => Math.min(Math.max(i, 0), n - 1)
  return (x, y) => {
    const u = (x - origin[0]) / spacing, v = (y - origin[1]) / spacing
    const i = Math.floor(u), j = Math.floor(v), wx = weights(u - i), wy = weights(v - j)
    let z = 0
    for (let b = 0; b < 4; b++) {
      for (let a = 0; a < 4; a++) z += wx[a] * wy[b] * heights[clamp(j - 1 + b, rows) * columns + clamp(i - 1 + a, columns)]
    }
    return z
  }
}

// Heights are rounded to a nanometre, so that a rising underside that becomes
// level on another unit's top lies on it and not a rounding error beside it,
// which would leave a slit of no thickness.
const snapped = (z) => Math.round(z * 1e6) / 1e6

function carvedUnit(unit) {
  let solid = Manifold.union(unit.outlines.map((rings) => prism(rings, unit)))
  for (const r of unit.recesses ?? []) {
    for (const rings of r.outlines) solid = solid.subtract(groove(rings, r, unit.thickness))
  }
  const height = heightOf(unit.under)
  if (typeof unit.under !== 'number') solid = solid.refineToLength(bendLength)
  return solid.warp((v) => { v[2] = snapped(v[2] + height(v[0], v[1])) })
}

// A piece or a hollow smaller than this, in mm³, is dust of rounding where faces
// of two solids coincide.
const dust = 1e-4

// build returns the joined solid's shells, each unit with its notches cut, and
// how many shells were left out as dust. What is let into a notch is a unit
// itself, so that joined the notches are full again, and the joined solid is
// made of units without them: the same solid with fewer faces that coincide.
export function build(stack) {
  const carved = new Map(stack.units.map((u) => [u.name, carvedUnit(u)]))
  const units = stack.units.map((u) => ({
    name: u.name,
    solid: (u.notches ?? []).reduce((rest, name) => rest.subtract(carved.get(name)), carved.get(u.name)),
  }))
  const shells = Manifold.union([...carved.values()]).decompose()
  const kept = shells.filter((s) => Math.abs(s.volume()) > dust)
  return { shells: kept, units, left: shells.length - kept.length }
}
