// Writes components.3mf with lib3mf 2.4.1: ../judges/setup, then
// node make_components.mjs. Its ids differ each time.
import { writeFileSync } from "node:fs";
import lib3mf from "../judges/node_modules/@3mfconsortium/lib3mf/index.js";

const module = await lib3mf();
const wrapper = new module.CWrapper();
const model = wrapper.CreateModel();

const mesh = model.AddMeshObject();
mesh.SetName("wedge");
for (const [x, y, z] of [[0, 0, 0], [4, 0, 0], [0, 3, 0], [0, 0, 2]]) {
  const position = new module.sPosition();
  position.set_Coordinates0(x);
  position.set_Coordinates1(y);
  position.set_Coordinates2(z);
  mesh.AddVertex(position);
}
for (const [a, b, c] of [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]) {
  const triangle = new module.sTriangle();
  triangle.set_Indices0(a);
  triangle.set_Indices1(b);
  triangle.set_Indices2(c);
  mesh.AddTriangle(triangle);
}

const orange = new module.sColor();
orange.set_Red(230);
orange.set_Green(159);
orange.set_Blue(0);
orange.set_Alpha(255);
const group = model.AddBaseMaterialGroup();
mesh.SetObjectLevelProperty(group.GetResourceID(), group.AddMaterial("orange", orange));

const twice = model.AddComponentsObject();
twice.AddComponent(mesh, wrapper.GetIdentityTransform());
twice.AddComponent(mesh, wrapper.GetTranslationTransform(10, 20, 30));
model.AddBuildItem(twice, wrapper.GetIdentityTransform());

model.QueryWriter("3mf").WriteToFile("/components.3mf");
writeFileSync("components.3mf", module.FS.readFile("/components.3mf"));
