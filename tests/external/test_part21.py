"""The STEP files as text, against ISO 10303-21, read without any CAD kernel.

Frame of the file: https://www.loc.gov/preservation/digital/formats/fdd/fdd000448.shtml. Header:
https://docs.rs/step-p21/0.1.1/step_p21/header/ and https://jsdai.net/support/about-step/step-file.
Instance numbers, references and reals: ISO 10303-21 (from memory).
"""

from __future__ import annotations

import dataclasses
import datetime
import functools
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import part21
import pytest
from built import Builder, Built
from part21 import DERIVED, Enum, Exchange, Ref

from platemodel.export.step import write_frame_step
from platemodel.frame import decide
from platemodel.plan import read_plan
from platemodel.plan.values import Export


@functools.cache
def read(path: Path) -> Exchange:
    return part21.parse(path.read_bytes().decode("ascii"))


def test_header_entities_are_there_once_each_and_in_order(built: Built) -> None:
    for path in built.steps():
        header = read(path).header
        assert [name for name, _ in header] == ["FILE_DESCRIPTION", "FILE_NAME", "FILE_SCHEMA"]
        description, name, schema = (args for _, args in header)
        texts, level = description
        assert texts
        assert all(isinstance(text, str) for text in texts)
        # conformance levels of editions 2 and 3 (https://jsdai.net/support/about-step/step-file)
        assert re.fullmatch(r"2;1|3;1|4;[0-9]", level)
        assert len(name) == 7
        assert name[0] == path.name
        datetime.datetime.fromisoformat(name[1])
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d.*", name[1])
        assert all(isinstance(item, list) for item in name[2:4])
        assert all(isinstance(item, str) for item in (*name[2], *name[3], *name[4:]))
        # the long form of ISO 10303-242's schema name, with or without its object identifier (from memory)
        assert len(schema) == 1
        (names,) = schema
        assert len(names) == 1
        assert re.fullmatch(r"AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF( \{[ 0-9]+\})?", names[0])


def test_every_reference_resolves(built: Built) -> None:
    for path in built.steps():
        instances = read(path).instances
        assert instances
        for parts in instances.values():
            missing = set(part21.references([args for _, args in parts])) - instances.keys()
            assert not missing


def test_complex_instances_name_their_parts_in_order_of_the_alphabet(built: Built) -> None:
    # ISO 10303-21, external mapping (from memory)
    for path in built.steps():
        complexes = [[name for name, _ in parts] for parts in read(path).instances.values() if len(parts) > 1]
        assert complexes
        assert all(names == sorted(names) for names in complexes)


def test_coordinates_and_other_measures_are_reals(built: Built) -> None:
    for path in built.steps():
        exchange = read(path)
        numbers = [part for _, point in exchange.named("CARTESIAN_POINT").values() for part in point]
        numbers += [part for _, ratios in exchange.named("DIRECTION").values() for part in ratios]
        numbers += [args[2] for args in exchange.named("VECTOR").values()]
        numbers += [part for args in exchange.named("COLOUR_RGB").values() for part in args[1:]]
        assert numbers
        assert all(isinstance(number, float) for number in numbers)


def test_strings_hold_only_the_basic_alphabet(built: Built) -> None:
    # edition 2: U+0020 to U+007E; a backslash only opens a control directive
    for path in built.steps():
        for text in read(path).strings:
            assert all(" " <= letter <= "~" for letter in text)
            assert "\\" not in re.sub(r"\\\\|\\X[024]?\\|\\S\\|\\P[A-I]\\|\\X0\\", "", text)


def test_every_context_of_a_representation_is_in_millimetres(built: Built) -> None:
    # (LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.)): https://docs.rs/step-p21 test data
    for path in built.steps():
        exchange = read(path)
        contexts = exchange.named("GLOBAL_UNIT_ASSIGNED_CONTEXT")
        assert len(contexts) == len(exchange.named("GEOMETRIC_REPRESENTATION_CONTEXT")) > 0
        for (units,) in contexts.values():
            lengths = [unit for unit in units if any(name == "LENGTH_UNIT" for name, _ in exchange.instances[unit.id])]
            assert len(lengths) == 1
            assert exchange.args(lengths[0], "SI_UNIT") == [Enum("MILLI"), Enum("METRE")]
            assert exchange.args(lengths[0], "NAMED_UNIT") == [DERIVED]
        shapes = exchange.named("ADVANCED_BREP_SHAPE_REPRESENTATION").values()
        assert all(args[2].id in contexts for args in shapes)


