"""The cover: the job at a glance, what was proved, what is advised, and what can hurt."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Sequence

from platemodel.export.buying import buying, sums
from platemodel.frame.values import Frame
from platemodel.sheets.cover_words import CAUTIONS, advice_words, lifting_words, proof_words
from platemodel.sheets.flow import BODY, SIDE, Columns, inner
from platemodel.sheets.form import LEFT, MARGIN, SIZES, Room, beside_block, part_name, scale_for, sheet
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import DOTTED, NARROW, THIN, WHITE, WIDE, XY, Page
from platemodel.sheets.plan_labels import centred
from platemodel.sheets.widths import size_words
from platemodel.site.rules import Verdict
from platemodel.solid.values import Proof

GAP = 6.0
PICTURE = {"A4": 74.0, "A3": 120.0}
"""Height of the picture of the frame on each size of sheet, mm."""
TITLE_LINES = 3
THINNEST = 0.6
"""A plate narrower on paper than this is one wide line (mm)."""

LEADERS = (5.0, 7.0, 9.0, 12.0)
"""How far from its plate a mark is tried that finds no room on it, mm on paper."""
MOST_UNMARKED = 12
"""How many marks without room are named."""

SIGNED = ("sheets checked before sawing", "laid dry: level, diagonals")
"""What is signed for, after the plan."""
ABOVE = 3.4
"""Height of the heading over the lines to sign on (mm)."""


def cover_sheet(
    frame: Frame, proof: Proof | None, verdicts: Sequence[Verdict], contents: Sequence[tuple[str, int, int]]
) -> list[Page]:
    """The cover, on further pages where one does not hold it.

    ``contents`` are the names of the other sheets, each with its first and last page, counted after the cover.
    """
    pages: list[Page] = []
    before = 1
    # how many pages the cover takes depends on the page numbers it gives, by a digit at most
    for _ in range(3):
        listed = [_sheets(name, first + before, last + before) for name, first, last in contents]
        pages = _cover(frame, proof, verdicts, listed)
        if len(pages) == before:
            break
        before = len(pages)
    return pages


def _sheets(name: str, first: int, last: int) -> str:
    return f"{name} {first}" if first == last else f"{name} {first}–{last}"


def _cover(frame: Frame, proof: Proof | None, verdicts: Sequence[Verdict], contents: Sequence[str]) -> list[Page]:
    job = frame.plan.job
    scale = _scale(frame, job.sheet)

    def begin(number: int) -> tuple[Page, Room]:
        part = part_name("cover", number)
        page, room = sheet(job, "cover", "the job at a glance", f"1:{scale:g}" if number == 1 else "–", part)
        return page, inner(room, _title(page, room, job.title, first=number == 1))

    flow = Columns(begin, 2, GAP)
    _picture(flow, frame, scale)
    flow.section("What there is", _counts(frame))
    flow.section("Lifting", lifting_words(frame))
    flow.section("Sheets, with their pages", [" · ".join(contents)] if contents else ["none but this one"])
    flow.beside()
    state = "Not proved" if proof is None or not proof.passed else "Proved"
    flow.section(state, proof_words(frame, proof))
    _advices(flow, verdicts)
    flow.section("Take care", CAUTIONS, "•")
    held = all(verdict.passed for verdict in verdicts)
    agreed = "plan agreed" if held else "plan and rules agreed"
    _signatures(flow.pages[0], (f"measured; {agreed}", *SIGNED))
    return flow.pages


def _title(page: Page, room: Room, title: str, first: bool) -> float:
    """The job's title, smaller where it is long; gives how far it reaches below the frame line, mm."""
    left, wide = room.left + 3.0, room.width - 6.0
    if not first:
        page.text(left, room.top + 7.0, fitted(title, 3.5, wide, bold=True), 3.5, bold=True)
        low = room.top + 9.5
    else:
        height = next((h for h in (7.0, 5.0) if len(wrapped(title, h, wide, bold=True)) <= 2), 3.5)
        low = room.top + 3.0
        for line in wrapped(title, height, wide, bold=True)[:TITLE_LINES]:
            low += height
            page.text(left, low, fitted(line, height, wide, bold=True), height, bold=True)
            low += height * 0.45
        page.text(left, low + 3.0, "Timber wall plates with half-lap joints", 2.5)
        low += 5.0
    page.line([(room.left, low), (room.right, low)], NARROW)
    return low + 2.0 - room.top


