"""The plan sheet: the plates as they lie, their marks, the walls, and the dimensions to set them out by.

A frame that is too large for one sheet has a first sheet that shows where its parts are, and one a part.
"""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.tape import whole
from platemodel.frame.values import Frame
from platemodel.sheets.form import Room, sheet
from platemodel.sheets.labels import Box, Taken
from platemodel.sheets.lettering import fitted, wrapped
from platemodel.sheets.page import BLACK, CHAIN_THIN, NARROW, THIN, WIDE, Page
from platemodel.sheets.plan_dims import (
    block_overall,
    diagonal_lines,
    diagonals,
    dimension_pieces,
    draw_diagonals,
    figure_diagonals,
    overall,
    slanting,
)
from platemodel.sheets.plan_labels import boxed, label_pieces, name_walls
from platemodel.sheets.plan_view import (
    LAP,
    LEAST_SCALE,
    OPENING,
    ROLE_LETTER,
    SPLICE,
    PlanView,
    block_plates,
    draw_flags,
    draw_laps,
    draw_plates,
    draw_things,
    faces_shown,
    light,
    part_views,
    setback,
    whole_view,
)
from platemodel.site.setting_out_values import Check

AROUND = 22.0
"""Room below and left of the frame for wall names and dimensions, mm on paper."""
KEY = 60.0
"""Width of the key at the right, mm on paper."""
OFF_FRAME = 0.8
"""Room between the sheet's frame line and a text, mm on paper."""
BEYOND = 60.0
"""How far beyond the paper a text is kept off, mm."""

ROLE_WORDS = {
    "under": "under halves only",
    "over": "over halves only",
    "both": "under and over halves",
    "none": "no lap",
}


def plan_sheets(frame: Frame) -> list[Page]:
    """The plan of a frame, nearly always one page."""
    _, room = sheet(frame.plan.job, "", "", "", "")
    inner = Room(room.left + AROUND, room.top + 10.0, room.right - KEY - 12.0, room.bottom - AROUND)
    view = whole_view(frame, inner)
    if view.scale <= LEAST_SCALE:
        return [_sheet(frame, view, "plan")]
    parts = parts_of(frame, Room(room.left + 4.0, room.top + 4.0, room.right - KEY - 4.0, room.bottom - 4.0))
    return [
        _overview(frame, view, parts),
        *(_sheet(frame, part, f"part {number} of {len(parts)}") for number, part in enumerate(parts, start=1)),
    ]


def parts_of(frame: Frame, room: Room) -> list[PlanView]:
    """The parts in which a large frame is shown: at 1:100, or at 1:200 where that would be many."""
    parts = part_views(frame, room, 100.0)
    return parts if len(parts) <= 12 else part_views(frame, room, LEAST_SCALE)


def plan_figure(frame: Frame) -> Page:
    """The plan for a screen: no sheet about it, its lettering large beside it; each piece's marks are told."""
    east, north = frame.size
    long = 150.0
    wide, high = (long, long * north / east) if east >= north else (long * east / north, long)
    room = Room(12.0, 12.0, 12.0 + max(wide, 40.0), 12.0 + max(high, 40.0))
    page = Page(room.right + 12.0, room.bottom + 12.0, f"{frame.plan.job.title}: plan of the wall plates")
    view = whole_view(frame, room, max(east / room.width, north / room.height))
    taken = Taken()
    draw_plates(page, view)
    draw_laps(page, view)
    things = draw_things(page, view)
    _keep_off(taken, draw_flags(page, view, things))
    for one, other in things:
        taken.block_line(one, other)
    label_pieces(page, view, taken, lambda piece: piece.mark, (4.0, 3.0, 2.0, 1.4), (1.4,))
    block_plates(view, taken)
    name_walls(page, view, taken)
    return page


def _sheet(frame: Frame, view: PlanView, name: str) -> Page:
    words = "wall plates" if name == "plan" else f"wall plates, {name}"
    page, room = sheet(frame.plan.job, "plan", words, f"1:{view.scale:g}", "plan")
    found = [] if view.clipped else diagonals(frame)
    crossing = diagonal_lines(view, found)
    taken, texts, lines = Taken(), Taken(), Taken()
    _keep_off(taken, _round(page, room))
    draw_plates(page, view)
    draw_laps(page, view)
    things = draw_things(page, view)
    flags = draw_flags(page, view, things, crossing)
    draw_diagonals(page, view, found)
    _keep_off(taken, flags)
    if not view.clipped:
        block_overall(view, taken)
    left_out = label_pieces(page, view, taken, lambda piece: f"{piece.mark} {ROLE_LETTER[piece.role]}")
    # dimension lines may cross plates and each other, but no text
    texts.block_all(taken)
    block_plates(view, taken)
    for thing in things:
        taken.block_line(*thing)
    for line in crossing:
        lines.block_line(*line)
    short = dimension_pieces(page, view, taken, texts)
    name_walls(page, view, taken, lines)
    if not view.clipped:
        figure_diagonals(page, view, taken, found)
        overall(page, view)
    key = _Key(page, room)
    key.colours(frame)
    key.outer_faces(view)
    key.notes(frame)
    key.counts(frame)
    if left_out:
        key.words(f"no room here for {', '.join(left_out)}: see the laying list")
    if not view.clipped:
        key.diagonals(found, 14.0 if short else 0.0)
    key.clear(short)
    return page


