// Writes normals.glb with glTF-Transform 4.5.1:
// npm install --no-save @gltf-transform/core@4.5.1, then node make_normals.mjs.
import { writeFileSync } from "node:fs";
import { Document, NodeIO } from "@gltf-transform/core";

const corners = [[0, 0, 0], [0.004, 0, 0], [0, 0.003, 0], [0, 0, 0.002]];
const triangles = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];
const positions = [], normals = [], indices = [];
for (const triangle of triangles) {
  const [a, b, c] = triangle.map((i) => corners[i]);
  const u = b.map((x, k) => x - a[k]), v = c.map((x, k) => x - a[k]);
  const cross = [0, 1, 2].map((k) => u[(k + 1) % 3] * v[(k + 2) % 3] - u[(k + 2) % 3] * v[(k + 1) % 3]);
  for (const corner of triangle) {
    indices.push(positions.length / 3);
    positions.push(...corners[corner]);
    normals.push(...cross.map((x) => x / Math.hypot(...cross)));
  }
}

const document = new Document();
const buffer = document.createBuffer();
const accessor = (type, array) => document.createAccessor().setType(type).setArray(array).setBuffer(buffer);
const primitive = document.createPrimitive()
  .setAttribute("POSITION", accessor("VEC3", new Float32Array(positions)))
  .setAttribute("NORMAL", accessor("VEC3", new Float32Array(normals)))
  .setIndices(accessor("SCALAR", new Uint16Array(indices)))
  .setMaterial(document.createMaterial("orange").setBaseColorFactor([1, 0.5, 0, 1]));
const node = document.createNode("wedge").setMesh(document.createMesh("wedge").addPrimitive(primitive)).setTranslation([0.01, 0, 0]);
document.createScene().addChild(node);
writeFileSync("normals.glb", await new NodeIO().writeBinary(document));