def _scale(frame: Frame, size: str) -> float:
    """The standard scale at which the picture fits a column of the sheet."""
    column = (SIZES[size][0] - LEFT - MARGIN - 2 * SIDE - GAP) / 2
    east, north = frame.size
    return max(scale_for(east, column - 2.0), scale_for(north, PICTURE[size] - 6.0))


def _picture(flow: Columns, frame: Frame, scale: float) -> None:
    """The plates from above, with the marks that find room."""
    east, north = frame.size
    if max(east / (flow.width - 2.0), north / (PICTURE[frame.plan.job.sheet] - 6.0)) > scale:
        flow.section("The frame", ["too large for a picture: see the plan"])
        return
    high = north / scale + 6.0
    page, x, y = flow.page, flow.x, flow.y
    left, low = x + (flow.width - east / scale) / 2, y + north / scale + 1.0
    room = Room(x, y, x + flow.width, y + high - 5.0)
    marks = _Marks(page, room)
    for piece in frame.laying:
        corners = frame.runs[piece.run].strip.corners(piece.low, piece.high)
        points: list[XY] = [
            (left + (east_ - frame.origin[0]) / scale, low - (north_ - frame.origin[1]) / scale)
            for east_, north_ in corners
        ]
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = points
        line = ((ax + dx) / 2, (ay + dy) / 2), ((bx + cx) / 2, (by + cy) / 2)
        with page.about(piece.mark):
            if piece.laid.width / scale >= THINNEST:
                page.line(points, NARROW, closed=True)
            else:
                page.line(line, WIDE)
        marks.add(piece.mark, line)
    unmarked = marks.draw()
    words = f"The plates from above, north up, scale 1:{scale:g}; "
    named = ", ".join(unmarked[:MOST_UNMARKED])
    more = len(unmarked) - MOST_UNMARKED
    left_out = f"no room here for {named}{f' and {more} more' if more > 0 else ''}: see the plan"
    words += left_out if unmarked else "every piece by its mark"
    for text in wrapped(words, BODY, flow.width):
        page.text(x, y + high, text, BODY)
        high += 3.6
    flow.y += high + 0.5


class _Marks:
    """The marks on the picture: each on its plate, or beside it with a leader where there is no room on it."""

    def __init__(self, page: Page, room: Room) -> None:
        self.page, self.room = page, room
        self.plates, self.taken = Taken(), Taken()
        self.lines: dict[str, tuple[XY, XY]] = {}

    def add(self, mark: str, line: tuple[XY, XY]) -> None:
        """A piece's mark, and the middle line of its plate on paper."""
        self.lines[mark] = line
        self.plates.block_line(*line)

    def draw(self) -> list[str]:
        """Draw all marks; gives those that found no room."""
        on = {mark: at for mark, line in self.lines.items() if (at := self._on_plate(mark, line)) is not None}
        beside = {
            mark: at
            for mark, line in self.lines.items()
            if mark not in on and (at := self._beside(mark, line)) is not None
        }
        for mark, at in beside.items():
            with self.page.about(mark):
                self.page.line([_part(self.lines[mark], 0.5), at], THIN)
        for mark, at in (on | beside).items():
            with self.page.about(mark):
                left, top, right, bottom = text_box(*at, mark, BODY, 0.0, pad=0.45)
                self.page.area([(left, top), (right, top), (right, bottom), (left, bottom)], WHITE)
                centred(self.page, *at, mark, BODY, 0.0, bold=True)
        return [mark for mark in self.lines if mark not in on and mark not in beside]

    def _on_plate(self, mark: str, line: tuple[XY, XY]) -> XY | None:
        half = width(mark, BODY, bold=True) / 2 + 0.6
        for part in (0.5, 0.35, 0.65):
            x, y = _part(line, part)
            # a mark stays in the column, and above the line that says what the picture is
            x = min(max(x, self.room.left + half), self.room.right - half)
            y = min(max(y, self.room.top + BODY / 2 + 0.6), self.room.bottom - BODY / 2 - 0.6)
            if self.taken.claim(text_box(x, y, mark, BODY, 0.0)):
                return x, y
        return None

    def _beside(self, mark: str, line: tuple[XY, XY]) -> XY | None:
        x, y = _part(line, 0.5)
        for away, turn in itertools.product(LEADERS, range(0, 360, 30)):
            at = x + away * math.cos(math.radians(turn)), y + away * math.sin(math.radians(turn))
            box = text_box(*at, mark, BODY, 0.0)
            left, top, right, bottom = box
            inside = self.room.left <= left and right <= self.room.right
            inside = inside and self.room.top <= top and bottom <= self.room.bottom
            if inside and self.plates.free(box) and self.taken.free_line((x, y), at) and self.taken.claim(box):
                self.taken.block_line((x, y), at)
                return at
        return None


