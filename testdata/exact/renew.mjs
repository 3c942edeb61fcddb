// Renews the reference values of this folder: npm install && node renew.mjs
// With names of stacks as arguments it renews only those.
import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { readFileSync, writeFileSync } from 'node:fs'
import { build } from './solid.mjs'

const folder = new URL('.', import.meta.url)
const here = (name) => new URL(name, folder)
const { version } = JSON.parse(readFileSync(here('node_modules/manifold-3d/package.json')))

const sampleCount = 1500
const probeCount = 600
const probeMargin = 1 // mm round the box that probes fill

// mulberry32, so that every renewal draws the same numbers.
function dice(seed) {
  return () => {
    seed = (seed + 0x6d2b79f5) | 0
    let t = Math.imul(seed ^ (seed >>> 15), 1 | seed)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}

const minus = (a, b) => a.map((x, k) => x - b[k])
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
const round = (v, scale) => v.map((x) => Math.round(x * scale) / scale)

function triangles(shells) {
  return shells.flatMap((shell) => {
    const { vertProperties, numProp, triVerts } = shell.getMesh()
    const at = (i) => [...vertProperties.slice(i * numProp, i * numProp + 3)]
    return Array.from({ length: triVerts.length / 3 }, (_, t) => [0, 1, 2].map((k) => at(triVerts[3 * t + k])))
  })
}

// Samples are spread by area: stratified along the running sum of the areas.
function samples(faces) {
  const normals = faces.map(([a, b, c]) => cross(minus(b, a), minus(c, a)))
  const areas = normals.map((n) => Math.hypot(...n))
  const all = areas.reduce((sum, x) => sum + x, 0), random = dice(1), out = []
  let t = 0, passed = areas[0]
  for (let i = 0; i < sampleCount; i++) {
    const wanted = all * (i + random()) / sampleCount
    while (passed < wanted && t < faces.length - 1) passed += areas[++t]
    const root = Math.sqrt(random()), v = random()
    const w = [1 - root, root * (1 - v), root * v]
    const point = [0, 1, 2].map((k) => w[0] * faces[t][0][k] + w[1] * faces[t][1][k] + w[2] * faces[t][2][k])
    out.push([...round(point, 1e4), ...round(normals[t].map((x) => x / areas[t]), 1e3)])
  }
  return out
}

// Probes are places of the box and whether the solid holds them, by the parity
// of crossings of three rays that must agree.
function probes(shells) {
  const boxes = shells.map((s) => s.boundingBox()), random = dice(2), out = []
  const low = [0, 1, 2].map((k) => Math.min(...boxes.map((b) => b.min[k])) - probeMargin)
  const high = [0, 1, 2].map((k) => Math.max(...boxes.map((b) => b.max[k])) + probeMargin)
  while (out.length < probeCount) {
    const p = round(low.map((x, k) => x + (high[k] - x) * random()), 1e4)
    const votes = [[97, 13, 31], [-29, 89, -17], [11, -23, -101]].map((d) =>
      shells.reduce((sum, s) => sum + s.rayCast(p, p.map((x, k) => x + 10 * d[k])).length, 0) % 2)
    if (votes.every((v) => v === votes[0])) out.push([...p, votes[0]])
  }
  return out
}

// demo is dumped from the built-in example; its digest tells when it has changed.
function demo() {
  const said = execFileSync('go', ['run', './testdata/exact/dump'], { cwd: here('../../'), maxBuffer: 1 << 26 })
  return JSON.parse(said)
}

function digestOf(paths) {
  const hash = createHash('sha256')
  for (const path of paths) hash.update(readFileSync(here(path)))
  return hash.digest('hex')
}

function renew(stack, sources) {
  const { shells, units, left } = build(stack)
  const faces = triangles(shells)
  const sum = (of) => shells.reduce((total, s) => total + of(s), 0)
  const reference = {
    stack: stack.name,
    library: `manifold-3d ${version}`,
    date: new Date().toISOString().slice(0, 10),
    source_sha256: digestOf(sources),
    volume: Number(sum((s) => s.volume()).toFixed(5)),
    area: Number(sum((s) => s.surfaceArea()).toFixed(4)),
    pieces: shells.filter((s) => s.volume() > 0).length,
    hollows: shells.filter((s) => s.volume() < 0).length,
    genus: sum((s) => s.genus()),
    units: units.map(({ name, solid }) => ({ name, volume: Number(solid.volume().toFixed(5)) })),
    samples: samples(faces),
    probes: probes(shells),
  }
  const text = JSON.stringify(reference, null, 1).replace(/\[\s+(-?[\d.e-]+(?:,\s+-?[\d.e-]+)*)\s+\]/g,
    (_, numbers) => `[${numbers.replace(/\s+/g, '')}]`)
  writeFileSync(here(`${stack.name}.json`), text + '\n')
  console.log(`${stack.name}: ${reference.volume} mm³, ${reference.area} mm², ${reference.pieces} pieces,`,
    `${reference.hollows} hollows, genus ${reference.genus}; ${faces.length} triangles, ${left} specks left out`)
}

const wanted = process.argv.slice(2)
const due = (name) => wanted.length === 0 || wanted.includes(name)
for (const stack of JSON.parse(readFileSync(here('stacks.json')))) {
  if (due(stack.name)) renew(stack, ['stacks.json'])
}
if (due('demo')) renew(demo(), ['../../units/demo/good/case.yaml', '../../units/demo/good/template.svg'])
