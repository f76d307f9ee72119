"""Dimensions on a plan: overall, from shoulder to shoulder along every plate, and diagonals."""

from __future__ import annotations

import math
from dataclasses import dataclass

from platemodel.frame.tape import taped, whole
from platemodel.frame.values import Frame, Piece
from platemodel.sheets.labels import Taken, boxes_along
from platemodel.sheets.lettering import width
from platemodel.sheets.page import CHAIN_THIN, NARROW, THIN, WIDE, XY, Page
from platemodel.sheets.plan_labels import centred, knock_out, reading
from platemodel.sheets.plan_view import PlanView, block_plates, inner_edge
from platemodel.site.setting_loops import Loops
from platemodel.site.setting_out_values import Check

STROKE = 0.9
"""Half an oblique stroke at the end of a dimension line, across and up, mm on paper."""
_NEAR = (3.2, 6.4)
_FAR = 10.0
"""Distances of a figure's line from the plate that are tried, mm on paper."""
ENDS = 1.5
"""Ends of a dimension line may come so near to a plate, mm on paper."""
OVERALL = 16.5
"""Distance of the overall dimensions from the frame, mm on paper."""
ONE_LENGTH = 1
"""Lengths of one stretch along a piece's two edges that differ by no more are only roundings (mm)."""


@dataclass(frozen=True)
class Clear:
    """Whole timber between two shoulders of a piece: where along its run (mm), and the taped length.

    ``cuts`` are the indices of the cuts before and after it, None at an end of the piece.
    """

    low: float
    high: float
    length: int
    cuts: tuple[int | None, int | None]


def clear_lengths(frame: Frame, piece: Piece, edge: int) -> list[Clear]:
    """From shoulder to shoulder along an edge of a piece, 0 the right one of its run and 1 the left one.

    Lengths are differences of the figures that are taped on the cut sheet.
    """
    turn, shape = piece.turn, piece.shape
    side = edge ^ turn.round ^ turn.over
    edges: list[tuple[float, int]] = [(shape.low[side], whole(shape.low[side]))]
    for cut in shape.cuts:
        begin, end = taped(shape, cut, side)
        edges += [(cut.low[side], begin), (cut.high[side], end)]
    edges.append((shape.high[side], whole(shape.high[side])))
    base = min(piece.low)
    found = []
    count = len(shape.cuts)
    for number, ((one, first), (other, last)) in enumerate(zip(edges[::2], edges[1::2], strict=True)):
        if last - first < 1 or other - one < 1e-6:
            continue
        ends = (shape.length - other, shape.length - one) if turn.round else (one, other)
        cuts = (number - 1 if number else None, number if number < count else None)
        found.append(Clear(base + ends[0], base + ends[1], last - first, cuts))
    return found


def dimension_pieces(page: Page, view: PlanView, taken: Taken, texts: Taken) -> list[tuple[str, int]]:
    """The clear lengths of every piece along its inner edge, or its outer one where only there is room.

    Lines keep off ``texts`` and plates; figures off all that is ``taken``. Gives those that found no room, in words.
    """
    left_out: list[tuple[str, int]] = []
    plates = Taken()
    block_plates(view, plates)
    spots = _Spots(page, view, taken, texts, plates)
    for piece in view.pieces:
        inner = inner_edge(view.frame, piece)
        found = {edge: clear_lengths(view.frame, piece, edge) for edge in (inner, 1 - inner)}
        # both edges have the same stretches, but at a slant one may be gone on one of them
        alike = len(found[inner]) == len(found[1 - inner])
        for number, clear in enumerate(found[inner]):
            mate = found[1 - inner][number] if alike else None
            sides = [(inner, clear), *([(1 - inner, mate)] if mate else [])]
            # no farther than at the plate on its outer side: beyond it would seem to be another plate's
            tries = [
                (height, off, edge, along)
                for height in (2.5, 1.8)
                for edge, along, offs in (*((*side, _NEAR) for side in sides), (*sides[0], (_FAR,)))
                for off in offs
            ]
            drawn = any(spots.clear_beside(piece, *item) for item in tries)
            if not drawn and any(view.shows([view.on_piece(piece, s)]) for s in (clear.low, clear.high)):
                words = _stretch_words(view.frame, piece, clear)
                if mate is None or abs(mate.length - clear.length) > ONE_LENGTH:
                    words += f", {edge_words(view.frame, piece, inner)} edge"
                left_out.append((words, clear.length))
    return left_out