def _part(line: tuple[XY, XY], part: float) -> XY:
    """The place at a part of a line."""
    (ax, ay), (bx, by) = line
    return ax + part * (bx - ax), ay + part * (by - ay)


def _counts(frame: Frame) -> list[str]:
    """Pieces, laps and boards in figures."""
    plate = frame.plan.plate
    widths = sorted({piece.laid.width for piece in frame.pieces})
    section = " and ".join(f"{across:g} × {plate.depth:g}" for across in widths)
    total = sum(piece.mass for piece in frame.pieces)
    kinds = Counter(joint.lap.kind for joint in frame.joints)
    laps = ", ".join(f"{kinds[kind]} {kind}" for kind in ("corner", "tee", "cross", "splice") if kinds[kind])
    bought = buying(frame)
    many = len(widths) > 1
    boards = ", ".join(
        f"{line.count} of {line.length / 1000:g} m"
        + (f" × {line.width:g}" if many else "")
        + (", from the yard" if line in bought.yard else "")
        for line in (*bought.lines[::-1], *bought.yard[::-1])
    )
    ordered, there = sums(bought.lines), sums(bought.yard)
    spare = f", {ordered.spare} spare with them" if ordered.spare else ""
    return [
        f"Plates: {section}, {plate.grade}",
        *size_words(frame),
        f"Pieces: {_of(len(frame.pieces), 'piece')} of {_of(len(frame.types), 'type')}, {total:.0f} kg in all",
        f"Laps: {len(frame.joints)}" + (f" ({laps})" if laps else ""),
        f"Boards: {len(frame.boards)} ({boards})",
        f"To buy and carry in: {ordered.metres:.1f} m, {ordered.mass:.0f} kg{spare}",
        *([f"From the yard: {there.metres:.1f} m, {there.mass:.0f} kg"] if bought.yard else []),
        f"Masses at the mean density of {plate.grade}; wet or newly treated timber is heavier.",
    ]


def _of(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _advices(flow: Columns, verdicts: Sequence[Verdict]) -> None:
    failed = [verdict for verdict in verdicts if not verdict.passed]
    if not verdicts:
        flow.section("Rules", ["No rule was judged."])
    elif not failed:
        flow.section("Rules", ["All rules that were judged hold."])
    else:
        words = [*advice_words(failed), "Agree each with the designer or the engineer before sawing."]
        rules = len({verdict.rule for verdict in failed})
        places = f", in {len(failed)} places" if len(failed) > rules else ""
        flow.section(f"Rules that do not hold: {rules}{places}", words, "•")


def _signatures(page: Page, signed: Sequence[str]) -> None:
    """Who checked what: lines to sign on, beside the title block."""
    room = beside_block(page.width, page.height)
    x, row = room.left + 2.5, (room.height - ABOVE - 0.8) / len(signed)
    begin = x + 9.0 + max(width(text, BODY) for text in signed)
    page.text(begin, room.top + 3.2, "name and date", 1.8)
    for number, text in enumerate(signed):
        y = room.top + ABOVE + number * row
        page.box(x, y + 1.4, 4.0, 4.0, NARROW)
        page.text(x + 5.6, y + 4.7, text, BODY)
        page.line([(begin, y + 5.2), (room.right - 2.0, y + 5.2)], DOTTED)
