"""The bedding sheet: at which level the plates lie, how thick the bed is everywhere, and the mortar for it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from platemodel.frame.tape import whole
from platemodel.frame.values import Frame
from platemodel.sheets.flow import BULLET, HEADING, Columns, inner
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import EXTRA, Page
from platemodel.sheets.tables import Column
from platemodel.site.bedding import JOINT, Bedding, Misfit, Place, Spot
from platemodel.site.mortar import Batch, parts_of

GAP = 6.0
BAND = 17.0
"""Height of the band across the top, mm."""
HEADS = 10.0
NONE = "–"
"""For a bed, where a plate lies on another and no mortar goes."""

CAUTIONS = (
    "WET CEMENT BURNS, and the burn is felt late: waterproof gloves and boots, never kneel in it, wash it off skin at "
    "once, out of eyes with much water, then to a doctor.",
    "Work at height: from a scaffold or platform with guard rails, not from the wall or a ladder; mortar, plates and "
    "tools fall: keep people from below.",
    "Mortar is no fixing: straps and screws hold the plates. No roof on them before the bed is hard: at least 3 days, "
    "longer in the cold (common practice).",
    "Local codes and the engineer come first: thick beds, packing, lintels and parapets above all.",
)


def bedding_sheets(frame: Frame, result: Bedding) -> list[Page]:
    """The pages of the bed: first what is needed to set out and mix, then every place in the order of bedding."""
    job = frame.plan.job

    def begin(number: int) -> tuple[Page, Room]:
        page, room = sheet(job, "bedding sheet", "plate level, bed and mortar", "–", part_name("bedding", number))
        return page, inner(room, _band(page, room, result))

    flow = Columns(begin, 2, GAP)
    flow.section("In this order", _order(result), BULLET)
    flow.section("Cautions", list(CAUTIONS), BULLET)
    if result.odd:
        flow.section("Look at this again first", list(result.odd), BULLET)
    if result.thick:
        flow.section("The bed is too thick here", [_misfit(it, "thicker than", result) for it in result.thick], BULLET)
    if result.high:
        heading = "This stands too high" if result.least < result.wished[0] else "Or let this come down instead"
        flow.section(heading, [_misfit(it, "by", result) for it in result.high], BULLET)
    flow.beside()
    _mortar(flow, frame, result)
    flow.section("Suction, heat, frost", list(result.mortar.advice), BULLET)

    def go_on(number: int) -> tuple[Page, Room]:
        name = part_name("bedding", number + len(flow.pages))
        page, room = sheet(job, "bedding sheet", "bed at every place, in the order of bedding", "–", name)
        return page, inner(room, _band(page, room, result))

    own = Columns(go_on, 2, GAP)
    for count, (mark, places) in enumerate(itertools.groupby(result.places, key=lambda it: it.mark), start=1):
        _piece(own, result, count, mark, list(places))
    return [*flow.pages, *own.pages]


def reads(result: Bedding, value: float) -> str:
    """What the staff reads, in metres, or how far it is below the laser's line, in mm."""
    if result.laser:
        return f"{whole(value)}"
    return f"{whole(value) / 1000:.3f}"


def must_words(result: Bedding) -> str:
    """What the top of the plates must show, in words."""
    said = reads(result, abs(result.must) if result.laser else result.must)
    if result.laser:
        return f"{said} mm {'below' if result.must >= 0.0 else 'ABOVE'} the laser line"
    return f"{said} m on the staff" + ("" if result.must >= 0.0 else ", held UPSIDE DOWN")


