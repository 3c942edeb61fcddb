// Runs at the end of styled.svg, as a drawing by itself: where its shapes lie, in
// CSS pixels, and null for those that are not drawn.
const rounded = v => Math.round(v * 1e4) / 1e4;
const shapes = {};
for (const e of document.querySelectorAll("path, rect, circle, use")) {
  if (!e.id || e.closest("defs")) continue;
  const box = e.getBoundingClientRect();
  shapes[e.id] = null;
  if (box.width === 0 || getComputedStyle(e).visibility !== "visible") continue;
  const row = shapes[e.id] = {
    left: rounded(box.left), top: rounded(box.top), width: rounded(box.width), height: rounded(box.height), points: []
  };
  if (e.getTotalLength) for (let k = 0; k < 8; k++) {
    const p = e.getPointAtLength(e.getTotalLength() * k / 8).matrixTransform(e.getScreenCTM());
    row.points.push([rounded(p.x), rounded(p.y)]);
  }
}
const out = document.createElementNS("http://www.w3.org/2000/svg", "desc");
out.textContent = "BEGIN" + JSON.stringify(shapes) + "END";
document.documentElement.append(out);
document.currentScript.remove();