def test_products_are_the_marks_or_the_type_and_each_has_one_solid(built: Built) -> None:
    for path in built.steps():
        exchange = read(path)
        wanted = list(built.pieces) if path.stem == "frame" else [path.stem]
        assert sorted(args[0] for args in exchange.named("PRODUCT").values()) == sorted(wanted)
        solids = {}
        for definition, shape in exchange.named("SHAPE_DEFINITION_REPRESENTATION").values():
            (product_definition,) = exchange.args(definition, "PRODUCT_DEFINITION_SHAPE")[2:]
            formation = exchange.args(product_definition, "PRODUCT_DEFINITION")[2]
            product = exchange.args(formation, "PRODUCT_DEFINITION_FORMATION")[2]
            items = exchange.args(shape, "ADVANCED_BREP_SHAPE_REPRESENTATION")[1]
            found = [item.id for item in items if exchange.instances[item.id][0][0] == "MANIFOLD_SOLID_BREP"]
            assert len(found) == 1
            solids[exchange.args(product, "PRODUCT")[0]] = found[0]
        assert sorted(solids) == sorted(wanted)
        assert set(solids.values()) == set(exchange.named("MANIFOLD_SOLID_BREP"))
        assert len(set(solids.values())) == len(solids)


def _colour(exchange: Exchange, styled: list[object]) -> tuple[float, ...]:
    """The one surface colour to which the styles of an item lead."""
    seen: set[int] = set()
    queue = part21.references(styled[1])
    found = set()
    while queue:
        number = queue.pop()
        if number in seen:
            continue
        seen.add(number)
        for name, args in exchange.instances[number]:
            if name == "FILL_AREA_STYLE_COLOUR":
                found.add(tuple(exchange.args(args[1], "COLOUR_RGB")[1:]))
            queue += part21.references(args)
    assert len(found) == 1
    return found.pop()


def test_each_solid_has_one_colour(built: Built) -> None:
    for path in built.steps():
        exchange = read(path)
        colours = {}
        for styled in exchange.named("STYLED_ITEM").values():
            item = styled[2]
            assert isinstance(item, Ref)
            assert item.id not in colours
            colours[item.id] = _colour(exchange, styled)
        assert set(colours) == set(exchange.named("MANIFOLD_SOLID_BREP"))
        assert all(0.0 <= part <= 1.0 for colour in colours.values() for part in colour)


def test_faces_are_planes_and_edges_are_lines(built: Built) -> None:
    for path in built.steps():
        exchange = read(path)
        faces = exchange.named("ADVANCED_FACE")
        assert faces
        for _, _, surface, _ in faces.values():
            assert exchange.instances[surface.id][0][0] == "PLANE"
        for _, _, _, curve, _ in exchange.named("EDGE_CURVE").values():
            assert exchange.instances[curve.id][0][0] == "LINE"


def test_shells_are_closed_and_each_edge_is_used_twice_once_each_way(built: Built) -> None:
    for path in built.steps():
        exchange = read(path)
        uses: dict[int, list[str]] = {number: [] for number in exchange.named("EDGE_CURVE")}
        for _, _, _, edge, way in exchange.named("ORIENTED_EDGE").values():
            uses[edge.id].append(way.name)
        assert all(sorted(ways) == ["F", "T"] for ways in uses.values())
        # Euler: vertices - edges + faces = 2 for each solid without holes
        counts = [len(exchange.named(name)) for name in ("VERTEX_POINT", "EDGE_CURVE", "ADVANCED_FACE", "CLOSED_SHELL")]
        vertices, edges, faces, shells = counts
        assert vertices - edges + faces == 2 * shells


def _loops(exchange: Exchange, solid: int) -> list[np.ndarray]:
    """The corners of each face of a solid, anticlockwise from outside."""
    (shell,) = exchange.args(Ref(solid), "MANIFOLD_SOLID_BREP")[1:]
    loops = []
    for face in exchange.args(shell, "CLOSED_SHELL")[1]:
        (bound,), _, _ = exchange.args(face, "ADVANCED_FACE")[1:]
        name = exchange.instances[bound.id][0][0]
        _, edges, forward = exchange.args(bound, name)
        corners = []
        for oriented in exchange.args(edges, "EDGE_LOOP")[1]:
            edge, way = exchange.args(oriented, "ORIENTED_EDGE")[3:]
            begin = exchange.args(edge, "EDGE_CURVE")[1 if way.name == "T" else 2]
            corners.append(exchange.args(exchange.args(begin, "VERTEX_POINT")[1], "CARTESIAN_POINT")[1])
        loops.append(np.array(corners if forward.name == "T" else corners[::-1]))
    return loops


def _measured(loops: list[np.ndarray]) -> tuple[float, float, np.ndarray]:
    """Volume, area and centroid of a solid, by tetrahedra and triangles from a point within."""
    base = np.mean([loop.mean(axis=0) for loop in loops], axis=0)
    volume, area, moment = 0.0, 0.0, np.zeros(3)
    for loop in loops:
        a, rest = loop[0] - base, loop[1:] - base
        normals = np.cross(rest[:-1] - a, rest[1:] - a)
        area += float(np.linalg.norm(normals.sum(axis=0))) / 2
        parts = normals @ a / 6
        volume += float(parts.sum())
        moment += (parts[:, None] * (a + rest[:-1] + rest[1:]) / 4).sum(axis=0)
    return volume, area, base + moment / volume