def _band(page: Page, room: Room, result: Bedding) -> float:
    """The one figure that rules, large, across the top; gives how far it reaches below the frame line, mm."""
    left, top, wide = room.left + 3.0, room.top + 3.0, room.width - 6.0
    page.box(left, top, wide, BAND - 5.0, EXTRA)
    words = "TOP OF EVERY PLATE: "
    page.text(left + 3.0, top + 8.4, words, 5.0, bold=True)
    at = left + 3.0 + width(words, 5.0, bold=True) + 2.0
    said = must_words(result)
    page.text(at, top + 8.4, said, 5.0, bold=True)
    at += width(said, 5.0, bold=True) + 6.0
    bed = f"bed {whole(result.least)} to {whole(result.most)} mm, plates {result.depth:g} deep"
    page.text(at, top + 8.4, fitted(bed, 3.5, left + wide - 2.0 - at), 3.5)
    return BAND + 1.0


def _spot(spot: Spot) -> str:
    on = f", on the lintel '{spot.lintel}'" if spot.lintel else ""
    return f"{spot.wall} at {whole(spot.at)}{on}"


def _order(result: Bedding) -> list[str]:
    first, last = result.bedded[0], result.bedded[-1]
    stands = (
        "The laser stands as when the walls were read" if result.laser else "The instrument stands at its last set-up"
    )
    said = must_words(result)
    if result.laser:
        levels = f"Underside of plates {reads(result, -result.underside)} mm below the line."
    else:
        levels = f"Underside of plates at level {result.underside / 1000:.3f}, top at {result.top / 1000:.3f}."
    least, most = result.wished
    words = [
        f"{stands}: then every plate's top is {said}. {levels}",
        f"Moved since? Read the wall at a place of the tables again: what it shows less BED and less {result.depth:g} "
        "is what every plate's top must show now.",
        f"Highest place: {_spot(result.highest)}. The bed is {whole(result.least)} there, the least anywhere. Set the "
        "first level there, on a packer of that height; then lay by the order of the tables.",
        f"Lowest place: {_spot(result.lowest)}. The bed is {whole(result.most)} there, the most.",
        f"First bed: {first.mark} on {first.wall} at {whole(first.at)}: {whole(first.bed)} mm. "
        f"Last bed: {last.mark} on {last.wall} at {whole(last.at)}: {whole(last.bed)} mm.",
        f"Wished: {least:g} to {most:g} mm (settings; common practice). Bed joints of general-purpose mortar are "
        f"{JOINT[0]:g} to {JOINT[1]:g} mm (EN 1996-1-1, 8.1.5, from memory).",
        "In the tables 'at' is mm along the wall as designed from its first corner, on a cross wall from its first "
        "end: where the setting-out sheets tape from.",
        "'lap' is the middle of a lap, 'end' the end of the plate. At a lap only the lower plate lies in mortar: where "
        f"a half lies on another plate, BED has a dash ({NONE}).",
    ]
    if result.book is not None:
        words.append(_book_words(result))
    return words


def _book_words(result: Bedding) -> str:
    book = result.book
    assert book is not None
    words = f"Levels booked twice, by collimation and by rise and fall, {'agree' if book.checks else 'DO NOT AGREE'}"
    if book.misclosure is None:
        return f"{words}; no closing level is known."
    miss, allowed = book.misclosure * 1000, book.allowed * 1000
    return f"{words}; misclosure {miss:.1f} mm, {allowed:.1f} allowed (common practice), shared out by set-ups."


def _misfit(it: Misfit, how: str, result: Bedding) -> str:
    on = f", lintel '{it.lintel}'" if it.lintel else ""
    place = f"{it.wall} {whole(it.begin)} to {whole(it.end)}{on}"
    by = math.ceil(it.by - 1e-6)
    if how == "by":
        return f"{place}: by up to {by} mm; {it.remedy}."
    return f"{place}: up to {by} mm {how} {result.wished[1]:g}; {it.remedy}."


