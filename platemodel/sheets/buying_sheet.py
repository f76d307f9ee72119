"""The buying sheet: what the merchant needs to fill the order, and beside it how good the order is."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from platemodel.export.buying import BoardLine, Buying, Offcut, Waste, buying, gap_percent, money, sums, width_of
from platemodel.export.fixings import NAIL, NAILS_A_TRUSS, SCREW, STRAP, STRAPS_APART, fixings
from platemodel.frame.values import Frame, Purchase
from platemodel.sheets.board_bars import full
from platemodel.sheets.flow import BODY, BODY_LINE, BULLET, Columns, inner
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.gauges import gauges
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import DOTTED, NARROW, Page
from platemodel.sheets.tables import Column, row_height, table
from platemodel.sheets.tape import DUST

GAP = 6.0
RULE = 7.0
"""From one line to write on to the next, mm."""
HEADS = 10.0
"""Room for the heads of a table, mm."""
MOST_OFFCUTS = 40
"""How many lengths of offcuts are named."""

MINUTES = 2.0
"""To mark and saw one half of a lap: common practice, and what a plan says that does not say otherwise."""

BLANKS = ("treatment", "merchant", "deliver to", "on (date, time)", "unload by", "ordered by", "telephone")
"""What is filled in by hand."""


def buying_sheets(frame: Frame) -> list[Page]:
    """The pages of the order: boards as a table, fixings, and what is wasted and kept."""
    job = frame.plan.job
    bought = buying(frame)

    def begin(number: int) -> tuple[Page, Room]:
        page, room = sheet(job, "order", "boards and fixings to buy", "–", part_name("buying", number))
        return page, inner(room, _head(page, room, frame, first=number == 1))

    flow = Columns(begin, 2, GAP)
    _boards(flow, bought)
    _notes(flow, frame, bought)
    _blanks(flow)
    flow.beside()
    flow.section("Fixings", _fixing_words(frame), BULLET)
    flow.section("Waste", _waste_words(bought), BULLET)
    flow.section(f"Offcuts to keep, from {frame.plan.stock.keep:g} mm on", [_offcut_words(bought.offcuts)])
    flow.section("Time for the laps", _time_words(frame), BULLET)
    return flow.pages


def _head(page: Page, room: Room, frame: Frame, first: bool) -> float:
    """What is ordered, in a line; gives how far it reaches below the frame line, mm."""
    left, wide = room.left + 3.0, room.width - 6.0
    title = "ORDER" if first else "ORDER, continued"
    page.text(left, room.top + 8.0, title, 5.0, bold=True)
    offset = width(title, 5.0, bold=True) + 5.0
    plate = frame.plan.plate
    words = f"sawn softwood, {plate.grade} (EN 338)"
    if plate.tolerance is not None:
        words += f", tolerance class {plate.tolerance} (EN 336)"
    words += "; sizes in mm: width × depth"
    page.text(left + offset, room.top + 8.0, fitted(words, BODY, wide - offset, bold=True), BODY, bold=True)
    page.line([(room.left, room.top + 10.5), (room.right, room.top + 10.5)], NARROW)
    return 13.0


def _boards(flow: Columns, bought: Buying) -> None:
    """A table a section of board, their sum, and the boards that are there already."""
    priced = any(line.price is not None for line in bought.lines)
    widths = sorted({line.width for line in bought.lines})
    for across in widths:
        lines = [line for line in bought.lines if line.width == across]
        _table(flow, _section(lines[0]), lines, priced)
    if len(widths) > 1:
        _rows(flow, "All sections", _columns(priced, flow.width), [_sum_row(bought.lines, priced)])
    if not bought.lines:
        flow.section("Boards to buy", ["none: the yard has them all"])
    for across in sorted({line.width for line in bought.yard}):
        lines = [line for line in bought.yard if line.width == across]
        _table(flow, f"From the yard, not bought: {_section(lines[0])}", lines, priced=False, yard=True)


def _notes(flow: Columns, frame: Frame, bought: Buying) -> None:
    """What the figures of the tables are."""
    spare = sum(line.spare for line in bought.lines)
    figures = (
        "Metres, m³, kg and price" if any(line.price is not None for line in bought.lines) else "Metres, m³ and kg"
    )
    words = f"{figures} are those of the {spare} spare too. " if spare else ""
    words += f"Masses: mean density of {frame.plan.plate.grade} (EN 338:2016); wet or newly treated timber is heavier."
    lines = wrapped(words, BODY, flow.width)
    flow.need(BODY_LINE * len(lines))
    for line in lines:
        flow.page.text(flow.x, flow.y + 2.9, line, BODY)
        flow.y += BODY_LINE
    flow.y += 2.2
    needed = _full_lengths(frame)
    if needed:
        words = f"Full length needed, not a millimetre short: {needed}; ask the merchant, or order the next length up."
        lines = wrapped(words, BODY, flow.width, bold=True)
        flow.need(BODY_LINE * len(lines))
        for line in lines:
            flow.page.text(flow.x, flow.y + 2.9, line, BODY, bold=True)
            flow.y += BODY_LINE
        flow.y += 2.2


def _full_lengths(frame: Frame) -> str:
    """How many boards to buy of which length are used to their ends, in words; empty where none is."""
    counts = Counter(
        (width_of(frame, board), board.length) for board in frame.boards if not board.yard and full(frame, board)
    )
    widths = {width_of(frame, board) for board in frame.boards}
    return ", ".join(
        f"{count} of {length:g}" + (f" × {across:g}" if len(widths) > 1 else "")
        for (across, length), count in sorted(counts.items(), key=lambda item: (item[0][0], -item[0][1]))
    )


def _section(line: BoardLine) -> str:
    return f"{line.width:g} × {line.depth:g}, {line.grade}"


def _table(flow: Columns, heading: str, lines: Sequence[BoardLine], priced: bool, yard: bool = False) -> None:
    # the longest first, as a merchant loads them
    rows = [_row(line, priced, yard) for line in sorted(lines, key=lambda line: -line.length)]
    if len(rows) > 1:
        rows.append(_sum_row(lines, priced, yard))
    _rows(flow, heading, _columns(priced, flow.width, yard), rows)


def _rows(flow: Columns, heading: str, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
    """A heading and a table under it, in as many columns of the sheet as it needs."""
    left = list(rows)
    flow.heading(heading, HEADS + 2 * row_height(columns, left[0]))
    while left:
        flow.y, drawn = table(flow.page, flow.x, flow.y + 1.0, columns, left, flow.room.bottom)
        left = left[drawn:]
        if left:
            flow.need(2 * flow.room.height)
            flow.heading(f"{heading}, continued", HEADS)
    flow.y += 3.0


def _columns(priced: bool, room: float, yard: bool = False) -> list[Column]:
    """The columns of a table of boards, as wide as its place."""
    found = [("length", 15.0), ("boards", 13.0)]
    if not yard:
        found += [("spare", 12.5), ("to order", 14.0)]
    found += [("metres", 15.0), ("m³", 14.0), ("kg", 13.0)]
    if priced:
        found += [("price each", 15.0), ("price", 17.0)]
    stretch = room / sum(size for _, size in found)
    return [Column(head, size * stretch, True, head in ("length", "to order")) for head, size in found]


def _row(line: BoardLine, priced: bool, yard: bool) -> list[str]:
    cells = [f"{line.length:g}", f"{line.count}"]
    if not yard:
        cells += [f"{line.spare}", f"{line.total}"]
    cells += [f"{line.metres:.1f}", f"{line.volume:.3f}", f"{line.mass:.0f}"]
    return cells + ([money(line.price), money(line.price_total)] if priced else [])


def _sum_row(lines: Sequence[BoardLine], priced: bool, yard: bool = False) -> list[str]:
    total = sums(lines)
    cells = ["sum", f"{total.count}"]
    if not yard:
        cells += [f"{total.spare}", f"{total.total}"]
    cells += [f"{total.metres:.1f}", f"{total.volume:.3f}", f"{total.mass:.0f}"]
    return cells + (["", money(total.price)] if priced else [])


def _blanks(flow: Columns) -> None:
    """Lines to fill in by hand."""
    flow.heading("To fill in", RULE * len(BLANKS))
    begin = max(width(words, BODY) for words in BLANKS) + 2.0
    for words in BLANKS:
        flow.need(RULE)
        flow.page.text(flow.x, flow.y + RULE - 1.6, words, BODY)
        flow.page.line(
            [(flow.x + begin, flow.y + RULE - 1.2), (flow.x + flow.width, flow.y + RULE - 1.2)],
            DOTTED,
        )
        flow.y += RULE
    flow.y += 2.0


def _fixing_words(frame: Frame) -> list[str]:
    found = fixings(frame)
    each = frame.plan.lap.screws
    words = []
    if not frame.joints or not each:
        words.append("Screws in laps: none.")
    elif found.screw is None:
        words.append(f"Screws in laps: {found.screws} ({each} a lap); none as sold suits the depth: ask the engineer.")
    else:
        words.append(
            f"Wood screws {SCREW:g} × {found.screw}, diameter × length: {found.screws} ({len(frame.joints)} laps, "
            f"{each} each; common practice). They stop short of the underside."
        )
    if found.bearings:
        words.append(
            f"Nails, where trusses without uplift land: {found.nails} of {NAIL[0]:g} × {NAIL[1]}, galvanised round "
            f"wire ({found.bearings} bearings, {NAILS_A_TRUSS} each, skewed, one from each side: NHBC Standards 2020, "
            "7.2.6). Beams, joists and uplift: by the engineer's or the local rule."
        )
    else:
        words.append("Nails, clips and brackets of what lands here: by the engineer's or the local rule.")
    words.append(
        "Holding-down straps, number and fixings: by the engineer's or the local rule; where NHBC Standards "
        f"2020, 7.2.6 applies, at least {STRAP[0]:g} × {STRAP[1]:g} and at most {STRAPS_APART} apart."
    )
    return words


def _waste_words(bought: Buying) -> list[str]:
    """The waste in per cent, against the least that it can be and against first fit, a width at a time."""
    many = len(bought.wastes) > 1
    words = [f"Waste: {bought.waste:.1f} % of the timber used (saw cuts, trimmed ends, offcuts; spare boards aside)."]
    for waste in bought.wastes:
        words.append((f"{waste.width:g} wide: " if many else "") + _compared(waste, many))
    return words


def _compared(waste: Waste, many: bool) -> str:
    own = f"{waste.percent(waste.used):.1f} %; " if many else ""
    purchase = waste.purchase
    if purchase is None:
        return own + "not compared with the least possible."
    if waste.bound is not None:
        # what is bought is what is used
        if purchase.proved:
            least = "proved least for these pieces"
        else:
            least = f"the least possible is {waste.percent(waste.bound):.1f} % or more"
        fit = "" if waste.first_fit is None else f"; first fit would waste {waste.percent(waste.first_fit):.1f} %"
        return _sentence(own + least + fit, purchase)
    what = f"bought for {purchase.cost:.2f}" if purchase.priced else f"bought: {purchase.cost / 1000:.1f} m"
    least = (
        "proved least for these pieces"
        if purchase.proved
        else f"at most {gap_percent(purchase):.1f} % above the least possible"
    )
    fit = ""
    if purchase.first_fit is not None:
        amount = f"{purchase.first_fit:.2f}" if purchase.priced else f"{purchase.first_fit / 1000:.1f} m"
        more = 100.0 * (purchase.first_fit / purchase.cost - 1.0) if purchase.cost > 0.0 else 0.0
        fit = f"; first fit would come to {amount}" + (f", {more:.1f} % more" if more >= 0.05 else "")
    return _sentence(own + f"{what}, {least}{fit}", purchase)


def _sentence(words: str, purchase: Purchase) -> str:
    words = words[0].upper() + words[1:] + "."
    if not purchase.proved and purchase.note:
        words += f" Not proved least: {purchase.note.rstrip('.')}."
    elsewhere = 100.0 * (1.0 - purchase.anywhere / purchase.cost) if purchase.cost > 0.0 else 0.0
    if purchase.anywhere > 0.0 and elsewhere >= 0.05:
        words += f" Splices in other places could save {elsewhere:.1f} % at most."
    return words


def _offcut_words(offcuts: Sequence[Offcut]) -> str:
    if not offcuts:
        return "none so long"
    many = len({offcut.width for offcut in offcuts}) > 1
    named = [
        (f"{offcut.count} of " if offcut.count > 1 else "")
        + f"{offcut.length:g}"
        + (f" × {offcut.width:g}" if many else "")
        for offcut in offcuts[:MOST_OFFCUTS]
    ]
    rest = sum(offcut.count for offcut in offcuts[MOST_OFFCUTS:])
    metres = sum(offcut.count * offcut.length for offcut in offcuts) / 1000
    return f"{'; '.join(named)}{f'; and {rest} more' if rest else ''}: {metres:.1f} m in all"


def _time_words(frame: Frame) -> list[str]:
    found = gauges(frame)
    if not found:
        return ["none: there are no laps"]
    halves = sum(len(gauge.halves) for gauge in found)
    # unders are sawn half deep, overs until half is left: a saw is set anew for each
    settings = sum(len({frame.pieces[index].halves[cut].under for index, cut in gauge.halves}) for gauge in found)
    crew = frame.plan.laying.crew
    minutes = frame.plan.laying.minutes
    each = math.ceil(halves * minutes / crew - DUST)
    one = f"{crew} at work" if crew > 1 else "one at work"
    return [
        f"{len(found)} gauges, {settings} settings of the saw (unders and overs apart) and the rips, {halves} halves.",
        f"{minutes:g} min for each half{' (common practice)' if minutes == MINUTES else ''}: about {_hours(each)} with "
        f"{one}; setting the saw, boards and laying come on top.",
    ]


def _hours(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"