def _properties(exchange: Exchange, word: str, place: int) -> Iterator[tuple[int, str, list[Any]]]:
    """What each property with a word as its name (0) or description (1) is of, its name, and its one item."""
    for definition, representation in exchange.named("PROPERTY_DEFINITION_REPRESENTATION").values():
        args = exchange.args(definition, "PROPERTY_DEFINITION")
        if args[place] == word:
            _, (item,), context = exchange.args(representation, "REPRESENTATION")
            assert context.id in exchange.named("GLOBAL_UNIT_ASSIGNED_CONTEXT")
            yield args[2].id, args[1 - place], [exchange.instances[item.id][0][0], *exchange.instances[item.id][0][1]]


# CAx-IF recommended practice for geometric and assembly validation properties, release 4.4 (names from memory)
def test_validation_properties_are_what_the_faces_in_the_text_make(built: Built) -> None:
    for path in built.steps():
        exchange = read(path)
        told: dict[int, dict[str, list[Any]]] = {}
        for target, name, item in _properties(exchange, "geometric validation property", 0):
            told.setdefault(target, {})[name] = item
        shapes = exchange.named("SHAPE_DEFINITION_REPRESENTATION").values()
        assert told.keys() == {shape.id for shape, _ in shapes}
        for shape, representation in shapes:
            items = exchange.args(representation, "ADVANCED_BREP_SHAPE_REPRESENTATION")[1]
            (solid,) = (item.id for item in items if item.id in exchange.named("MANIFOLD_SOLID_BREP"))
            volume, area, centroid = _measured(_loops(exchange, solid))
            for name, kind, measured, power in (
                ("volume", "VOLUME_MEASURE", volume, 3.0),
                ("surface area", "AREA_MEASURE", area, 2.0),
            ):
                entity, item, (measure, (value,)), unit = told[shape.id][name]
                assert (entity, item, measure) == ("MEASURE_REPRESENTATION_ITEM", f"{name} measure", kind)
                assert value == pytest.approx(measured, rel=1e-9)
                ((element,),) = exchange.args(unit, "DERIVED_UNIT")
                length, exponent = exchange.args(element, "DERIVED_UNIT_ELEMENT")
                assert exponent == power
                assert exchange.args(length, "SI_UNIT") == [Enum("MILLI"), Enum("METRE")]
            entity, name, point = told[shape.id]["centroid"]
            assert (entity, name) == ("CARTESIAN_POINT", "centre point")
            assert point == pytest.approx(centroid, abs=1e-6)


def _matrix(exchange: Exchange, axes: Ref) -> tuple[np.ndarray, np.ndarray]:
    """Where axes stand: their directions as columns, and their origin (ISO 10303-42, build_axes, from memory)."""
    _, location, up, along = exchange.args(axes, "AXIS2_PLACEMENT_3D")
    z, x = (np.array(exchange.args(one, "DIRECTION")[1]) for one in (up, along))
    x = x - x @ z * z
    x, z = x / np.linalg.norm(x), z / np.linalg.norm(z)
    return np.stack([x, np.cross(z, x), z], axis=1), np.array(exchange.args(location, "CARTESIAN_POINT")[1])


