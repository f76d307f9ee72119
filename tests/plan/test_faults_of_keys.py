"""Faults of what a plan file says, key by key: each one clear message with file, line and key path."""

from __future__ import annotations

import itertools
import tomllib
from typing import Any

import pytest
import tomli_w
from faulty import SOUND, changed, fault, faults, sound

from platemodel.faults import PlanError, path_text
from platemodel.frame import decide
from platemodel.plan import parse_plan


def test_sound_plan_is_taken() -> None:
    assert len(decide(parse_plan(SOUND)).runs) == 6


def test_message_names_file_line_key_found_and_expected() -> None:
    text = SOUND.replace("leaf = 100\ncorners", "leaf = -5\ncorners")
    line = text.split("\n").index("leaf = -5") + 1
    assert fault(text).text("p.toml") == (f"p.toml:{line}: shell[0].leaf: found -5; expected a number greater than 0")


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("", None, "is empty"),
        ("  \n\n", None, "is empty"),
        ("[job]\ntitle = Store\n", 2, "no value that can be read"),
        ("[job]\ntitle 5\n", 2, "no = after the key"),
        ("[plate]\nwidth = 100,5\n", 2, "left over after the value"),
        ("[plate]\nwidth = 1\nwidth = 2\n", 3, "stands twice"),
        ("[plate]\nwidth = 1\n[plate]\ndepth = 2\n", 3, "the table [plate] stands twice"),
        ("[stock]\nlengths = [1 2]\n", 2, "a list [ … ] is not closed"),
        ('[job]\ntitle = "Store\n', 2, "is not TOML"),
        ("a = " + "[" * 5000, None, "is nested too deep"),
        ("a = " + "{a=" * 3000, None, "is nested too deep"),
        ("a" + ".a" * 5000 + " = 1", 1, "more than 40 parts"),
        ("x = 1" + "0" * 5000, None, "cannot be read"),
    ],
)
def test_what_is_not_toml(text: Any, line: Any, found: Any) -> None:
    told = fault(text)
    assert found in told.found
    assert told.line == line
    assert told.expected


@pytest.mark.parametrize("depth", [50, 150, 200, 240, 300, 320, 330, 400, 480, 490])
def test_deep_nesting_that_the_toml_reader_takes(depth: Any) -> None:
    for text in ("a = " + "[" * depth + "]" * depth, "a = " + '{"b" = ' * depth + "1" + "}" * depth):
        told = faults(text)
        assert told[0].found


def test_many_corners_are_refused_at_once() -> None:
    corners = ", ".join(f"[{n}, {n % 7}]" for n in range(100_000))
    told = fault(SOUND.replace("corners = [[0, 0], [5400, 0], [5400, 3600], [0, 3600]]", f"corners = [{corners}]"))
    assert told.text("p.toml").startswith("p.toml:13: shell[0].corners: found a list of 100000; expected a list of at")


def test_thousands_of_faults_are_counted() -> None:
    text = SOUND + "".join(f"key{n} = 1\n" for n in range(3000))
    told = faults(text)
    assert len(told) == 501
    assert any("2500 faults more" in item.found for item in told)


SECTIONS = {
    ("job",): "titel",
    ("plate",): "widht",
    ("lap",): "clearence",
    ("stock",): "lenghts",
    ("shell", 0): "coners",
    ("cross", 0): "frm",
    ("cross", 0, "from"): "wal",
    ("gap", 0): "wol",
    ("splice", 0): "art",
    ("opening", 0): "form",
    ("bearing", 0): "evry",
    ("laying",): "ordre",
}


@pytest.mark.parametrize(("table", "key"), SECTIONS.items())
def test_unknown_key_at_every_level_names_the_nearest(table: Any, key: Any) -> None:
    changes = [((*table, key), 1)]
    if table[0] == "splice":
        changes.insert(0, (("splice",), [{"wall": "front", "at": 3300}]))
    told = fault(changed(*changes))
    assert told.path == (*table, key)
    assert told.found == f"unknown key '{key}'"
    assert told.expected.startswith("did you mean '")
    assert told.line is not None


def test_key_of_another_table_is_sent_home() -> None:
    assert fault(changed((("lap", "kerf"), 3))).expected == "it belongs in [stock]"
    assert fault(changed((("title",), "x"))).expected == "it belongs in [job]"
    assert fault(changed((("bearings",), []))).expected == "did you mean 'bearing'?"


