"""The page put together: template, style, scripts, drawings and values in one text."""

from __future__ import annotations

import base64
import functools
import hashlib
import json
from collections.abc import Mapping, Sequence
from html import escape
from pathlib import Path
from string import Template
from typing import Any

from platemodel.frame.values import Frame
from platemodel.sheets import fragment, plan_figure
from platemodel.sheets.form import SIZES
from platemodel.sheets.lettering import FONTS
from platemodel.sheets.page import Page, Text
from platemodel.sheets.svg import STYLE, WIDE, faces
from platemodel.solid.colours import ROLE_COLOUR
from platemodel.web.carrying import packed
from platemodel.web.values import page_values
from platemodel.web.wall import wall_section

HERE = Path(__file__).parent

PARTS = (
    *("state", "carried", "keeping", "ticks", "moving", "panning", "rules", "pieces", "facts", "plan", "joints"),
    *("sheets", "files", "space", "steps"),
    *("wall-reading", "wall-kept", "wall-section", "wall-tables", "wall", "start"),
)
"""Our own scripts in the order in which they build on one another; the 3D view comes after them."""

MOST_REASONS = 8
"""As many failed laps, and checks, are named at the head of the page."""

NOT_PROVED = "This proves the shapes, not the timber, the sawing or the structure."

VIEW_PARTS = ("solids", "shading", "ribbons", "labels", "view")
"""The scripts of the 3D view, which need three.min.js: carried packed with it, and begun by space.js."""


def index_page(
    frame: Frame, report: dict[str, Any], pages: Mapping[str, Page], files: Sequence[tuple[str, str]]
) -> str:
    """The whole page as HTML.

    ``report`` are the values of report.json with the proof, ``pages`` the sheets by name in reading
    order, ``files`` the other files of the folder: path in it, and what it is.
    """
    values = page_values(frame, report, pages, files)
    figure = plan_figure(frame)
    theme, own = _read("theme.js"), _joined(PARTS)
    space, space_packed = _space()
    proved = bool(report["passed"])
    return Template(_read("page.html")).substitute(
        policy=_policy([theme, own, space]),
        title=escape(frame.plan.job.title),
        style=_style(
            [*pages.values(), figure], SIZES[frame.plan.job.sheet], f"{frame.plan.job.title} · {_about(frame)}"
        ),
        theme=theme,
        verdict="proved" if proved else "failed",
        verdict_words=_verdict(proved, values),
        counts=escape(" · ".join(values["counts"])),
        about=escape(_about(frame)),
        rules=_rules(values["rules"], [rule for rule in report["rules"] if rule["passed"]]),
        plan=fragment(figure),
        paper_words=_paper_words(frame),
        wall=wall_section(values["site"]),
        wall_link="" if values["site"] is None else '<a class="button" href="#wall">On the wall</a>\n',
        plan_ratio=f"{figure.width:g} / {figure.height:g}",
        sheets="\n".join(
            f'<template data-sheet="{escape(name)}">{packed(fragment(page))}</template>' for name, page in pages.items()
        ),
        values=_json(values),
        own=own,
        space=space_packed,
        three_licence=escape(_read("three-licence.txt")),
        font_licence=escape((FONTS / "LICENSE.txt").read_text("utf-8")),
    )


def _paper_words(frame: Frame) -> str:
    """On which paper the sheets come out at true size."""
    paper = "A4 or A3" if frame.plan.job.sheet == "A4" else frame.plan.job.sheet
    bars = ": measure the bars of the gauge sheet"
    return f"Print on {paper} at 100 %; on other paper it comes out smaller{bars}."


def _verdict(proved: bool, values: Mapping[str, Any]) -> str:
    """Whether the frame is proved, in plain words."""
    if proved:
        return (
            "<strong>✓ Proved</strong>: two unrelated programs put the pieces together from the finished files "
            "and agree: mates fill each other, nothing clashes, every piece goes straight down in the laying order. "
            f"{NOT_PROVED}"
        )
    laps = _some([joint["id"] for joint in values["joints"] if not joint["passed"]], ", ")
    reasons = _some([*([f"laps {laps}"] if laps else []), *values["checks"]], "; ")
    return f"<strong>NOT PROVED – DO NOT CUT</strong> Failed: {escape(reasons)}"


def _about(frame: Frame) -> str:
    """Which job this is, and which state of it."""
    job = frame.plan.job
    parts = (f"{name} {words}" for name, words in (("job", job.number), ("revision", job.revision)) if words)
    return ", ".join(parts) or "no job number"


