"""The parts of a build that a user may ask for by name, and how each is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from platemodel.faults import InputError
from platemodel.frame.values import Frame
from platemodel.sheets.page import Page
from platemodel.solid.workers import beside

PARTS = ("solids", "lists", "sheets", "pack", "page")
"""Names for --only, in the order of writing; report.json and files.csv are written always."""

DRAWN = frozenset(("sheets", "pack", "page"))
"""Parts for which sheets are drawn."""

PAGE = "index.html"
PACK_FILE = ("pack.pdf", "all sheets to print at 100 %, cover first")
WORTH_IT = 4
"""Fewer sheets than this are not worth a process for their pack."""


def chosen(only: str | None, show: bool) -> tuple[str, ...]:
    """The parts that are wanted, all where none is named; ``show``: the page is to be opened.

    Raises :class:`~platemodel.faults.InputError`.
    """
    if only is None:
        return PARTS
    names = [name.strip() for name in only.split(",")]
    for name in names:
        if name not in PARTS:
            raise InputError(f"--only: '{name}' is no part of a build; expected some of {', '.join(PARTS)}")
    if show and "page" not in names:
        raise InputError("--open: the page is not among the parts of --only; expected 'page' among them")
    return tuple(names)


@dataclass(frozen=True)
class Results:
    """What the files of a build are written from: the sheets by name in the pack's order, the report's values."""

    frame: Frame
    pages: Mapping[str, Page]
    report: dict[str, Any]


Files = list[tuple[str, str]]
"""Paths in the folder, each with what it is."""


def solid_files(frame: Frame) -> Files:
    """The files of solids, which the proof has read."""
    kinds = [kind.name for kind in frame.types]
    return [
        ("frame.step", "the frame's solids, AP242, mm"),
        ("frame.stl", "the frame as a mesh, mm"),
        ("frame.glb", "the frame for viewers, glTF 2.0, metres, y up"),
        *((f"pieces/{kind}.step", f"solid of type {kind} in the piece frame, mm") for kind in kinds),
        *((f"pieces/{kind}.stl", f"mesh of type {kind} in the piece frame, mm") for kind in kinds),
    ]


def write_parts(results: Results, folder: Path, wanted: frozenset[str]) -> Files:
    """Write the wanted parts other than solids into a folder, and the report; gives all of the folder's files."""
    from platemodel.export.report import report_text

    files: Files = solid_files(results.frame) if "solids" in wanted else []
    _write(folder / "report.json", report_text(results.report))
    files.append(("report.json", "all results"))
    with beside(lambda: _pack(results, folder), "pack" in wanted and len(results.pages) >= WORTH_IT) as pack:
        if "lists" in wanted:
            files += _lists(results, folder)
        if "sheets" in wanted:
            files += _sheets(results, folder)
        if "page" in wanted:
            # it links to all others
            linked = [*files, *([PACK_FILE] if "pack" in wanted else [])]
            files += _page(results, folder, sorted(linked))
        if "pack" in wanted:
            files += pack()
    return files


def _lists(results: Results, folder: Path) -> Files:
    from platemodel.export.lists import buying_list, cutting_list

    _write(folder / "cutting-list.csv", cutting_list(results.frame))
    _write(folder / "buying-list.csv", buying_list(results.frame))
    return [("cutting-list.csv", "every piece with its laps"), ("buying-list.csv", "boards to buy")]


def _sheets(results: Results, folder: Path) -> Files:
    from platemodel.sheets import svg

    (folder / "sheets").mkdir()
    for name, page in results.pages.items():
        _write(folder / "sheets" / f"{name}.svg", svg(page))
    return [(f"sheets/{name}.svg", page.title) for name, page in results.pages.items()]


def _pack(results: Results, folder: Path) -> Files:
    from platemodel.sheets import outline
    from platemodel.sheets.pdf import pdf

    job = results.frame.plan.job
    made = pdf(outline(results.pages), f"{job.title}: wall plates", job.creator, "Sheets for cutting and laying")
    (folder / PACK_FILE[0]).write_bytes(made)
    return [PACK_FILE]


def _page(results: Results, folder: Path, files: Files) -> Files:
    from platemodel.web import index_page

    _write(folder / PAGE, index_page(results.frame, results.report, results.pages, files))
    return [(PAGE, "open this first: plan, 3D view, pieces, laps, proof, sheets")]


def _write(path: Path, text: str) -> None:
    with open(path, "w", encoding="utf-8", newline="") as stream:
        stream.write(text)