def slanting(frame: Frame) -> bool:
    """Whether some stretch between shoulders is longer along one edge of its piece than along the other."""
    for piece in frame.pieces:
        one, other = (clear_lengths(frame, piece, edge) for edge in (0, 1))
        if len(one) != len(other) or any(
            abs(a.length - b.length) > ONE_LENGTH for a, b in zip(one, other, strict=True)
        ):
            return True
    return False


def edge_words(frame: Frame, piece: Piece, edge: int) -> str:
    """The side of the plan on which an edge of a piece lies."""
    ux, uy = frame.runs[piece.run].strip.direction
    way = 1.0 if edge else -1.0
    turn = math.degrees(math.atan2(way * ux, -way * uy))
    return ("E", "NE", "N", "NW", "W", "SW", "S", "SE")[round(turn / 45.0) % 8]


def _stretch_words(frame: Frame, piece: Piece, clear: Clear) -> str:
    """A stretch by its piece's mark and the mates at its two ends."""
    names = ["end" if cut is None else frame.pieces[piece.halves[cut].mate].mark for cut in clear.cuts]
    return f"{piece.mark}, {names[0]} to {names[1]}"


@dataclass(frozen=True)
class _Spots:
    """Where clear lengths are drawn, and what is taken there already."""

    page: Page
    view: PlanView
    taken: Taken
    texts: Taken
    plates: Taken

    def clear_beside(self, piece: Piece, height: float, off: float, edge: int, clear: Clear) -> bool:
        """Draw one clear length on a side of a piece, so far (mm on paper) from it, if it finds room there."""
        view, text = self.view, str(clear.length)
        if (clear.high - clear.low) / view.scale < width(text, height, bold=True) + 1.0:
            return False
        strip = view.frame.runs[piece.run].strip
        aside = (1.0 if edge else -1.0) * (strip.width / view.scale / 2 + off)
        turn = reading(strip.direction)
        one, other = (view.on_piece(piece, s, aside) for s in (clear.low, clear.high))
        middle = view.on_piece(piece, (clear.low + clear.high) / 2, aside)
        # the figure stands above its line, seen as it is read
        radians = math.radians(turn)
        up = height / 2 + 0.8
        x, y = middle[0] - math.sin(radians) * up, middle[1] - math.cos(radians) * up
        boxes = boxes_along(x, y, text, height, turn)
        corners = [corner for box in boxes for corner in (box[:2], box[2:])]
        if not view.shows([one, other, *corners]) or not self.texts.free_line(one, other):
            return False
        # its ends lie at the edges of the mates
        inset = ENDS * view.scale
        if not self.plates.free_line(
            *(view.on_piece(piece, s, aside) for s in (clear.low + inset, clear.high - inset))
        ):
            return False
        if not self.taken.claim_all(boxes):
            return False
        self.page.line([one, other], THIN)
        for end in (one, other):
            _stroke(self.page, end, turn)
        knock_out(self.page, x, y, text, height, turn)
        centred(self.page, x, y, text, height, turn, bold=True)
        self.taken.block_line(one, other)
        for box in boxes:
            self.texts.block(box)
        return True


def _stroke(page: Page, at: XY, turn: float) -> None:
    """An oblique stroke at 45 degrees to a dimension line that is turned as its figure (ISO 129-1)."""
    x, y = at
    # of the two that there are, the one that rises to the right on level and upright lines
    radians = math.radians(turn + (45.0 if turn <= 45.0 else -45.0))
    along, up = STROKE * math.sqrt(2) * math.cos(radians), STROKE * math.sqrt(2) * math.sin(radians)
    page.line([(x - along, y + up), (x + along, y - up)], NARROW)


