// Judges a GLB file: node glb.mjs FILE. Prints the validator's report as JSON.
import { readFileSync } from "node:fs";
import validator from "gltf-validator";

const report = await validator.validateBytes(new Uint8Array(readFileSync(process.argv[2])));
console.log(JSON.stringify(report));