def _overview(frame: Frame, view: PlanView, parts: list[PlanView]) -> Page:
    page, room = sheet(frame.plan.job, "plan", "wall plates, all", f"1:{view.scale:g}", "plan")
    draw_plates(page, view)
    draw_laps(page, view)
    for number, part in enumerate(parts, start=1):
        # the part's room, carried from its scale to this one
        factor = part.scale / view.scale
        left = view.left + (part.room.left - part.left) * factor
        top = view.bottom + (part.room.top - part.bottom) * factor
        wide, high = part.room.width * factor, part.room.height * factor
        page.box(left, top, wide, high, CHAIN_THIN)
        boxed(page, left + wide / 2, top + high / 2, str(number), 3.5, 0.0)
    overall(page, view)
    key = _Key(page, room)
    key.colours(frame)
    key.notes(frame)
    key.counts(frame)
    key.words(f"{len(parts)} parts follow, each on a sheet of its own, with marks and dimensions.")
    key.diagonals(diagonals(frame))
    return page


def _round(page: Page, room: Room) -> list[Box]:
    """What lies round the room of the drawing: the sheet's frame, its title block and the key."""
    left, top, right, bottom = room.left + OFF_FRAME, room.top + OFF_FRAME, room.right - KEY, room.bottom - OFF_FRAME
    # beyond the paper too, where a name is tried that the frame leaves no room for
    west, north, east, south = -BEYOND, -BEYOND, page.width + BEYOND, page.height + BEYOND
    return [
        (west, north, east, top),
        (west, bottom, east, south),
        (west, top, left, bottom),
        (right, top, east, bottom),
    ]


def _keep_off(taken: Taken, boxes: Sequence[Box]) -> None:
    for box in boxes:
        taken.block(box)


def setback_words(frame: Frame) -> str:
    """How far plates lie in from the outer faces of their shells' walls."""
    plan = frame.plan
    by_shell = {
        name: sorted({setback(wall) for wall in plan.walls if wall.shell == number})
        for number, name in enumerate(plan.shells)
    }
    if len({tuple(values) for values in by_shell.values()}) == 1:
        return _distances(next(iter(by_shell.values())))
    return ", ".join(f"{name} {_distances(values)}" for name, values in by_shell.items())


def _distances(values: Sequence[float]) -> str:
    return " and ".join(f"{value:.10g}" for value in values) + (" (flush)" if max(values) < 1e-9 else "")