# CAx-IF recommended practice for geometric and assembly validation properties, release 4.4 (names from memory)
@pytest.mark.parametrize("protocol", ["AP242", "AP214"])
def test_properties_of_the_whole_are_what_its_instances_make(builder: Builder, tmp_path: Path, protocol: str) -> None:
    frame = decide(read_plan(builder("skew").plan_path))
    plan = dataclasses.replace(frame.plan, export=Export(protocol, instances=True))
    write_frame_step(dataclasses.replace(frame, plan=plan), tmp_path)
    exchange = read(tmp_path / "frame.step")
    measured = []
    for between, _ in exchange.named("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION").values():
        _, _, representation, _ = exchange.args(between, "REPRESENTATION_RELATIONSHIP")
        (shift,) = exchange.args(between, "REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION")
        _, _, own, place = exchange.args(shift, "ITEM_DEFINED_TRANSFORMATION")
        (was, begin), (turned, origin) = _matrix(exchange, own), _matrix(exchange, place)
        items = exchange.args(representation, "ADVANCED_BREP_SHAPE_REPRESENTATION")[1]
        (solid,) = (item.id for item in items if item.id in exchange.named("MANIFOLD_SOLID_BREP"))
        loops = _loops(exchange, solid)
        measured.append(_measured([(loop - begin) @ was @ turned.T + origin for loop in loops]))
    uses = exchange.named("NEXT_ASSEMBLY_USAGE_OCCURRENCE").values()
    assert len(measured) == len(uses) == len(frame.pieces)
    (whole,) = {use[3].id for use in uses}
    (shape,) = (id for id, args in exchange.named("PRODUCT_DEFINITION_SHAPE").items() if args[2].id == whole)
    told = {name: item for of, name, item in _properties(exchange, "geometric validation property", 0) if of == shape}
    volume = sum(one for one, _, _ in measured)
    assert told["volume"][2] == ("VOLUME_MEASURE", [pytest.approx(volume, rel=1e-9)])
    assert told["surface area"][2] == ("AREA_MEASURE", [pytest.approx(sum(one for _, one, _ in measured), rel=1e-9)])
    assert told["centroid"][2] == pytest.approx(sum(one * at for one, _, at in measured) / volume, abs=1e-6)
    ((of, name, (entity, item, count)),) = _properties(exchange, "assembly validation property", 0)
    assert (of, name, item) == (shape, "number of children", "number of children")
    assert (entity, count) == {
        "AP242": ("INTEGER_REPRESENTATION_ITEM", float(len(uses))),
        "AP214": ("VALUE_REPRESENTATION_ITEM", ("COUNT_MEASURE", [float(len(uses))])),
    }[protocol]


# CAx-IF recommended practice for user defined attributes, release 1.8 (names of entities from memory)
def test_attributes_are_the_report_s(built: Built) -> None:
    kinds = {kind["type"]: kind for kind in built.report["types"]}
    for path in built.steps():
        exchange = read(path)
        generals = {
            derived.id: exchange.args(general, "GENERAL_PROPERTY")[1]
            for _, _, general, derived in exchange.named("GENERAL_PROPERTY_ASSOCIATION").values()
        }
        named = {id: args[0] for id, args in exchange.named("PROPERTY_DEFINITION").items() if id in generals}
        # ISO 10303-41, general_property_association: both have one name (from memory)
        assert named == generals
        told: dict[int, dict[str, Any]] = {}
        for target, name, (entity, item, value, *unit) in _properties(exchange, "user defined attribute", 1):
            assert item == name
            assert entity == {"length": "MEASURE", "laying order": "INTEGER"}.get(name, "DESCRIPTIVE") + (
                "_REPRESENTATION_ITEM"
            )
            if unit:
                measure, (value,) = value
                assert measure == "LENGTH_MEASURE"
            if name == "laying order":
                # the_value of an integer_representation_item is first declared a NUMBER, so it has a decimal point
                # (ISO 10303-21, redeclared attributes; as files of the CAx-IF have it; both from memory)
                assert isinstance(value, float)
            told.setdefault(target, {})[name] = value
        assert told.keys() == exchange.named("PRODUCT_DEFINITION").keys()
        for definition, attributes in told.items():
            formation = exchange.args(Ref(definition), "PRODUCT_DEFINITION")[2]
            product = exchange.args(exchange.args(formation, "PRODUCT_DEFINITION_FORMATION")[2], "PRODUCT")
            kind = kinds[attributes["type"]]
            piece = built.pieces[attributes.get("mark", kind["marks"][0])]
            assert attributes["grade"] == built.report["plan"]["grade"]
            assert attributes["section"] == f"{piece['width']:g} x {piece['depth']:g} mm"
            assert attributes["length"] == pytest.approx(piece["length"], abs=1e-6)
            if path.stem == "frame":
                assert (product[0], piece["type"]) == (attributes["mark"], kind["type"])
                assert attributes["laying order"] == piece["order"]
                assert kind["type"] in product[2]
            else:
                assert (product[0], attributes["marks"]) == (kind["type"], ", ".join(kind["marks"]))
                assert attributes["marks"] in product[2]


@pytest.mark.parametrize(
    "spoiled",
    [
        "ISO-10303-21;HEADER;ENDSEC;DATA;#1=A(1.);#1=A(2.);ENDSEC;END-ISO-10303-21;",
        "ISO-10303-21;HEADER;ENDSEC;DATA;#1=A('a);ENDSEC;END-ISO-10303-21;",
        "ISO-10303-21;DATA;#1=A(1.);ENDSEC;END-ISO-10303-21;",
        "ISO-10303-21;HEADER;ENDSEC;DATA;#1=A(1.)ENDSEC;END-ISO-10303-21;",
        "ISO-10303-21;HEADER;ENDSEC;DATA;#1=A(1.);ENDSEC;",
    ],
)
def test_the_reader_itself_refuses_what_is_no_exchange_structure(spoiled: str) -> None:
    with pytest.raises((AssertionError, IndexError)):
        part21.parse(spoiled)
