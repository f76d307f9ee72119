"""List the saw cuts of one type: python saw_cuts.py DIR/manifest.json T1."""

import json
import sys

with open(sys.argv[1], encoding="utf-8") as stream:
    kind = next(one for one in json.load(stream)["types"] if one["type"] == sys.argv[2])
cuts = [("through", "whole depth", kind[end]["at"], kind[end]["angle"]) for end in ("start", "end")]
for lap in kind["laps"]:
    lines = [line for line in ("from", "to") if lap[f"{line}_is"] == "shoulder"]
    cuts += [(lap["face"], f"{lap['depth']:g} deep", lap[line], lap[f"{line}_angle"]) for line in lines]
for face, depth, (near, far), angle in sorted(cuts, key=lambda cut: sum(cut[2])):
    print(f"{face:8}{depth:12} from {near:9.2f} at the near edge to {far:9.2f} at the far edge, {angle:6.2f} degrees")
