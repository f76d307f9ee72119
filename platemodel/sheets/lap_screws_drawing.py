"""Screws in laps: a lap of each kind from above, and cut through a screw, with its figures."""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.values import Frame, Joint
from platemodel.sheets.fixing_page import TIMBER, draw_ring
from platemodel.sheets.flow import BODY, BODY_LINE, BULLET, Columns
from platemodel.sheets.form import scale_for
from platemodel.sheets.lettering import fitted, wrapped
from platemodel.sheets.page import NARROW, THIN, WIDE, XY, Page
from platemodel.site.screws import LapScrews
from platemodel.site.strapping import Strapping

BEYOND = 0.22
"""How much of the plates is drawn beyond a lap, as a part of its greater side."""


def draw_lap_screws(flow: Columns, frame: Frame, straps: Strapping) -> None:
    """The first lap of each kind, and what is to be said of the screws."""
    shown: dict[str, tuple[Joint, LapScrews]] = {}
    for joint, lap in zip(frame.joints, straps.screws, strict=True):
        shown.setdefault(joint.lap.kind, (joint, lap))
    depth = frame.plan.plate.depth
    reach = max(max(_extent(frame, joint)) for joint, _ in shown.values())
    scale = scale_for(max(reach * 1.6, depth * 2.0), flow.width * 0.5, 2.0)
    for number, (joint, lap) in enumerate(shown.values()):
        across = _extent(frame, joint)
        high = max((across[1] + 2 * BEYOND * max(across)) / scale, depth / scale + 22.0) + 5.0
        if number:
            flow.need(high)
        else:
            flow.heading(f"Screws in laps, 1:{scale:g}", high)
        _from_above(flow.page, (flow.x + flow.width * 0.27, flow.y + high / 2 + 1.0), frame, joint, lap, scale)
        _beside(flow, frame, straps, joint, lap, scale)
        flow.y += high
    flow.notes(_words(frame, straps), BULLET)


def _words(frame: Frame, straps: Strapping) -> list[str]:
    value = straps.rules.value
    if straps.screw_length is None:
        return [f"No screw as sold suits plates {frame.plan.plate.depth:g} deep: ask the engineer."]
    return [
        f"Screws {value('screw_diameter'):g} × {straps.screw_length}, {frame.plan.lap.screws} a lap, "
        f"from above, so that they stop {value('screw_short'):g} or more short of the underside "
        f"({straps.rules['screw_short'].source}).",
        "Drill first near an end; heads flush, never proud under a truss.",
    ]


def _extent(frame: Frame, joint: Joint) -> tuple[float, float]:
    """How large a lap is along the piece that lies over, and across it, mm."""
    xs, ys = zip(*_turned(frame, joint, joint.lap.outline), strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _turned(frame: Frame, joint: Joint, points: Sequence[XY]) -> list[XY]:
    """Points about a lap's middle, turned so that the piece that lies over runs level."""
    ux, uy = frame.runs[frame.pieces[joint.over].run].strip.direction
    cx, cy = joint.lap.middle
    return [((x - cx) * ux + (y - cy) * uy, (y - cy) * ux - (x - cx) * uy) for x, y in points]


def _from_above(page: Page, middle: XY, frame: Frame, joint: Joint, lap: LapScrews, scale: float) -> None:
    """A lap with its plates, and crosses where screws go in."""
    cx, cy = middle

    def put(points: Sequence[XY]) -> list[XY]:
        return [(cx + x / scale, cy - y / scale) for x, y in _turned(frame, joint, points)]

    beyond = BEYOND * max(_extent(frame, joint))
    for side in joint.lap.sides:
        low = side.low if side.ends_low else (side.low[0] - beyond, side.low[1] - beyond)
        top = side.high if side.ends_high else (side.high[0] + beyond, side.high[1] + beyond)
        page.line(put(frame.runs[side.run].strip.corners(low, top)), NARROW, closed=True)
    outline = put(joint.lap.outline)
    page.area(outline, TIMBER)
    page.line(outline, WIDE, closed=True)
    for x, y in put(lap.places):
        draw_ring(page, (x, y), 1.3)
        page.lines([[(x - 2.2, y), (x + 2.2, y)], [(x, y - 2.2), (x, y + 2.2)]], THIN)


def _beside(flow: Columns, frame: Frame, straps: Strapping, joint: Joint, lap: LapScrews, scale: float) -> None:
    """Beside a lap from above its kind, how far in its screws are, and the lap cut through one."""
    x, y, room = flow.x + flow.width * 0.56, flow.y + 4.5, flow.width * 0.44
    flow.page.text(x, y, f"{joint.lap.kind} lap", BODY, bold=True)
    y += BODY_LINE
    for line in wrapped(f"screws {lap.edge:.0f} in from its edges", BODY, room):
        flow.page.text(x, y, line, BODY)
        y += BODY_LINE
    _section(flow.page, frame, straps, x, y + 3.0, scale, room)


def _section(page: Page, frame: Frame, straps: Strapping, x: float, y: float, scale: float, room: float) -> None:
    """A lap cut through a screw: both halves, and how far the screw stops short."""
    depth = frame.plan.plate.depth / scale
    wide = min(room * 0.42, max(depth * 1.2, 14.0))
    for top in (y, y + depth / 2):
        box = [(x, top), (x + wide, top), (x + wide, top + depth / 2), (x, top + depth / 2)]
        page.area(box, TIMBER)
        page.line(box, NARROW, closed=True)
    # of a shallow plate the words stand further apart than the halves
    aside = max(depth / 4, 2.0)
    page.text(x + wide + 2.0, y + depth / 2 - aside + 1.2, "over", BODY)
    page.text(x + wide + 2.0, y + depth / 2 + aside + 1.2, "under", BODY)
    if straps.screw_length is None:
        return
    length = straps.screw_length / scale
    centre = x + wide / 2
    page.line([(centre, y), (centre, y + length)], WIDE)
    page.line([(centre - 1.6, y), (centre + 1.6, y)], WIDE)
    left = frame.plan.plate.depth - straps.screw_length
    page.text(x, y + depth + 4.2, fitted(f"{straps.screw_length} long, {left:g} short", BODY, room), BODY)
