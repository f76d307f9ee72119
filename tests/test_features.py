"""The shop manifest of any plan: its features make each type's solid; a failed proof is told."""

from __future__ import annotations

import json

from features import difference, rebuilt
from hypothesis import given, settings
from plans import Spec, specs

from platemodel.export.manifest import manifest, manifest_table, manifest_text
from platemodel.frame import Frame
from platemodel.solid.shapes import solid_of

BOX = Spec(corners=((0, 0), (4000, 0), (4000, 3000), (0, 3000)), names=("front", "right", "back", "left"))


def made(frame: Frame, passed: bool = True) -> str:
    hashes = {f"pieces/{kind.name}.step": "0" * 64 for kind in frame.types}
    return manifest_text(manifest(frame, hashes, passed))


@settings(max_examples=4)
@given(specs())
def test_features_alone_make_each_type_of_any_plan(spec: Spec) -> None:
    frame = spec.frame()
    kinds = json.loads(made(frame))["types"]
    assert [kind["type"] for kind in kinds] == [kind.name for kind in frame.types]
    for told, kind in zip(kinds, frame.types, strict=True):
        assert abs(difference(solid_of(*kind.shape.polyhedron()), rebuilt(told))) <= 1e-9


def test_a_frame_that_is_not_proved_is_told_in_both_files() -> None:
    frame = BOX.frame()
    assert json.loads(made(frame, passed=False))["passed"] is False
    hashes = {f"pieces/{kind.name}.step": "0" * 64 for kind in frame.types}
    _, *rows = manifest_table(manifest(frame, hashes, False)).splitlines()
    assert rows
    assert all(",NO," in row for row in rows)
