"""The cover: the job at a glance, what was proved, what is advised, and what can hurt."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from platemodel.export.buying import buying, sums
from platemodel.frame.values import Frame
from platemodel.sheets.cover_words import CAUTIONS, advice_words, lifting_words, proof_words
from platemodel.sheets.flow import BODY, SIDE, Columns, inner
from platemodel.sheets.form import LEFT, MARGIN, SIZES, Room, beside_block, part_name, scale_for, sheet
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import DOTTED, NARROW, WIDE, XY, Page
from platemodel.sheets.widths import size_words
from platemodel.site.rules import Verdict
from platemodel.solid.values import Proof

GAP = 6.0
PICTURE = {"A4": 74.0, "A3": 120.0}
"""Height of the picture of the frame on each size of sheet, mm."""
TITLE_LINES = 3
THINNEST = 0.6
"""A plate narrower on paper than this is one wide line (mm)."""

SIGNED = ("shell measured, plan agreed", "sheets checked before sawing", "laid dry: square, level, diagonals")


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
    return f"{name}, p. {first}" if first == last else f"{name}, p. {first} to {last}"


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
    state = "Not proved" if proof is None or not proof.passed else "Proved"
    flow.section(state, proof_words(frame, proof))
    flow.section("Lifting", lifting_words(frame))
    flow.beside()
    _advices(flow, verdicts)
    flow.section("Take care", CAUTIONS, "•")
    flow.section("Sheets", [" · ".join(contents)] if contents else ["none but this one"])
    _signatures(flow.pages[0])
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
    taken = Taken()
    labels: list[tuple[str, float, float, float]] = []
    unmarked = 0
    for piece in frame.laying:
        corners = frame.runs[piece.run].strip.corners(piece.low, piece.high)
        points: list[XY] = [
            (left + (east_ - frame.origin[0]) / scale, low - (north_ - frame.origin[1]) / scale)
            for east_, north_ in corners
        ]
        with page.about(piece.mark):
            if piece.laid.width / scale >= THINNEST:
                page.line(points, NARROW, closed=True)
            else:
                (ax, ay), (bx, by), (cx, cy), (dx, dy) = points
                page.line([((ax + dx) / 2, (ay + dy) / 2), ((bx + cx) / 2, (by + cy) / 2)], WIDE)
        cx, cy = (sum(point[axis] for point in points) / 4 for axis in (0, 1))
        half = width(piece.mark, BODY, bold=True) / 2 + 0.6
        # a mark stays in the column, and above the line that says what the picture is
        cx = min(max(cx, x + half), x + flow.width - half)
        cy = min(max(cy, y + BODY / 2 + 0.6), y + high - 6.0)
        if taken.claim(text_box(cx, cy, piece.mark, BODY, 0.0)):
            labels.append((piece.mark, cx, cy, half))
        else:
            unmarked += 1
    for mark, cx, cy, half in labels:
        with page.about(mark):
            box = [(cx - half, cy - 1.7), (cx + half, cy - 1.7), (cx + half, cy + 1.7), (cx - half, cy + 1.7)]
            page.area(box, (1.0, 1.0, 1.0))
            page.text(cx, cy + BODY / 2, mark, BODY, "middle", bold=True)
    words = f"The plates from above, north up, scale 1:{scale:g}; "
    words += f"marks without room here ({unmarked}): see the plan" if unmarked else "every piece by its mark"
    for line in wrapped(words, BODY, flow.width):
        page.text(x, y + high, line, BODY)
        high += 3.6
    flow.y += high + 0.5


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


def _signatures(page: Page) -> None:
    """Who checked what: lines to sign on, beside the title block."""
    room = beside_block(page.width, page.height)
    x, row = room.left + 2.5, room.height / len(SIGNED)
    begin = x + 7.0 + max(width(text, BODY) for text in SIGNED)
    for number, text in enumerate(SIGNED):
        y = room.top + number * row
        page.box(x, y + 1.6, 4.2, 4.2, NARROW)
        page.text(x + 5.6, y + 4.9, text, BODY)
        page.line([(begin, y + 4.9), (room.right - 2.0, y + 4.9)], DOTTED)
        page.text(begin, y + 7.3, "name and date", 1.8)