WRONG = [True, "five", float("nan"), float("inf"), -float("inf"), 1e300, -1e300, 10**30, 10**400, -1, [], [[]], {}, ""]
PLACES = {
    ("plate", "width"),
    ("plate", "depth"),
    ("plate", "moisture"),
    ("plate", "widest"),
    ("lap", "clearance"),
    ("lap", "splice"),
    ("stock", "kerf"),
    ("stock", "lengths", 0),
    ("shell", 0, "leaf"),
    ("shell", 0, "setback"),
    ("shell", 0, "plate_width"),
    ("cross", 0, "leaf"),
    ("cross", 0, "from", "at"),
    ("gap", 0, "from"),
    ("opening", 0, "to"),
    ("bearing", 0, "at"),
    ("bearing", 0, "width"),
}


@pytest.mark.parametrize("place", sorted(PLACES, key=str))
def test_numbers_that_are_none(place: Any) -> None:
    for value in WRONG:
        told = faults(changed((place, value)))
        assert [item.path for item in told] == [place], value
        assert told[0].found.startswith("found "), value
        assert len(told[0].text("p.toml")) < 200
        assert "expected a number" in told[0].expected


def test_wrong_types_everywhere_are_told_and_never_crash() -> Any:
    def places(node: Any, path: Any = ()) -> Any:
        if path:
            yield path
        items = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
        for key, value in items:
            yield from places(value, (*path, key))

    def taken(text: Any) -> Any:
        try:
            parse_plan(text)
        except PlanError as error:
            return not error.faults
        return True

    values = [7.5, "word", True, [], [1, [2, {"a": 3}]], {}, {"wall": "front"}]
    fitting = [
        (place, value)
        for place, value in itertools.product(list(places(sound())), values)
        if taken(changed((place, value)))
    ]
    # a number in place of a number, a text in place of a text; at most one value in seven fits
    assert 0 < len(fitting) < 60


def test_number_in_quotes_is_told_plainly() -> None:
    assert fault(changed((("plate", "width"), "100"))).expected == "expected a number without quotes"


def test_choices_are_listed() -> None:
    assert fault(changed((("job", "sheet"), "A5"))).expected == "expected 'A4' or 'A3'"
    assert "'round' or 'pairs'" in fault(changed((("laying", "method"), "pair"))).expected


def test_missing_tables_and_keys() -> None:
    told = faults("[plate]\nwidth = 100\n")
    assert [path_text(item.path) for item in told] == ["job", "shell", "plate.depth"]
    assert told[0].found == "[job] is missing"
    assert told[1].found == "[[shell]] is missing"
    assert told[2].expected == "expected in [plate]: top to bottom, mm"


def test_single_and_double_brackets_mixed_up() -> None:
    assert fault(SOUND.replace("[plate]", "[[plate]]")).expected == "expected one table [plate]"
    assert faults(SOUND.replace("[[shell]]", "[shell]"))[0].expected == "expected tables under [[shell]]"


def test_texts_on_one_line() -> None:
    assert "one line" in fault(changed((("job", "title"), "a\nb"))).expected
    assert "one line" in fault(changed((("bearing", 0, "name"), "a\x07b"))).expected
    told = fault('"a\\nb" = 1\n' + SOUND)
    assert "a\\nb" in told.text("p.toml")


def test_all_faults_are_listed_together() -> None:
    text = changed(
        (("shell", 0, "leaf"), -1),
        (("shell", 0, "walls", 0), "fornt"),
        (("opening", 0, "wall"), "rihgt"),
        (("bearing", 0, "at"), "x"),
        (("bearing", 0, "wall"), "bck"),
        (("gap", 0, "wall"), "lefft"),
        (("stock", "kerf"), "wide"),
        (("laying", "start"), "frnt"),
        (("plat",), 3),
    )
    told = {path_text(item.path): item for item in faults(text)}
    assert set(told) == {
        "plat",
        "shell[0].leaf",
        "opening[0].wall",
        "bearing[0].at",
        "bearing[0].wall",
        "gap[0].wall",
        "stock.kerf",
        "laying.start",
        "cross[0].from.wall",
    }
    assert told["opening[0].wall"].expected == "did you mean 'right'?"
    assert told["bearing[0].wall"].expected == "did you mean 'back'?"
    lines = [item.line for item in faults(text)]
    assert lines == sorted(lines)


def test_names_are_not_faulted_where_they_cannot_be_known() -> None:
    text = changed((("shell", 0, "corners"), "none"))
    data = tomllib.loads(text)
    del data["shell"][0]["walls"]
    data["opening"][0]["wall"] = "store2"
    told = faults(tomli_w.dumps(data))
    named = {path_text(item.path) for item in told}
    assert "shell[0].corners" in named
    assert "opening[0].wall" not in named
    assert "gap[0].wall" in named
