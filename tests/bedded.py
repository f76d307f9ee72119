"""Plans with levels, for the tests of the bed."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import tomli_w
from hypothesis import strategies as st
from plans import Spec, specs

from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan
from platemodel.plan.values import Opening
from platemodel.site.bedding import Bedding, bedding

HOUSE = Spec(
    corners=((0, 0), (9000, 0), (9000, 6000), (0, 6000)),
    names=("front", "right", "back", "left"),
    leaf=100.0,
)
TOPS = {
    "front": ((0.0, 30.0), (4000.0, 36.0), (9000.0, 34.0)),
    "right": ((3000.0, 35.0),),
    "back": ((0.0, 33.0), (9000.0, 31.0)),
    "left": ((3000.0, 32.0),),
}
"""Laser readings: by wall, places and how far down the wall's top is, mm."""


def frame_of(
    spec: Spec,
    down: Mapping[str, Sequence[tuple[float, float]]] = TOPS,
    bed: Mapping[str, Any] | None = None,
    book: Sequence[Mapping[str, Any]] = (),
    openings: Sequence[Mapping[str, Any]] = (),
    **levels: Any,
) -> Frame:
    """The frame of a plan with laser readings, or a book."""
    laser = [{"wall": wall, "at": at, "down": mm} for wall, found in down.items() for at, mm in found]
    site: dict[str, Any] = {"levels": {**levels, **({"book": list(book)} if book else {"laser": laser})}}
    if bed:
        site["bed"] = dict(bed)
    text = spec.text()
    if openings:
        # before the first table, so that it is no key of the last one
        text = tomli_w.dumps({"opening": list(openings)}) + text.replace("opening = []\n", "")
    return decide(parse_plan(text + tomli_w.dumps({"site": site})))


def made(*arguments: Any, **more: Any) -> Bedding:
    """The bed of such a plan."""
    found = bedding(frame_of(*arguments, **more))
    assert found is not None
    return found


@dataclass(frozen=True)
class Case:
    """A frame, shown by what it was made of."""

    frame: Frame
    words: str

    def __repr__(self) -> str:
        return self.words


@st.composite
def bedded(draw: st.DrawFn) -> Case:
    """A random plan, one to four readings on each of its walls within 40 mm of one another, lintels that stand up."""
    spec = dataclasses.replace(draw(specs()), openings=())
    level = st.floats(980, 1020).map(lambda mm: round(mm, 1))
    lengths = {name: spec.wall_length(name) for name in spec.names}
    lengths |= {name: ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5 for name, a, b in spec.crosses}
    down = {}
    for name, length in lengths.items():
        parts = draw(st.lists(st.integers(0, 50), min_size=1, max_size=4, unique=True))
        # far enough apart that none counts as read twice
        down[name] = tuple((round(part / 50 * (length - 1.0), 3), draw(level)) for part in sorted(parts))
    frame = frame_of(spec, down, draw(st.sampled_from([{}, {"least": 5.0, "most": 30.0, "batch": 40.0}])))
    openings = []
    for number, name in enumerate(draw(st.lists(st.sampled_from(spec.names), max_size=2, unique=True))):
        begin = draw(st.floats(0, lengths[name] - 400))
        here = {"name": f"o{number}", "wall": name, "from": begin, "to": begin + 300.0}
        openings.append(here | {"stands_up": draw(st.floats(-5, 12)), "dpc": draw(st.booleans())})
    plan = frame.plan
    walls = {wall.name: number for number, wall in enumerate(plan.walls)}
    made = tuple(
        Opening(it["name"], walls[it["wall"]], it["from"], it["to"], ("opening", n), it["stands_up"], it["dpc"])
        for n, it in enumerate(openings)
    )
    return Case(dataclasses.replace(frame, plan=dataclasses.replace(plan, openings=made)), f"{spec} {down} {openings}")