def overall(page: Page, view: PlanView) -> None:
    """Overall dimensions of the frame, below and at the left."""
    east, north = view.frame.size
    left, bottom = view((0.0, 0.0))
    right, top = view((east, north))
    y = bottom + OVERALL
    _dimension(page, (left, y), (right, y), (0.0, -1.0), OVERALL - 3.5, str(whole(east)))
    x = left - OVERALL
    _dimension(page, (x, bottom), (x, top), (1.0, 0.0), OVERALL - 3.5, str(whole(north)))


def block_overall(view: PlanView, taken: Taken) -> None:
    """Keep all else off the overall dimensions, their figures included."""
    left, bottom = view((0.0, 0.0))
    right, top = view(view.frame.size)
    taken.block((left, bottom + OVERALL - 5.2, right, bottom + OVERALL + 1.0))
    taken.block((left - OVERALL - 5.2, top, left - OVERALL + 1.0, bottom))
    for x in (left, right):
        taken.block((x - 0.4, bottom + 3.0, x + 0.4, bottom + OVERALL))
    for y in (bottom, top):
        taken.block((left - OVERALL, y - 0.4, left - 3.0, y + 0.4))


def _dimension(page: Page, one: XY, other: XY, back: XY, reach: float, text: str) -> None:
    """A dimension line with oblique strokes, and extension lines that reach back to the feature."""
    page.line([one, other], NARROW)
    for x, y in (one, other):
        page.line([(x - back[0] * 2, y - back[1] * 2), (x + back[0] * reach, y + back[1] * reach)], THIN)
        page.line([(x - 1.2, y + 1.2), (x + 1.2, y - 1.2)], WIDE)
    x, y = (one[0] + other[0]) / 2, (one[1] + other[1]) / 2
    turn = 90.0 if back[0] else 0.0
    if math.dist(one, other) < width(text, 3.5, bold=True) + 4.0:
        # no room between the strokes: beyond the line's end
        far = (x, min(one[1], other[1]) - 3.0) if turn else (max(one[0], other[0]) + 3.0, y)
        page.text(far[0] + 1.75 * (turn > 0), far[1] + 1.75 * (turn == 0), text, 3.5, "start", bold=True, turn=turn)
    else:
        page.text(x - 1.2 * (turn > 0), y - 1.2 * (turn == 0), text, 3.5, "middle", bold=True, turn=turn)


def diagonals(frame: Frame) -> list[Check]:
    """Diagonals that check the outer corners of each shell's plates, those of the setting-out sheet.

    Without the line from free end to free end, which would lie beside what an open shell is built against.
    """
    found = []
    for loop in Loops(frame).shell_loops():
        first, last = loop.corners[0], loop.corners[-1]
        beside = (first, last) if not loop.closed and len(loop.corners) > 3 else None
        found += [item for item in loop.diagonals if (item.one, item.other) != beside]
    return found


def diagonal_lines(view: PlanView, found: list[Check]) -> list[tuple[XY, XY]]:
    """Where diagonals that are shown lie on paper."""
    lines = [(view.of_plan(item.one.at), view.of_plan(item.other.at)) for item in found]
    return [line for line in lines if view.shows(line)]


def draw_diagonals(page: Page, view: PlanView, found: list[Check]) -> None:
    """Diagonals as thin chain lines."""
    for ends in diagonal_lines(view, found):
        page.line(ends, CHAIN_THIN)


def figure_diagonals(page: Page, view: PlanView, taken: Taken, found: list[Check]) -> None:
    """The lengths of diagonals along their lines, each where it finds room."""
    for item in found:
        (ax, ay), (bx, by) = (view.of_plan(corner.at) for corner in (item.one, item.other))
        if not view.shows([(ax, ay), (bx, by)]):
            continue
        turn = reading((bx - ax, ay - by))
        text = str(whole(item.figure))
        for part in (0.38, 0.62, 0.3, 0.7, 0.22, 0.78, 0.5):
            x, y = ax + part * (bx - ax), ay + part * (by - ay)
            if taken.claim_all(boxes_along(x, y, text, 2.5, turn)):
                knock_out(page, x, y, text, 2.5, turn)
                centred(page, x, y, text, 2.5, turn)
                break
