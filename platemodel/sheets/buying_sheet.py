"""The order: what the merchant needs to fill it; on a sheet of its own, for the carpenter, how good it is."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from platemodel.export.buying import BoardLine, Buying, Offcut, Waste, buying, gap_percent, money, sums, width_of
from platemodel.export.fixings import Fixings, fixings
from platemodel.export.sawing import Sawing, methods
from platemodel.frame.sizes import REFERENCE_MOISTURE, allowed
from platemodel.frame.tape import DUST
from platemodel.frame.values import Frame, Purchase
from platemodel.sheets.board_bars import full
from platemodel.sheets.flow import BODY, BULLET, Columns, inner
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import DOTTED, NARROW, Page
from platemodel.sheets.tables import Column
from platemodel.site.onwall import OnWall
from platemodel.site.strapping import Strapping

GAP = 6.0
RULE = 6.6
"""From one line to write on to the next, mm."""
MOST_OFFCUTS = 40
"""How many lengths of offcuts are named."""

MINUTES = 2.0
"""To mark and saw one half of a lap: common practice, and what a plan says that does not say otherwise."""

CONDITION = ("☐ as sawn (EN 336 T1)   ☐ planed (T2)", "☐ dry, moisture at most", "☐ untreated   ☐ treated, use class")
"""What the merchant is told of the timber where the plan does not say it."""

BLANKS = (
    "merchant, their order no.",
    "our order no., date",
    "deliver to",
    "",
    "on (date, time)",
    "unloaded by",
    "met on site by, telephone",
    "ordered by, telephone",
    "checked on delivery by",
)
"""What is filled in by hand; an empty one is one more line of that before it."""

FIXING_COLUMNS = (("item", 37.0), ("mm", 28.0), ("finish", 33.0), ("number", 14.0))


def buying_sheets(frame: Frame, wall: OnWall | None = None) -> list[Page]:
    """The pages of the order: boards as a table, fixings as found on the wall, and what is wasted and kept."""
    job = frame.plan.job
    needed = fixings(frame, wall)
    bought = buying(frame, needed.rules)

    def begin(number: int) -> tuple[Page, Room]:
        page, room = sheet(job, "order", "boards and fixings to buy", "–", part_name("buying", number))
        return page, inner(room, _head(page, room, frame, first=number == 1))

    flow = Columns(begin, 2, GAP)
    _boards(flow, bought)
    _notes(flow, frame, bought)
    _condition(flow, frame)
    flow.beside()
    _fixings(flow, frame, needed, None if wall is None else wall.straps)
    _blanks(flow)

    def go_on(number: int) -> tuple[Page, Room]:
        name = part_name("buying", number + len(flow.pages))
        page, room = sheet(job, "order", "for the carpenter: how good it is", "–", name)
        return page, inner(
            room, _title(page, room, "HOW GOOD THE ORDER IS", "for the carpenter; the merchant needs only the order")
        )

    own = Columns(go_on, 2, GAP)
    own.section("Waste", _waste_words(bought), BULLET)
    own.section(f"Offcuts to keep, from {frame.plan.stock.keep:g} mm on", [_offcut_words(bought.offcuts)])
    own.beside()
    own.section("Time for the laps", _time_words(frame), BULLET)
    return [*flow.pages, *own.pages]


def _head(page: Page, room: Room, frame: Frame, first: bool) -> float:
    """What is ordered, in a line; gives how far it reaches below the frame line, mm."""
    plate = frame.plan.plate
    words = f"sawn softwood, {plate.grade} (EN 338)" if plate.tolerance != "T2" else f"softwood, {plate.grade} (EN 338)"
    if plate.tolerance is not None:
        words += f", tolerance class {plate.tolerance} (EN 336)"
    words += "; sizes in mm: width × depth"
    return _title(page, room, "ORDER" if first else "ORDER, continued", words)


def _title(page: Page, room: Room, title: str, words: str) -> float:
    left, wide = room.left + 3.0, room.width - 6.0
    page.text(left, room.top + 8.0, title, 5.0, bold=True)
    offset = width(title, 5.0, bold=True) + 5.0
    page.text(left + offset, room.top + 8.0, fitted(words, BODY, wide - offset, bold=True), BODY, bold=True)
    page.line([(room.left, room.top + 10.5), (room.right, room.top + 10.5)], NARROW)
    return 13.0


def _boards(flow: Columns, bought: Buying) -> None:
    """A table a section of board, their sum, and the boards that are there already."""
    widths = sorted({line.width for line in bought.lines})
    for across in widths:
        lines = [line for line in bought.lines if line.width == across]
        _table(flow, _section(lines[0]), lines)
    if len(widths) > 1:
        flow.table("All sections", _columns(flow.width), [_sum_row(bought.lines)])
    if not bought.lines:
        flow.section("Boards to buy", ["none: the yard has them all"])
    for across in sorted({line.width for line in bought.yard}):
        lines = [line for line in bought.yard if line.width == across]
        _table(flow, f"From the yard, not bought: {_section(lines[0])}", lines, yard=True)


def _notes(flow: Columns, frame: Frame, bought: Buying) -> None:
    """What the figures of the tables are."""
    spare = sum(line.spare for line in bought.lines)
    figures = (
        "Metres, m³, kg and price" if any(line.price is not None for line in bought.lines) else "Metres, m³ and kg"
    )
    words = f"{figures} are of all to order, the {spare} spare too. " if spare else ""
    words += f"Masses: mean density of {frame.plan.plate.grade} (EN 338:2016); wet or newly treated timber is heavier."
    flow.paragraph(words)
    needed = _full_lengths(frame)
    if needed:
        words = f"Full length needed, not a millimetre short: {needed}. Where none is that long: the next length up."
        flow.paragraph(words, bold=True)


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


def _table(flow: Columns, heading: str, lines: Sequence[BoardLine], yard: bool = False) -> None:
    # the longest first, as a merchant loads them
    rows = [_row(line, yard) for line in sorted(lines, key=lambda line: -line.length)]
    if len(rows) > 1:
        rows.append(_sum_row(lines, yard))
    flow.table(heading, _columns(flow.width, yard), rows)


def _columns(room: float, yard: bool = False) -> list[Column]:
    """The columns of a table of boards, as wide as its place; where the plan has no prices the merchant writes them."""
    found = [("length", 14.0), ("boards", 15.5)]
    if not yard:
        found += [("spare", 12.5), ("to order", 14.0)]
    found += [("metres", 15.0), ("m³", 14.0), ("kg", 13.0)]
    if not yard:
        found += [("price each", 15.0), ("price", 17.0)]
    stretch = room / sum(size for _, size in found)
    return [Column(head, size * stretch, True, head in ("length", "to order")) for head, size in found]


def _row(line: BoardLine, yard: bool) -> list[str]:
    cells = [f"{line.length:g}", f"{line.count}"]
    if not yard:
        cells += [f"{line.spare}", f"{line.total}"]
    cells += [f"{line.metres:.1f}", f"{line.volume:.3f}", f"{line.mass:.1f}"]
    return cells + ([] if yard else [money(line.price), money(line.price_total)])


def _sum_row(lines: Sequence[BoardLine], yard: bool = False) -> list[str]:
    total = sums(lines)
    cells = ["sum", f"{total.count}"]
    if not yard:
        cells += [f"{total.spare}", f"{total.total}"]
    cells += [f"{total.metres:.1f}", f"{total.volume:.3f}", f"{total.mass:.1f}"]
    return cells + ([] if yard else ["", money(total.price)])


def _condition(flow: Columns, frame: Frame) -> None:
    """Sizes, moisture and treatment: what the plan says, and boxes and lines for what it does not."""
    plate, clearance = frame.plan.plate, frame.plan.lap.clearance
    widths = sorted({run.strip.width for run in frame.runs})
    words = []
    for across in widths:
        most = f"at most {across + clearance:g} wide to go into the laps"
        if plate.tolerance is not None:
            least, wide = allowed(across, plate.tolerance)
            most = f"{least:g} to {wide:g} wide by class {plate.tolerance}; " + most
        else:
            most += _wide_words(across, across + clearance)
        words.append(f"{across:g} × {plate.depth:g} as bought at {REFERENCE_MOISTURE:g} % moisture (EN 336): {most}.")
    if plate.moisture is not None:
        words.append(f"Moisture {plate.moisture:g} %.")
    blanks = [
        line for line, known in zip(CONDITION, (plate.tolerance, plate.moisture, None), strict=True) if known is None
    ]
    flow.section("Size and condition", words, BULLET)
    _ruled(flow, blanks, align=False)


def _wide_words(across: float, most: float) -> str:
    """What a class of tolerance that is still to be ticked does to boards of a width."""
    over = [f"{name} lets them be {wide:g}" for name in ("T1", "T2") if (wide := allowed(across, name)[1]) > most]
    return f" ({', '.join(over)}: sort those over {most:g} out)" if over else ""


def _blanks(flow: Columns) -> None:
    """Lines to fill in by hand."""
    flow.heading("To fill in", RULE * len(BLANKS))
    _ruled(flow, BLANKS, align=True)


def _ruled(flow: Columns, lines: Sequence[str], align: bool) -> None:
    """Words each with a line to write on; ``align``: all lines begin under one another."""
    begin = max((width(words, BODY) for words in lines), default=0.0) + 2.0
    for words in lines:
        flow.need(RULE)
        left = flow.x + (begin if align else width(words, BODY) + 2.0)
        flow.page.text(flow.x, flow.y + RULE - 1.6, words, BODY)
        flow.page.line([(left, flow.y + RULE - 1.2), (flow.x + flow.width, flow.y + RULE - 1.2)], DOTTED)
        flow.y += RULE
    flow.y += 2.0


def _fixings(flow: Columns, frame: Frame, needed: Fixings, straps: Strapping | None) -> None:
    """A table of the fixings that can be ordered, and what is not in it."""
    rows = [[line.item, line.size, line.finish, f"{line.number}"] for line in needed.lines]
    words = [_screw_words(frame, needed), *_bearing_words(needed), _strap_words(needed, straps)]
    if rows:
        stretch = flow.width / sum(size for _, size in FIXING_COLUMNS)
        columns = [
            Column(head, size * stretch, head == "number", head in ("mm", "number")) for head, size in FIXING_COLUMNS
        ]
        flow.table("Fixings", columns, rows)
        flow.y -= 1.0
        flow.notes(words, BULLET)
    else:
        flow.section("Fixings", words, BULLET)


def _screw_words(frame: Frame, needed: Fixings) -> str:
    each = frame.plan.lap.screws
    if not needed.screws:
        return "Screws in laps: none."
    if needed.screw is None:
        return f"Screws in laps, {needed.screws} ({each} a lap): none as sold suits the depth; ask the engineer."
    short = needed.rules["screw_short"]
    return f"Screws: {len(frame.joints)} laps, {each} each, {short.figure} short of the underside ({short.source})."


def _bearing_words(needed: Fixings) -> list[str]:
    if not needed.bearings:
        return [
            "Nails, clips and brackets of what lands here are not in this order: by the engineer's or the local rule."
        ]
    rules = needed.rules
    rule, what = (rules["clips"], "Clips") if needed.clips else (rules["nails"], "Nails")
    how = "" if needed.clips else "skewed, one from each side "
    return [
        f"{what}: {needed.bearings} bearings, {rule.value:g} each, {how}({rule.source}), where trusses without uplift "
        "land. Beams, joists and uplift: by the engineer's or the local rule."
    ]


def _strap_words(needed: Fixings, straps: Strapping | None) -> str:
    rules = needed.rules
    if straps is None:
        section = f"{rules.value('strap_width'):g} × {rules.value('strap_thickness'):g}"
        spacing = rules["strap_spacing"]
        return (
            "Holding-down straps are not in this order: number, length and fixings by the engineer's or the local "
            f"rule; where {spacing.source} applies, section at least {section} mm and at most {spacing.figure} apart."
        )
    built = sum(strap.built for plate in straps.plates for strap in plate.straps)
    there = f" ({built} more built in already)" if built else ""
    lateral = f" Lateral ones: {rules['lateral_downturn'].figure} of their length is downturn."
    return (
        f"Holding-down straps: {straps.new} to buy{there}, at most {straps.every:g} mm apart; where each goes: the "
        "fixing sheets. The engineer's or the local rule comes first." + (lateral if straps.gables else "")
    )


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
            least = _least(purchase)
        else:
            least = f"the least possible is {waste.percent(waste.bound):.1f} % or more"
        fit = ""
        if waste.first_fit is not None:
            more = waste.percent(waste.first_fit)
            fit = "; first fit would waste " + ("as much" if waste.first_fit <= waste.used else f"{more:.1f} %")
        return _sentence(own + least + fit, purchase)
    what = f"bought for {purchase.cost:.2f}" if purchase.priced else f"bought: {purchase.cost / 1000:.1f} m"
    least = _least(purchase) if purchase.proved else f"at most {gap_percent(purchase):.1f} % above the least possible"
    fit = ""
    if purchase.first_fit is not None:
        amount = f"{purchase.first_fit:.2f}" if purchase.priced else f"{purchase.first_fit / 1000:.1f} m"
        more = 100.0 * (purchase.first_fit / purchase.cost - 1.0) if purchase.cost > 0.0 else 0.0
        fit = f"; first fit would come to {amount}" + (f", {more:.1f} % more" if more >= 0.05 else "")
    return _sentence(own + f"{what}, {least}{fit}", purchase)


def _least(purchase: Purchase) -> str:
    anywhere = purchase.anywhere >= purchase.cost * (1.0 - 1e-9)
    return "proved least for these pieces" + (", and wherever as many splices are put" if anywhere else "")


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
    if not frame.joints:
        return ["none: there are no laps"]
    own, *others = methods(frame)
    crew, minutes = frame.plan.laying.crew, frame.plan.laying.minutes
    each = math.ceil(own.minutes / crew - DUST)
    one = f"{crew} at work" if crew > 1 else "one at work"
    return [
        f"{own.gauges} gauges, {own.settings} settings of the saw (unders and overs apart) and the rips, {own.halves} "
        "halves.",
        f"{minutes:g} min for each half{' (common practice)' if minutes == MINUTES else ''}: about {_hours(each)} with "
        f"{one}; setting the saw, boards and laying come on top.",
        *(_method_words(one) for one in (own, *others)),
    ]


def _method_words(one: Sawing) -> str:
    how = {"round": "Laid round, one after the other", "pairs": "Laid in pairs, unders first and overs after"}
    types = "1 type" if one.types == 1 else f"{one.types} types"
    least = " (fewest of all places tried for splices)" if one.fewest else ""
    faces = "no piece" if not one.both_faces else "1 piece" if one.both_faces == 1 else f"{one.both_faces} pieces"
    named = f'{how[one.method]} (laying.method = "{one.method}")'
    return f"{named}: {types}{least}, {faces} to roll over and saw on both faces."


def _hours(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"
