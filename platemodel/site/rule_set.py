"""The figures of the rules, read from data files: the set that comes with the program, and a plan's own on top.

A figure has a value, a unit, a source and edition (or 'common practice') and a level. A plan's file may name
only the figures it changes. What it does not give a source for is its own figure, not the published one.
"""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from platemodel.faults import Fault, KeyPath, PlanError, nearest
from platemodel.plan.lines import find_lines, line_of
from platemodel.plan.values import Plan

COMMON = "common practice"
FIRST = "Local building codes and the engineer come first. Where they say otherwise, what stands here does not count."
"""What stands above every list of rules."""

DEFAULT = Path(__file__).with_name("rule_sets") / "default.toml"
MOST_BYTES = 1_000_000
"""A larger file is no rule set."""

LEVELS = ("must", "advice")
FIELDS = ("value", "unit", "source", "edition", "level", "words")
"""What a plan's own file may say of a figure."""

MOST = 1e6
"""No figure of a rule is larger."""


@dataclass(frozen=True)
class Figure:
    """One figure of a rule.

    ``sense``: it is the ``most`` or the ``least`` that is allowed, or ``exact``; ``memory``: the source was cited
    from memory; ``own``: the plan's own rule set says it.
    """

    key: str
    value: float
    unit: str
    sense: str
    source: str
    edition: str
    level: str
    words: str
    memory: bool = False
    own: bool = False

    @property
    def figure(self) -> str:
        """The value with its unit, ``2000 mm``."""
        return f"{self.value:g}" if self.unit == "number" else f"{self.value:g} {self.unit}"

    @property
    def limit(self) -> str:
        """The limit in words, ``at most 2000 mm``."""
        if self.sense == "most" and self.value == 0.0:
            return "none"
        return self.figure if self.sense == "exact" else f"at {self.sense} {self.figure}"

    def holds(self, found: float, slack: float = 1e-6) -> bool:
        """Whether something found keeps to it."""
        if self.sense == "most":
            return found <= self.value + slack
        return found >= self.value - slack if self.sense == "least" else abs(found - self.value) <= slack


@dataclass(frozen=True)
class RuleSet:
    """Figures by key; ``file`` is the plan's own file as the plan names it, empty where it has none."""

    figures: Mapping[str, Figure]
    file: str = ""

    def __getitem__(self, key: str) -> Figure:
        return self.figures[key]

    def value(self, key: str) -> float:
        """A figure's value in its unit."""
        return self.figures[key].value

    def count(self, key: str) -> int:
        """A figure that is a whole number."""
        return int(self.figures[key].value)