def _piece(flow: Columns, result: Bedding, count: int, mark: str, places: Sequence[Place]) -> None:
    """A piece's places, from one end to the other as it is bedded."""
    walls = " + ".join(dict.fromkeys(it.wall for it in places))
    several = len({it.wall for it in places}) > 1
    unit = "mm down" if result.laser else "m"
    columns = [
        Column("at", 17.0, figures=True, bold=True),
        Column("there", flow.width - 91.0),
        Column(f"wall top reads, {unit}", 24.0, figures=True),
        Column("BED, mm", 18.0, figures=True, bold=True),
        Column(f"plate top must read, {unit}", 32.0, figures=True),
    ]
    must = reads(result, result.must)
    rows = [
        [
            f"{whole(it.at)}",
            ", ".join([*([it.wall] if several else []), *_there(it)]),
            reads(result, it.reading),
            NONE if it.lies_on else f"{whole(it.bed)}",
            must,
        ]
        for it in places
    ]
    flow.table(fitted(f"{count}. {mark} on {walls}", HEADING, flow.width, bold=True), columns, rows, keep=3, lone=3)


def _there(place: Place) -> list[str]:
    """What is at a place, a damp course told for every place on one, and a half's mate where it lies on it."""
    words = [word for word in place.what if not (place.lies_on and word == f"lap, on {place.lies_on}")]
    if place.lies_on:
        lap = "lap on" if len(words) < len(place.what) else "on"
        words.append(f"{lap} {place.lies_on}: no mortar")
    if place.dpc and not any("damp course" in word for word in words):
        words.append("damp course")
    return words


def _mortar(flow: Columns, frame: Frame, result: Bedding) -> None:
    """What to buy and to mix, and how far each batch goes."""
    wish, found = frame.plan.site.bed, result.mortar
    parts = parts_of(wish.mix)
    least, most = (edge(kg for _, kg in found.rules) for edge in (min, max))
    words = [
        f"Mix {wish.mix} cement to sand by volume ({found.kind}): {found.litres:.0f} litres, {wish.waste:g} % waste in "
        f"them; {found.bed:.0f} lie in the bed"
        + ("; less where it is packed or a course is cut." if result.thick else "."),
        f"Buy {found.bags} bag{'s' if found.bags > 1 else ''} of {wish.bag:g} kg cement ({found.total.cement_kg:.0f} "
        f"kg by 1.33 dry parts to one wet) and {math.ceil(found.total.sand * 1000)} litres of sand, about "
        f"{found.total.sand_kg:.0f} kg. By other rules the cement is {least:.0f} to {most:.0f} kg.",
        f"A batch of {_batch(wish.batch, found.batch)}: {found.each.cement * 1000:.1f} litres of cement "
        f"({found.each.cement_kg:.1f} kg), {found.each.sand * 1000:.1f} of sand, {parts} buckets to 1. "
        f"Use it within {wish.minutes:g} minutes; never add water to bring it back.",
        "On a damp course or a lintel nothing sucks the water out: the bed stiffens later. Mix it stiffer, check the "
        "level again before you leave, load it later.",
    ]
    flow.section("Mortar", words, BULLET)
    columns = [
        Column("batch", 15.0, figures=True, bold=True),
        Column("beds", flow.width - 52.0),
        Column("m of plate", 21.0, figures=True),
        Column("litres", 16.0, figures=True),
    ]
    rows = [[f"{it.number}", _goes(it), f"{it.metres:.1f}", f"{it.litres:.1f}"] for it in found.batches]
    heading = fitted(f"Batches, each good for {wish.minutes:g} minutes", HEADING, flow.width, bold=True)
    flow.table(heading, columns, rows, keep=3, lone=3)


def _batch(wished: float, full: float) -> str:
    """How large a batch is, in words."""
    if full == wished:
        return f"{wished:g} litres"
    return f"{full:.2f} litres ({wished:g} wished; the little left over is spread evenly)"


def _goes(batch: Batch) -> str:
    """Which pieces a batch beds, and where it ends."""
    first, last = batch.spans[0], batch.spans[-1]
    marks = ", ".join(dict.fromkeys(span.mark for span in batch.spans))
    words = f"{marks}: from {first.wall} {whole(first.begin)} to {last.wall} {whole(last.end)}"
    return f"{words}; damp course" if batch.dpc else words


__all__ = ["bedding_sheets", "must_words", "reads"]
