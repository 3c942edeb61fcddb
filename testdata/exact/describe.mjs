// Writes the five stacks that are held against exact booleans: stacks.json.
// Plain numbers in mm, so that both sides read the same outlines.
import { writeFileSync } from 'node:fs'

const round = (x) => Math.round(x * 1e6) / 1e6
const point = (x, y) => [round(x), round(y)]

// Turned, so that no wall lies along the sampling lattice.
const turn = (angle, ring) => ring.map(([x, y]) =>
  point(x * Math.cos(angle) - y * Math.sin(angle), x * Math.sin(angle) + y * Math.cos(angle)))
const move = (x, y, ring) => ring.map(([a, b]) => point(a + x, b + y))
const rectangle = (x0, y0, x1, y1) => [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
const hole = (ring) => [...ring].reverse()

// A smooth closed curve round (x, y): radius + waves [count, height, phase].
function smooth(x, y, radius, stretch, waves, points) {
  return Array.from({ length: points }, (_, i) => {
    const a = 2 * Math.PI * i / points
    const r = waves.reduce((sum, [count, height, phase]) => sum + height * Math.cos(count * a + phase), radius)
    return point(x + stretch * r * Math.cos(a), y + r * Math.sin(a))
  })
}

const circle = (x, y, radius, points) => smooth(x, y, radius, 1, [], points)

// A strip of constant width along an arc with round ends.
function arch(radius, width, from, to, points) {
  const ring = []
  const arc = (cx, cy, r, a, b, n) => {
    for (let i = 0; i < n; i++) {
      const t = a + (b - a) * i / n
      ring.push(point(cx + r * Math.cos(t), cy + r * Math.sin(t)))
    }
  }
  const half = width / 2
  arc(0, 0, radius + half, from, to, points)
  arc(radius * Math.cos(to), radius * Math.sin(to), half, to, to + Math.PI, points >> 2)
  arc(0, 0, radius - half, to, from, points >> 1)
  arc(radius * Math.cos(from), radius * Math.sin(from), half, from + Math.PI, from + 2 * Math.PI, points >> 2)
  return ring
}

const unit = (name, outlines, under, thickness, more = {}) =>
  ({ name, outlines, under, thickness, edge_top: 0, edge_bottom: 0, ...more })

// Faces: a plate with a window, a block standing on it, another let against its
// side, so that each pair shares a face, or part of one, and no more. The turn is
// that of a 3-4-5 triangle and the places are multiples of 2.5 mm, so that all
// coordinates are exact in binary and the shared faces really coincide.
const exactly = (ring) => ring.map(([x, y]) => [0.8 * x - 0.6 * y, 0.6 * x + 0.8 * y].map((c) => Math.round(c * 4) / 4))
const faces = {
  name: 'faces',
  units: [
    unit('plate', [[exactly(rectangle(-10, -5, 10, 5)), exactly(hole(rectangle(-5, -2.5, 0, 2.5)))]], 0, 2.5),
    unit('on it', [[exactly(rectangle(2.5, -2.5, 7.5, 2.5))]], 2.5, 3.15),
    unit('beside it', [[exactly(rectangle(10, -7.5, 12.5, 2.5))]], 0.75, 3),
  ],
}

// Touching: the second block shares one edge with the first, the third one
// corner; nothing overlaps.
const touching = {
  name: 'touching',
  units: [
    unit('first', [[exactly(rectangle(-5, -5, 5, 5))]], 0, 3),
    unit('at an edge', [[exactly(rectangle(5, 5, 10, 7.5))]], 0, 3),
    unit('at a corner', [[exactly(rectangle(-10, -7.5, -5, -5))]], 3, 2.25),
  ],
}

// Rounded: smooth plates with rounded edges that overlap, one with a hole.
const rounded = {
  name: 'rounded',
  units: [
    unit('bean', [[smooth(0, 0, 9, 1.2, [[2, 1.2, 0.5], [3, 0.9, 1]], 160), hole(circle(-3, 1, 2.2, 72))]], 0, 3,
      { edge_top: 0.8, edge_bottom: 0.5 }),
    unit('lobe', [[smooth(6, 3, 5, 1, [[3, 0.7, 2]], 120)]], 1.9, 3.6, { edge_top: 1.8 }),
  ],
}

// Carved: a plate with two holes, a bean-shaped recess with sloped walls and a
// cornered one with straight walls, a block that overlaps both plate and recess.
const carved = {
  name: 'carved',
  units: [
    unit('plate', [[
      smooth(0, 0, 11, 1.1, [[2, 0.8, 0.2]], 160),
      hole(circle(6, -4, 1.7, 64)), hole(turn(0.5, rectangle(-6.5, -6, -3.5, -4))),
    ]], 0, 3.2, {
      edge_top: 0.4,
      recesses: [
        { outlines: [[smooth(-1, 4, 3.6, 1.6, [[2, 0.5, 1], [3, 0.5, 0]], 120)]], depth: 1.3, wall_degrees: 40 },
        { outlines: [[turn(-0.2, rectangle(1, -2.5, 4, -0.5))]], depth: 1.1, wall_degrees: 0 },
      ],
    }),
    unit('block', [[turn(0.7, rectangle(4, -4, 9, 0))]], 2.45, 2.5),
  ],
}

// Control heights of a cubic B-spline: a rim that climbs and a slight cross fall.
function controls(x0, y0, x1, y1, spacing, height) {
  const columns = Math.round((x1 - x0) / spacing) + 1, rows = Math.round((y1 - y0) / spacing) + 1
  const heights = []
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      heights.push(Math.round(1e4 * height(x0 + column * spacing, y0 + row * spacing)) / 1e4)
    }
  }
  return { kind: 'controls', origin: [x0, y0], spacing, columns, rows, heights }
}

// Risen: a rounded arch whose underside dips through a plate and rises above it,
// a groove along its top that follows the rise, and the notch it makes.
const risen = {
  name: 'risen',
  units: [
    unit('plate', [[smooth(0, 1, 10.5, 1, [[3, 0.5, 0.3]], 160), hole(circle(0, 0, 4, 96))]], 0, 2.6,
      { edge_top: 0.5, edge_bottom: 0.5, notches: ['arch'] }),
    unit('arch', [[arch(7.5, 3.4, -0.6, 3.6, 120)]],
      controls(-14, -14, 14, 14, 2, (x, y) => 2.2 + 1.8 * Math.sin(x / 4.5) + 0.06 * y), 3,
      { edge_top: 1.2, recesses: [{ outlines: [[arch(7.5, 1.5, 0.2, 2.8, 100)]], depth: 0.7, wall_degrees: 25 }] }),
  ],
}

const folder = new URL('.', import.meta.url)
writeFileSync(new URL('stacks.json', folder), JSON.stringify([faces, touching, rounded, carved, risen])
  .replaceAll('{"name"', '\n{"name"') + '\n')