def rule_set(plan: Plan) -> RuleSet:
    """The figures that a plan's rules use: the set of the program, or the plan's own file on top of it.

    Raises :class:`~platemodel.faults.PlanError` where that file cannot be read or says what no figure can be.
    """
    if plan.site.rules is None:
        return default_set()
    path = Path(plan.file).parent / plan.site.rules
    try:
        with open(path, "rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no name of a file"
        found = f"{plan.site.rules} cannot be read ({reason})"
        raise plan.error(plan.fault(("rules", "file"), found, "expected a rule set beside the plan file")) from None
    return _replaced(default_set(), raw, str(path), plan.site.rules)


@functools.cache
def default_set() -> RuleSet:
    """The set that comes with the program."""
    data = tomllib.loads(DEFAULT.read_text("utf-8"))
    return RuleSet({key: _figure(key, table) for key, table in data.items()})


def _figure(key: str, table: Mapping[str, Any]) -> Figure:
    return Figure(
        key,
        float(table["value"]),
        table["unit"],
        table["sense"],
        table["source"],
        table.get("edition", ""),
        table["level"],
        table["words"],
        table.get("memory", False),
    )


def _replaced(base: RuleSet, raw: bytes, file: str, name: str) -> RuleSet:
    """A set with the figures of a file in place of its own."""
    data, lines = _read(raw, file)
    figures = dict(base.figures)
    faults: list[Fault] = []
    for key, entry in data.items():
        if key not in figures:
            faults.append(Fault((key,), f"there is no figure '{key}'", nearest(key, figures)))
            continue
        table = entry if isinstance(entry, dict) else {"value": entry}
        wrong = _wrong(key, table, figures[key], bare=not isinstance(entry, dict))
        faults += wrong
        if not wrong:
            figures[key] = _changed(figures[key], table, name)
    if faults:
        placed = [Fault(f.path, f.found, f.expected, line_of(f.path, lines)) for f in faults]
        raise PlanError(sorted(placed, key=lambda fault: fault.line or 0), file)
    return RuleSet(figures, name)


def _changed(figure: Figure, table: Mapping[str, Any], name: str) -> Figure:
    """A figure as a file changes it; a new value is no longer what the old source says."""
    value = float(table.get("value", figure.value))
    source, edition, memory = figure.source, figure.edition, figure.memory
    if "source" in table or value != figure.value:
        source, edition, memory = table.get("source", f"rule set {name}"), "", False
    return replace(
        figure,
        value=value,
        source=source,
        edition=table.get("edition", edition),
        level=table.get("level", figure.level),
        words=table.get("words", figure.words),
        memory=memory,
        own=True,
    )


def _wrong(key: str, table: Mapping[str, Any], figure: Figure, bare: bool) -> list[Fault]:
    """What is wrong with what a file says of a figure."""
    faults = []
    for field, found in table.items():
        path: KeyPath = (key,) if bare else (key, field)
        if field not in FIELDS:
            faults.append(Fault(path, f"unknown key '{field}'", nearest(field, FIELDS)))
        elif field == "value":
            faults += _wrong_value(path, found, figure)
        elif not isinstance(found, str):
            faults.append(Fault(path, f"found {_shown(found)}", 'expected a text in "quotes"'))
        elif field == "level" and found not in LEVELS:
            faults.append(Fault(path, f'found "{found}"', 'expected "must" or "advice"'))
        elif field == "unit" and found != figure.unit:
            faults.append(Fault(path, f'found "{found}"', f'expected "{figure.unit}", the unit of this figure'))
        elif not found.strip() or len(found) > 500 or not found.isprintable():
            expected = "expected a text on one line, not empty, of at most 500 characters"
            faults.append(Fault(path, f"found a text of {len(found)} characters", expected))
    return faults


def _wrong_value(path: KeyPath, found: Any, figure: Figure) -> list[Fault]:
    what = f"expected {'a whole number' if figure.unit == 'number' else 'a number'}, {figure.words}"
    what += "" if figure.unit == "number" else f", in {figure.unit}"
    if isinstance(found, bool) or not isinstance(found, int | float):
        return [Fault(path, f"found {_shown(found)}", what)]
    # what must be there at all may not be 0: straps 0 apart are none
    least = 0.0 if figure.value == 0.0 else 1e-3
    if not least <= found <= MOST:
        bounds = f"{what}, from 0 to {MOST:,.0f}" if least == 0.0 else f"{what}, above 0 and up to {MOST:,.0f}"
        return [Fault(path, f"found {_shown(found)}", bounds.replace(",000", " 000"))]
    if figure.unit == "number" and found != int(found):
        return [Fault(path, f"found {_shown(found)}", what)]
    return []


def _read(raw: bytes, file: str) -> tuple[dict[str, Any], Mapping[KeyPath, int]]:
    """The tables of a rule set's file, and which line each key stands on."""
    expected = "expected a rule set in TOML: figure = value, or [figure] with value, source, level"
    if len(raw) > MOST_BYTES:
        raise PlanError([Fault((), "is larger than 1 MB", expected)], file)
    try:
        text = raw.decode("utf-8-sig")
        return tomllib.loads(text), find_lines(text)
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise PlanError([Fault((), f"byte {raw[error.start]:#04x} is not UTF-8", expected, line)], file) from None
    except RecursionError:
        raise PlanError([Fault((), "is nested too deep", expected)], file) from None
    except ValueError as error:
        message = str(error)
        match = re.search(r"\(at line (\d+), column (\d+)\)", message)
        line = int(match.group(1)) if match else text.count("\n") + 1
        message = re.sub(r"\s*\(at [^()]*\)$", "", message)
        raise PlanError([Fault((), f"is not TOML ({message})", expected, line)], file) from None


def _shown(value: Any) -> str:
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= 40 else f'"{value[:40]}…"'
    if isinstance(value, list | dict):
        return "a list" if isinstance(value, list) else "a table"
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value) if not isinstance(value, int) or abs(value) < 10**20 else "a number of more than 20 digits"
