// Reads a 3MF file with lib3mf in strict mode: node threemf.mjs FILE.
// Prints what it found as JSON.
import { readFileSync } from "node:fs";
import lib3mf from "@3mfconsortium/lib3mf";

const module = await lib3mf();
module.FS.writeFile("/in.3mf", readFileSync(process.argv[2]));
const model = new module.CWrapper().CreateModel();
const reader = model.QueryReader("3mf");
reader.SetStrictModeActive(true);
reader.ReadFromFile("/in.3mf");

const found = { warnings: reader.GetWarningCount(), unit: model.GetUnit().value, metadata: {}, objects: [], items: [] };
const metadata = model.GetMetaDataGroup();
for (let i = 0; i < metadata.GetMetaDataCount(); i++) {
  const entry = metadata.GetMetaData(i);
  found.metadata[entry.GetName()] = entry.GetValue();
}
const meshes = model.GetMeshObjects();
while (meshes.MoveNext()) {
  const mesh = meshes.GetCurrentMeshObject();
  const property = mesh.GetObjectLevelProperty();
  const group = model.GetBaseMaterialGroupByID(property.UniqueResourceID);
  const last = mesh.GetVertex(mesh.GetVertexCount() - 1);
  found.objects.push({
    id: mesh.GetResourceID(),
    name: mesh.GetName(),
    valid: mesh.IsValid(),
    manifold: mesh.IsManifoldAndOriented(),
    vertices: mesh.GetVertexCount(),
    triangles: mesh.GetTriangleCount(),
    material: group.GetName(property.PropertyID),
    last: [last.get_Coordinates0(), last.get_Coordinates1(), last.get_Coordinates2()],
  });
}
const items = model.GetBuildItems();
while (items.MoveNext()) {
  const item = items.GetCurrent();
  found.items.push({ object: item.GetObjectResourceID(), moved: item.HasObjectTransform() });
}
console.log(JSON.stringify(found));
