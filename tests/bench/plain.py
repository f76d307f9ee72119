"""The yardstick: the same frame by a plain straight-line CadQuery script.

It boxes, cuts, places, intersects all pairs, and writes the frame and each kind of piece as STEP
and STL. It shares no code with platemodel: its numbers come from a JSON file of plain lists.
Run as: python plain.py numbers.json folder
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import cadquery as cq

data = json.loads(Path(sys.argv[1]).read_text())
folder = Path(sys.argv[2])
folder.mkdir(parents=True, exist_ok=True)
width, depth = data["width"], data["depth"]

solids = []
for piece in data["pieces"]:
    solid = cq.Solid.makeBox(piece["length"], width, depth)
    for low, high, upper in piece["cuts"]:
        z = depth / 2 if upper else 0
        solid = solid.cut(cq.Solid.makeBox(high - low, width, depth / 2, cq.Vector(low, 0, z)))
    solid = solid.rotate(cq.Vector(0, 0, 0), cq.Vector(0, 0, 1), piece["angle"])
    solids.append(solid.translate(cq.Vector(piece["x"], piece["y"], 0)))

shared = 0.0
for one in range(len(solids)):
    for other in range(one + 1, len(solids)):
        shared += solids[one].intersect(solids[other]).Volume()

assembly = cq.Assembly()
for piece, solid in zip(data["pieces"], solids, strict=True):
    assembly.add(solid, name=piece["mark"])
assembly.export(str(folder / "frame.step"))
cq.exporters.export(cq.Workplane(obj=cq.Compound.makeCompound(solids)), str(folder / "frame.stl"))
for kind in data["kinds"]:
    solid = cq.Workplane(obj=solids[kind])
    cq.exporters.export(solid, str(folder / f"{kind}.step"))
    cq.exporters.export(solid, str(folder / f"{kind}.stl"))
print(f"{len(solids)} pieces, {shared:.6f} mm3 shared")
