"""List the saw cuts of one type: python saw_cuts.py DIR/manifest.json T1."""

import json
import sys

if len(sys.argv) != 3:
    raise SystemExit("expected a manifest and a type: python saw_cuts.py DIR/manifest.json T1")
try:
    with open(sys.argv[1], encoding="utf-8") as stream:
        kind = next(one for one in json.load(stream)["types"] if one["type"] == sys.argv[2])
except StopIteration:
    raise SystemExit(f"{sys.argv[1]}: has no type {sys.argv[2]!r}; expected one such as T1") from None
except (OSError, ValueError, LookupError, TypeError) as error:
    raise SystemExit(f"{sys.argv[1]}: cannot be read as a manifest: {error!r}") from None
cuts = [("through", "whole depth", kind[end]["at"], kind[end]["angle"]) for end in ("start", "end")]
for lap in kind["laps"]:
    lines = [line for line in ("from", "to") if lap[f"{line}_is"] == "shoulder"]
    cuts += [(lap["face"], f"{lap['depth']:g} deep", lap[line], lap[f"{line}_angle"]) for line in lines]
for face, depth, (near, far), angle in sorted(cuts, key=lambda cut: sum(cut[2])):
    print(f"{face:8}{depth:12} from {near:9.2f} at the near edge to {far:9.2f} at the far edge, {angle:6.2f} degrees")