def _rules(rules: Sequence[Mapping[str, Any]], held: Sequence[Mapping[str, Any]]) -> str:
    """The rules that do not hold, told in a line that opens on what they are and where; then those that do."""
    if not rules and not held:
        return '<p class="rules-none">No rule of the trade was judged.</p>'
    if not rules:
        return f'<p class="rules-none"><strong>✓ All rules hold</strong> that were judged.</p>\n{_held(held)}'
    places = sum(len(rule["places"]) for rule in rules)
    count = f"{len(rules)} rule{' does' if len(rules) == 1 else 's do'} not hold"
    where = f", in {places} places" if places > len(rules) else ""
    lines = "".join(
        f"<li><strong>{escape(rule['rule'])}</strong> <span>({escape(_asked(rule))})</span>"
        f"<ul>{''.join(f'<li>{_place(place)}</li>' for place in rule['places'])}</ul></li>"
        for rule in rules
    )
    return (
        '<button type="button" id="rules-head" aria-expanded="false" aria-controls="rules-list">'
        f'<span class="sign" aria-hidden="true">⚠\ufe0e</span> <span>{count}{where}: <u>see which and where</u></span>'
        "</button>\n"
        f'<div id="rules-list" class="folded"><p>Agree each with the designer or the engineer before sawing.</p>'
        f"<ol>{lines}</ol></div>\n{_held(held)}"
    )


def _asked(rule: Mapping[str, Any]) -> str:
    """A rule's limit and source in a line, and before them whether it must hold."""
    level = rule["level"] if rule["level"] == "must" else ""
    return "; ".join(words for words in (level, rule["limit"], rule["source"]) if words)


def _held(rules: Sequence[Mapping[str, Any]]) -> str:
    """The rules that hold, folded: what each asks, and what was found."""
    if not rules:
        return ""
    lines = "".join(
        f"<li><strong>{escape(rule['rule'])}</strong> <span>({escape(_asked(rule))})</span>: "
        f"{escape(rule['found'])}</li>"
        for rule in rules
    )
    count = f"{len(rules)} rule{' holds' if len(rules) == 1 else 's hold'}"
    return f'<details id="rules-held"><summary>{count}: what was found</summary><ul>{lines}</ul></details>'


def _place(place: Mapping[str, Any]) -> str:
    """A place where a rule does not hold, with what leads to the pieces that it names."""
    buttons = "".join(
        f' <button type="button" data-pick="{escape(mark)}">{escape(mark)}</button>' for mark in place["marks"]
    )
    return f"<span>{escape(place['words'])}</span>{buttons}"


def _some(words: Sequence[str], between: str) -> str:
    """The first of many words, and how many more there are."""
    rest = len(words) - MOST_REASONS
    return between.join(words[:MOST_REASONS]) + (f" and {rest} more" if rest > 0 else "")


@functools.cache
def _read(name: str) -> str:
    return (HERE / name).read_text("utf-8").strip()


def _joined(names: Sequence[str]) -> str:
    """Scripts as one, its names its own."""
    parts = "\n".join(_read(f"{name}.js") for name in names)
    return f'(() => {{\n"use strict";\n{parts}\n}})();'


@functools.cache
def _space() -> tuple[str, str]:
    """The script of the 3D view with its library, and the same packed."""
    script = f"{_read('three.min.js')}\n{_joined(VIEW_PARTS)}"
    return script, packed(script)


def _policy(scripts: Sequence[str]) -> str:
    """The content security policy: only these scripts run, and nothing is fetched from elsewhere."""
    hashes = " ".join(f"'sha256-{base64.b64encode(hashlib.sha256(s.encode()).digest()).decode()}'" for s in scripts)
    return (
        f"default-src 'none'; script-src {hashes}; style-src 'unsafe-inline'; font-src data:; "
        "img-src 'self' data: file:; connect-src 'self'; base-uri 'none'; form-action 'none'"
    )


def _style(pages: Sequence[Page], leaf: tuple[float, float], head: str) -> str:
    texts = (mark.text for page in pages for mark in page.marks if isinstance(mark, Text))
    wide = any(WIDE.search(text) for text in texts)
    colours = "".join(f"--role-{role}:{_colour(colour)};" for role, colour in ROLE_COLOUR.items())
    width, height = (f"{side:g}mm" for side in leaf)
    colours += f"--leaf-width:{width};--leaf-height:{height};--leaf-ratio:{leaf[0]:g} / {leaf[1]:g};"
    paper = f"@page leaf{{size:{width} {height};margin:0}}@page{{@top-left{{content:{_css(head)}}}}}"
    return f"{faces(wide)}{STYLE}\n:root{{{colours}}}\n{paper}\n{_read('page.css')}"


def _css(text: str) -> str:
    """A text as a style sheet writes it, every letter that could mean anything else by its number."""
    return '"' + "".join(letter if letter.isalnum() else f"\\{ord(letter):x} " for letter in text) + '"'


def _colour(colour: tuple[float, float, float]) -> str:
    return "#" + "".join(f"{round(part * 255):02x}" for part in colour)


def _json(values: Mapping[str, Any]) -> str:
    """JSON that cannot end the element it stands in."""
    text = json.dumps(values, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for letter in "<>&\u2028\u2029":
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return text
