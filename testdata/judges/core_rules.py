"""Holds a 3MF file against rules of the 3MF Core Specification, version 1.4.0.

Usage: python3 core_rules.py FILE. Prints a JSON list of breaches; empty if none.
Written from the specification's text (chapters 2 to 5 and appendix C) with the
standard library only, to share nothing with the program that wrote the file.
"""

import json
import re
import sys
import xml.etree.ElementTree as tree
import zipfile

CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
RELATIONSHIPS = "{http://schemas.openxmlformats.org/package/2006/relationships}"
TYPES = "{http://schemas.openxmlformats.org/package/2006/content-types}"
START_PART = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
MODEL_TYPE = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
RELATIONSHIP_TYPE = "application/vnd.openxmlformats-package.relationships+xml"
UNITS = {"micron", "millimeter", "centimeter", "inch", "foot", "meter"}
METADATA = {"Title", "Designer", "Description", "Copyright", "LicenseTerms", "Rating",
            "CreationDate", "ModificationDate", "Application"}
NUMBER = re.compile(r"^[-+]?(\d+(\.\d+)?|\.\d+)([eE][-+]?\d+)?$")
COLOR = re.compile(r"^#([0-9A-Fa-f]{6}|[0-9A-Fa-f]{8})$")

breaches = []


def hold(truth, breach):
    if not truth:
        breaches.append(breach)


def content_type(types, name):
    for override in types.findall(TYPES + "Override"):
        if override.get("PartName").lower() == "/" + name.lower():
            return override.get("ContentType")
    for default in types.findall(TYPES + "Default"):
        if name.lower().endswith("." + default.get("Extension").lower()):
            return default.get("ContentType")
    return None


def check_package(package):
    names = package.namelist()
    hold(len({n.lower() for n in names}) == len(names), "2.1: two parts of one name")
    hold(package.testzip() is None, "2.1: a part is damaged")
    for entry in package.infolist():
        hold(entry.compress_type in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED), f"OPC: {entry.filename} is packed otherwise")
    types = tree.fromstring(package.read("[Content_Types].xml"))
    start = [r for r in tree.fromstring(package.read("_rels/.rels")).findall(RELATIONSHIPS + "Relationship")
             if r.get("Type") == START_PART]
    hold(len(start) == 1, f"2.1.1: {len(start)} StartPart relationships, 1 needed")
    target = start[0].get("Target").lstrip("/")
    hold(target in names, f"2.1.1: {target} is not in the package")
    hold(target.startswith("3D/") and target.endswith(".model"), "2.1.2: model part outside /3D/*.model")
    hold(content_type(types, target) == MODEL_TYPE, "C: content type of the model part")
    hold(content_type(types, "_rels/.rels") == RELATIONSHIP_TYPE, "OPC: content type of relationships")
    return package.read(target)


def check_mesh(name, mesh):
    vertices = mesh.findall(f"{CORE}vertices/{CORE}vertex")
    triangles = mesh.findall(f"{CORE}triangles/{CORE}triangle")
    hold(len(vertices) >= 3, f"4.1.1: {name}: under 3 vertices")
    hold(len(triangles) >= 4, f"4.1.4: {name}: under 4 triangles in a solid")
    for v in vertices:
        hold(all(NUMBER.match(v.get(axis, "")) for axis in "xyz"), f"4.1.1.1: {name}: vertex {v.attrib}")
    points = [tuple(float(v.get(axis)) for axis in "xyz") for v in vertices]
    sides, volume = {}, 0.0
    for t in triangles:
        corners = tuple(int(t.get(k)) for k in ("v1", "v2", "v3"))
        hold(len(set(corners)) == 3, f"4.1.4.1: {name}: triangle {corners} has equal corners")
        hold(all(0 <= c < len(vertices) for c in corners), f"4.1.4.1: {name}: triangle {corners} beyond the vertices")
        for k in range(3):
            side = corners[k], corners[(k + 1) % 3]
            sides[side] = sides.get(side, 0) + 1
        (ax, ay, az), (bx, by, bz), (cx, cy, cz) = (points[c] for c in corners)
        volume += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)
    hold(all(n == 1 for n in sides.values()), f"4.1: {name}: a side is used twice one way (not manifold, or not coherent)")
    hold(all((b, a) in sides for a, b in sides), f"4.1: {name}: an edge has one triangle only")
    hold(volume > 0, f"4.1: {name}: triangles face inwards")


def check_model(content):
    model = tree.fromstring(content)
    hold(content.startswith(b'<?xml version="1.0" encoding="UTF-8"?>'), "2.3: not declared as UTF-8 XML")
    hold(b"<!DOCTYPE" not in content, "2.3.2: a document type declaration")
    hold(model.tag == CORE + "model", "3.4: the root is not a core model")
    hold(model.get("unit", "millimeter") in UNITS, "3.4: unit")
    hold([e.tag for e in model][-2:] == [CORE + "resources", CORE + "build"], "3.4: resources, then build, end the model")
    names = [m.get("name") for m in model.findall(CORE + "metadata")]
    hold(len(set(names)) == len(names), "3.4.1: metadata of one name twice")
    hold(set(names) <= METADATA, f"3.4.1: unknown metadata without a namespace: {names}")
    resources = model.find(CORE + "resources")
    ids = [r.get("id") for r in resources]
    hold(len(set(ids)) == len(ids), "3.4.3: one id for two resources")
    hold(all(i and i.isdigit() and 0 < int(i) < 2**31 for i in ids), "3.4.3: ids are positive numbers below 2^31")
    seen, materials = set(), {}
    for resource in resources:
        if resource.tag == CORE + "basematerials":
            materials[resource.get("id")] = len(resource)
            for base in resource:
                hold(base.get("name") is not None, "5.1.1: a base material without a name")
                hold(COLOR.match(base.get("displaycolor", "")), f"5.1.1: colour {base.get('displaycolor')}")
        elif resource.tag == CORE + "object":
            name = f"object {resource.get('id')}"
            hold(resource.get("type", "model") in {"model", "solidsupport", "support", "surface", "other"}, f"4: {name}: type")
            hold(resource.get("pid") in materials, f"4: {name}: pid names no resource before it")
            hold(0 <= int(resource.get("pindex", "-1")) < materials.get(resource.get("pid"), 0), f"4: {name}: pindex")
            children = [c.tag for c in resource]
            hold(children == [CORE + "mesh"], f"4: {name}: holds {children}")
            check_mesh(name, resource.find(CORE + "mesh"))
            seen.add(resource.get("id"))
    items = model.findall(f"{CORE}build/{CORE}item")
    hold(items, "3.4.2: nothing to build")
    for item in items:
        hold(item.get("objectid") in seen, f"3.4.2.1: item of object {item.get('objectid')}, which there is not")
        transform = item.get("transform", "1 0 0 0 1 0 0 0 1 0 0 0").split(" ")
        hold(len(transform) == 12 and all(NUMBER.match(n) for n in transform), "3.3: a matrix has 12 numbers")


with zipfile.ZipFile(sys.argv[1]) as package:
    check_model(check_package(package))
print(json.dumps(breaches))