class _Key:
    """What the colours and lines mean, the north point, counts and diagonals, one below the other."""

    def __init__(self, page: Page, room: Room) -> None:
        self.page, self.room = page, room
        self.x, self.y = room.right - KEY, room.top + 6.0
        page.line([(self.x, room.top), (self.x, room.bottom)], THIN)
        page.text(self.x + 3, self.y, "Key", 3.5, bold=True)
        self._north()
        self.y += 6.5

    def _entry(self, words: str) -> None:
        self.page.text(self.x + 16, self.y, words, 2.5)
        self.y += 5.6

    def colours(self, frame: Frame) -> None:
        """The colours of halves, the laps, the flag, and what else stands on the plan."""
        page, x = self.page, self.x
        for role, words in ROLE_WORDS.items():
            sample = next((piece for piece in frame.pieces if piece.role == role), None)
            if sample is not None:
                y = self.y
                box = [(x + 3, y - 2.8), (x + 12.5, y - 2.8), (x + 12.5, y + 0.8), (x + 3, y + 0.8)]
                page.area(box, light(sample))
                page.line(box, NARROW, closed=True)
                page.text(x + 7.75, y - 0.1, ROLE_LETTER[role], 1.8, "middle", bold=True)
                self._entry(words)
        kinds = {joint.lap.kind for joint in frame.joints}
        for colour, words, there in (
            (LAP, "corner, tee or cross lap", bool(kinds - {"splice"})),
            (SPLICE, "splice", "splice" in kinds),
        ):
            if there:
                y = self.y
                page.area([(x + 6, y - 2.6), (x + 9.2, y - 2.6), (x + 9.2, y + 0.6), (x + 6, y + 0.6)], colour)
                self._entry(words)
        y = self.y
        page.area([(x + 5.5, y - 2.2), (x + 8.1, y - 1.6), (x + 5.5, y - 1.0)], BLACK)
        self._entry("datum end of a piece")
        if frame.plan.openings:
            page.line([(x + 3, self.y - 1), (x + 12, self.y - 1)], OPENING)
            self._entry("opening below")
        if frame.plan.bearings:
            y = self.y - 1.8
            plate = [(x + 3, y - 0.9), (x + 12.5, y - 0.9), (x + 12.5, y + 0.9), (x + 3, y + 0.9)]
            page.line(plate, NARROW, closed=True)
            page.line([(x + 7.75, y - 0.9), (x + 7.75, y + 2.7)], NARROW)
            self._entry("bearing on the plate")
        y = self.y - 1.0
        page.line([(x + 3, y), (x + 12, y)], THIN)
        for end in (x + 3, x + 12):
            page.line([(end - 0.9, y + 0.9), (end + 0.9, y - 0.9)], NARROW)
        self._entry("from shoulder to shoulder")

    def outer_faces(self, view: PlanView) -> None:
        """The line of the walls' outer faces, where some are drawn."""
        if faces_shown(view):
            self.page.line([(self.x + 3, self.y - 1), (self.x + 12, self.y - 1)], NARROW)
            self._entry("outer face of the wall")

    def notes(self, frame: Frame) -> None:
        """Where the plates lie on their walls, and what figures are of."""
        self.words(f"Outer face of wall to plate: {setback_words(frame)}")
        self.words("Lengths beside wall names: outer face of the wall")
        if slanting(frame):
            self.words("Shoulder to shoulder: at the edge of the plate beside the line")
        self.words("Shoulder figures are differences of tape figures: may differ by 1")

    def _north(self) -> None:
        """The north point, at the right of the heading."""
        page, x, y = self.page, self.x + KEY - 5.0, self.room.top + 4.5
        page.line([(x, y + 8), (x, y)], WIDE)
        page.area([(x, y - 2.5), (x + 1.4, y + 2.0), (x - 1.4, y + 2.0)], BLACK)
        page.text(x - 2.5, self.y, "N", 3.5, "end", bold=True)
        page.text(x - 7.5, self.y, "plan, not compass", 2.5, "end")

    def counts(self, frame: Frame) -> None:
        """Pieces, laps, boards, section and mass."""
        plate = frame.plan.plate
        mass = sum(piece.mass for piece in frame.pieces)
        widths = sorted({piece.laid.width for piece in frame.pieces})
        section = ", ".join(f"{value:g} × {plate.depth:g}" for value in widths)
        self.words(f"{len(frame.pieces)} pieces of {len(frame.types)} types, {len(frame.joints)} laps")
        self.words(f"{len(frame.boards)} boards, {section} {plate.grade}, {mass:.0f} kg in all")

    def diagonals(self, found: list[Check], keep: float = 0.0) -> None:
        """The diagonals, with the marks that meet at their ends; ``keep`` mm below them stay free."""
        rows = [(f"{item.one.name} to {item.other.name}", whole(item.figure)) for item in found]
        self._figures("Diagonals, outer faces of plates", rows, keep)

    def clear(self, found: list[tuple[str, int]]) -> None:
        """The lengths of stretches that found no room on the plan, by mark."""
        self._figures("Shoulder to shoulder, others", found)

    def _figures(self, heading: str, rows: Sequence[tuple[str, int]], keep: float = 0.0) -> None:
        """Figures under a heading, as far as there is room."""
        bottom = self.room.bottom - keep
        if not rows or self.y + 10.0 > bottom:
            return
        self.y += 2.0
        self.page.text(self.x + 3, self.y, heading, 2.5, bold=True)
        self.y += 4.8
        for number, (name, figure) in enumerate(rows):
            if self.y + 4.2 > bottom - 2.0 and number < len(rows) - 1:
                self.page.text(self.x + 3, self.y, f"and {len(rows) - number} more", 2.5)
                break
            self.page.text(self.x + 3, self.y, fitted(name, 2.5, KEY - 18.0), 2.5)
            self.page.text(self.x + KEY - 3, self.y, str(figure), 2.5, "end", bold=True)
            self.y += 4.2

    def words(self, text: str) -> None:
        """A sentence, broken into lines."""
        for line in wrapped(text, 2.5, KEY - 6.0):
            if self.y > self.room.bottom - 2.0:
                return
            self.page.text(self.x + 3, self.y, line, 2.5)
            self.y += 3.9
        self.y += 1.2
