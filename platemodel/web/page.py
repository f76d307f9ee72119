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
from platemodel.web.values import counts, page_values

HERE = Path(__file__).parent

PARTS = ("state", "ticks", "moving", "pieces", "facts", "plan", "joints", "sheets", "files", "steps", "start")
"""Our own scripts in the order in which they build on one another; the 3D view comes after them."""

MOST_REASONS = 8
"""As many failed laps, and checks, are named at the head of the page."""

VIEW_PARTS = ("solids", "shading", "labels", "view")
"""The scripts of the 3D view, which need three.min.js."""


def index_page(
    frame: Frame, report: dict[str, Any], pages: Mapping[str, Page], files: Sequence[tuple[str, str]]
) -> str:
    """The whole page as HTML.

    ``report`` are the values of report.json with the proof, ``pages`` the sheets by name in reading
    order, ``files`` the other files of the folder: path in it, and what it is.
    """
    values = page_values(frame, report, pages, files)
    figure = plan_figure(frame)
    theme, own, view = _read("theme.js"), _joined(PARTS), _joined(VIEW_PARTS)
    three = _read("three.min.js")
    proved = bool(report["passed"])
    return Template(_read("page.html")).substitute(
        policy=_policy([theme, own, three, view]),
        title=escape(frame.plan.job.title),
        style=_style([*pages.values(), figure], SIZES[frame.plan.job.sheet]),
        theme=theme,
        verdict="proved" if proved else "failed",
        verdict_words=_verdict(proved, values),
        counts=" · ".join(counts(frame)),
        plan=fragment(figure),
        paper_words=_paper_words(frame),
        plan_ratio=f"{figure.width:g} / {figure.height:g}",
        sheets="\n".join(
            f'<template data-sheet="{escape(name)}">{fragment(page)}</template>' for name, page in pages.items()
        ),
        values=_json(values),
        own=own,
        three=three,
        view=view,
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
            "<strong>Proved</strong>: two unrelated programs put the pieces together from the finished files "
            "and agree. Mates fill each other, nothing clashes, every piece goes straight down in the laying order."
        )
    laps = _some([joint["id"] for joint in values["joints"] if not joint["passed"]], ", ")
    reasons = _some([*([f"laps {laps}"] if laps else []), *values["checks"]], "; ")
    return f"<strong>NOT PROVED – DO NOT CUT</strong> Failed: {escape(reasons)}"


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


def _policy(scripts: Sequence[str]) -> str:
    """The content security policy: only these scripts run, and nothing is fetched from elsewhere."""
    hashes = " ".join(f"'sha256-{base64.b64encode(hashlib.sha256(s.encode()).digest()).decode()}'" for s in scripts)
    return (
        f"default-src 'none'; script-src {hashes}; style-src 'unsafe-inline'; font-src data:; "
        "img-src 'self' data: file:; connect-src 'self'; base-uri 'none'; form-action 'none'"
    )


def _style(pages: Sequence[Page], leaf: tuple[float, float]) -> str:
    texts = (mark.text for page in pages for mark in page.marks if isinstance(mark, Text))
    wide = any(WIDE.search(text) for text in texts)
    colours = "".join(f"--role-{role}:{_colour(colour)};" for role, colour in ROLE_COLOUR.items())
    width, height = (f"{side:g}mm" for side in leaf)
    colours += f"--leaf-width:{width};--leaf-height:{height};"
    paper = f"@page leaf{{size:{width} {height};margin:0}}"
    return f"{faces(wide)}{STYLE}\n:root{{{colours}}}\n{paper}\n{_read('page.css')}"


def _colour(colour: tuple[float, float, float]) -> str:
    return "#" + "".join(f"{round(part * 255):02x}" for part in colour)


def _json(values: Mapping[str, Any]) -> str:
    """JSON that cannot end the element it stands in."""
    text = json.dumps(values, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for letter in "<>&\u2028\u2029":
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return text
