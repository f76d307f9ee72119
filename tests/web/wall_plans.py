"""A house of our own invention with levels, straps and trusses, and the site part of its report."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from web_pages import page_of

from platemodel.export.report import report
from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan
from platemodel.site.bedding import bedding
from platemodel.site.bedding_values import bedding_values
from platemodel.site.landing import fixing_values, landings
from platemodel.site.strapping import strapping

HOUSE = """
[job]
title = "Made by a test"
[plate]
width = 100
depth = 50
[stock]
lengths = [3600, 4800, 6000]
[[shell]]
name = "house"
leaf = 100
corners = [[0, 0], [9000, 0], [9000, 6000], [0, 6000]]
walls = ["front", "right", "back", "left"]
[[opening]]
name = "window"
wall = "front"
from = 6500
to = 7700
stands_up = 4
dpc = true
[[bearing]]
name = "truss"
wall = "left"
every = 600
from = 600
to = 5400
width = 35
[[bearing]]
name = "girder"
wall = "front"
at = 7000
width = 70
[site.straps]
gables = ["front"]
[site.bed]
least = 10
most = 20
"""
TOPS = {
    "front": ((100.0, 1.408), (4000.0, 1.412), (8900.0, 1.410)),
    "right": ((3000.0, 1.415),),
    "back": ((100.0, 1.409), (8900.0, 1.406)),
    "left": ((3000.0, 1.411),),
}
"""Staff readings by wall: places, and metres."""
BOOK = '[[site.levels.book]]\nstation = "{}"\nintermediate = {}\nwall = "{}"\nat = {}\n'
DOWN = '[[site.levels.laser]]\nwall = "{}"\nat = {}\ndown = {}\n'


def staff_plan(tops: dict[str, tuple[tuple[float, float], ...]] = TOPS) -> str:
    """The house with a levelling book of one set-up."""
    rows = [(wall, at, read) for wall, found in tops.items() for at, read in found]
    book = "".join(BOOK.format(number, read, wall, at) for number, (wall, at, read) in enumerate(rows, start=1))
    begin = '[site.levels]\nstart = 100.0\n[[site.levels.book]]\nstation = "peg"\nbacksight = 1.5\n'
    return f'{HOUSE}{begin}{book}[[site.levels.book]]\nstation = "peg again"\nforesight = 1.5\n'


def laser_plan() -> str:
    """The house with a laser's line some 85 mm above its walls."""
    rows = [(wall, at, 85 + 1000 * (read - 1.409)) for wall, found in TOPS.items() for at, read in found]
    return HOUSE + "".join(DOWN.format(wall, at, round(down, 1)) for wall, at, down in rows)


def house(text: str) -> Frame:
    """The frame of a plan's text."""
    return decide(parse_plan(text))


def marks_of(frame: Frame) -> dict[str, Any]:
    """Setting-out figures as a report gives them, invented."""
    return {
        "placing": {"surveyed": True, "shift": [1.5, -2.0], "words": ["hold the back wall"]},
        "plates": [
            {
                "plate": letter,
                "walls": [run.walls[0]],
                "pieces": [piece.mark for piece in frame.pieces if frame.letters[piece.run] == letter],
                "starts": [{"wall": run.walls[0], "from": f"corner {letter}", "face": "outer face"}],
                "marks": [
                    {
                        "mark": number,
                        "wall": run.walls[0],
                        "along": at,
                        "taped": at + 12,
                        "setback": 2 - number,
                        "inner": 98 + number,
                        "what": [f"{at // 1000} m"],
                    }
                    for number, at in enumerate((0, 1000, 2000), start=1)
                ],
            }
            for letter, run in zip(frame.letters, frame.runs, strict=True)
        ],
        "triangles": [{"corner": "left/front", "angle_deg": 90.0, "legs": [3000, 4000], "closing": 5000}],
        "order": ["datum wall first", "then square", "then parallel"],
    }


SURVEY = {
    "s0": 1.2,
    "words": [
        "take again reading 2, the length from left/front to right/back: it is 20 mm more than the others make it"
    ],
    "readings": [
        {
            "kind": "distance",
            "points": ["left/front", "front/right"],
            "observed": 9001.0,
            "residual": -0.6,
            "mark": "",
            "left_out": False,
        },
        {
            "kind": "distance",
            "points": ["left/front", "right/back"],
            "observed": 10837.0,
            "residual": -20.4,
            "mark": "take again",
            "left_out": True,
        },
    ],
    "out_of_parallel": [{"walls": [0, 2], "by": 6.9, "over": 9000.0}],
}
"""What a survey may tell, invented."""


def site_of(frame: Frame) -> dict[str, Any]:
    """The site part of a frame's report, all of it."""
    bed, straps = bedding(frame), strapping(frame)
    assert bed is not None
    return {
        "survey": SURVEY,
        "setting_out": marks_of(frame),
        "bed": bedding_values(bed),
        "fixing": fixing_values(frame, straps, landings(frame, straps)),
    }


def write_wall_page(folder: Path, frame: Frame, site: object) -> Path:
    """The page of a frame with a report that has this site part."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "index.html"
    path.write_text(page_of(frame, report(frame, [], None) | {"passed": True, "site": site}), "utf-8")
    return path
