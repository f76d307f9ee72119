"""The rules of the trade, judged on a decided frame with the figures of a rule set.

A rule is ``must`` or ``advice``; advice never fails a build. Each names its source, or says that
it is common practice. Local building codes and the engineer come before all of them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from platemodel.frame.laps import Side, sides_by_run
from platemodel.frame.runs import on_run
from platemodel.frame.saving import SQUARING
from platemodel.frame.sizes import REFERENCE_MOISTURE, allowed, at_moisture
from platemodel.frame.splices import apart_wanted
from platemodel.frame.staggering import clashes
from platemodel.frame.strip import least_between
from platemodel.frame.values import Frame
from platemodel.site.rule_set import RuleSet, rule_set
from platemodel.site.strapping import Strapping, strapping

TRIM = SQUARING


@dataclass(frozen=True)
class Verdict:
    """What one rule says, once for each place where it fails, or once where it holds everywhere.

    ``found`` is what was found there (or at the worst place, where it holds), ``limit`` what the rule asks.
    """

    rule: str
    level: str
    source: str
    passed: bool
    where: str
    found: str = ""
    limit: str = ""


@dataclass(frozen=True)
class Failure:
    """A place where a rule fails, in words, and what was found there."""

    where: str
    found: str


@dataclass(frozen=True)
class Finding:
    """Something measured: which figure of the rule set it is judged by, how much it is in that figure's unit, where."""

    key: str
    value: float
    where: str


@dataclass(frozen=True)
class Judgement:
    """A rule judged everywhere: where it fails, and what was found where it does not."""

    failures: Sequence[Failure]
    held: str


@dataclass(frozen=True)
class _Rule:
    """A rule: its words, the figure that it goes by, its limit in words, and how it is judged."""

    words: Callable[[RuleSet], str]
    key: str
    judged: Callable[[Frame, RuleSet], Judgement]
    limit: Callable[[Frame, RuleSet], str] | None = None


def judge(frame: Frame, rules: RuleSet | None = None, straps: Strapping | None = None) -> list[Verdict]:
    """Judge every rule on a frame; straps too, where the plan asks for them.

    Raises :class:`~platemodel.faults.PlanError` where the plan's own rule set cannot be read.
    """
    rules = rule_set(frame.plan) if rules is None else rules
    found: list[Verdict] = []
    for rule in _RULES if not _sizes_known(frame) else (*_RULES, _JAMMING):
        limit = rules[rule.key].limit if rule.limit is None else rule.limit(frame, rules)
        found += _verdicts(rules, rule.key, rule.words(rules), limit, rule.judged(frame, rules))
    if frame.plan.lap.stagger > 0:
        found += _staggered(frame)
    if frame.plan.site.levels is not None:
        found += _bed(frame, rules)
    straps = strapping(frame, rules) if straps is None else straps
    if straps is not None:
        found += _of_straps(frame, rules, straps)
    return found


def judge_findings(rules: RuleSet, findings: Sequence[Finding]) -> list[Verdict]:
    """Judge what was measured of the shell or the bed: a verdict for each figure and place that fails, else one."""
    found: list[Verdict] = []
    for key in dict.fromkeys(finding.key for finding in findings):
        figure = rules[key]
        of_key = [finding for finding in findings if finding.key == key]
        bad = [item for item in of_key if not figure.holds(item.value)]
        unit = "" if figure.unit == "number" else f" {figure.unit}"
        failures = [Failure(f"{item.where}: {item.value:.1f}{unit}", f"{item.value:.1f}{unit}") for item in bad]
        worst = (min if figure.sense == "least" else max)(of_key, key=lambda item: item.value)
        held = Judgement(failures, f"{worst.value:.1f}{unit} at worst, {worst.where}")
        found += _verdicts(rules, key, figure.words, figure.limit, held)
    return found


def _verdicts(rules: RuleSet, key: str, words: str, limit: str, judged: Judgement) -> list[Verdict]:
    figure = rules[key]
    if not judged.failures:
        return [Verdict(words, figure.level, figure.source, True, "", judged.held, limit)]
    return [
        Verdict(words, figure.level, figure.source, False, failure.where, failure.found, limit)
        for failure in judged.failures
    ]


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


# --- laps


def _fixed_sides(frame: Frame) -> Iterator[tuple[int, Side, str]]:
    """Corner, tee and cross laps: each side with its run and the joint's name."""
    for joint in frame.joints:
        if joint.lap.kind != "splice":
            for side in joint.lap.sides:
                yield side.run, side, f"{joint.lap.kind} {joint.id}"


def _overlap(low: float, high: float, begin: float, end: float) -> float:
    return min(high, end) - max(low, begin)


def _near_words(over: float, way: str) -> str:
    """How a lap lies to something: over or under it by so much, or so near it."""
    return f"lies {over:.0f} mm {way}" if over > 1e-6 else f"lies only {-over:.0f} mm from"


def _laps_on_openings(frame: Frame, rules: RuleSet) -> Judgement:
    plan = frame.plan
    failures, clear = [], math.inf
    for run, side, name in _fixed_sides(frame):
        low, high = min(side.void_low), max(side.void_high)
        for opening in (item for wall in dict.fromkeys(frame.runs[run].walls) for item in plan.openings_on(wall)):
            begin, end = sorted(on_run(plan, frame.runs[run], opening.wall, at) for at in (opening.begin, opening.end))
            over = _overlap(low, high, begin, end)
            clear = min(clear, -over)
            if not rules["lap_opening"].holds(-over):
                wall = plan.walls[opening.wall].name
                place = f"('{wall}' {opening.begin:g} to {opening.end:g})"
                words = f"{name} {_near_words(over, 'over')} {opening.name} {place}"
                failures.append(Failure(words, _clear_words(-over)))
    return Judgement(failures, _nearest_words(clear, "no openings"))


def _clear_limit(key: str) -> Callable[[Frame, RuleSet], str]:
    return lambda frame, rules: f"{rules[key].limit} clear" if rules.value(key) else "clear of it"


def _clear_words(clear: float) -> str:
    return f"{clear:.0f} mm clear" if clear > -1e-6 else f"{-clear:.0f} mm over one another"


def _nearest_words(clear: float, none: str) -> str:
    return none if math.isinf(clear) else f"{clear:.0f} mm clear at the nearest"


def _laps_under_bearings(frame: Frame, rules: RuleSet) -> Judgement:
    plan = frame.plan
    wanted = rules.value("lap_bearing")
    failures, clear = [], math.inf
    for run, side, name in _fixed_sides(frame):
        low, high = min(side.void_low), max(side.void_high)
        for bearing in (item for wall in dict.fromkeys(frame.runs[run].walls) for item in plan.bearings_on(wall)):
            at = on_run(plan, frame.runs[run], bearing.wall, bearing.at)
            begin, end = at - bearing.width / 2, at + bearing.width / 2
            over = _overlap(low, high, begin, end)
            clear = min(clear, -over)
            if not rules["lap_bearing"].holds(-over):
                move = min(end - low, high - begin) + wanted
                wall = plan.walls[bearing.wall].name
                words = (
                    f"{name} {_near_words(over, 'under')} '{bearing.name}' ('{wall}' at {bearing.at:g});"
                    f" the bearing would have to move {move:.0f} mm"
                )
                failures.append(Failure(words, _clear_words(-over)))
    return Judgement(failures, _nearest_words(clear, "no bearings"))


def _timber_wanted(frame: Frame, rules: RuleSet, width: float) -> float:
    return apart_wanted(frame.plan, width) * rules.value("lap_timber")


def _timber_limit(frame: Frame, rules: RuleSet) -> str:
    wanted = sorted({_timber_wanted(frame, rules, run.strip.width) for run in frame.runs})
    return f"at least {' or '.join(f'{value:g}' for value in wanted)} mm"


def _timber_between(frame: Frame, rules: RuleSet) -> Judgement:
    failures, least = [], math.inf
    by_run = sides_by_run([joint.lap for joint in frame.joints], len(frame.runs))
    for run, sides in zip(frame.runs, by_run, strict=True):
        wanted = _timber_wanted(frame, rules, run.strip.width)
        for (one, lap), (other, following) in itertools.pairwise(sides):
            if lap == following:
                continue
            between = least_between(one.void_high, other.void_low)
            least = min(least, between)
            if between < wanted - 1e-6:
                names = f"{frame.joints[lap].id} and {frame.joints[following].id}"
                words = f"{between:.1f} mm between laps {names}, {wanted:g} wanted"
                failures.append(Failure(words, f"{between:.1f} mm"))
        for side, lap in sides:
            if frame.joints[lap].lap.kind == "splice":
                continue
            ends = [] if side.ends_low else [least_between(run.low, side.void_low)]
            ends += [] if side.ends_high else [least_between(side.void_high, run.high)]
            least = min([least, *ends])
            for left in ends:
                if left < wanted - 1e-6:
                    words = f"{left:.1f} mm beyond lap {frame.joints[lap].id} to the plate's end, {wanted:g} wanted"
                    failures.append(Failure(words, f"{left:.1f} mm"))
    return Judgement(failures, "no two laps on a plate" if math.isinf(least) else f"{least:.1f} mm at the least")


def _unlapped(frame: Frame, rules: RuleSet) -> Judgement:
    words = [
        f"plates {frame.letters[one]} and {frame.letters[other]} touch without a lap" for one, other in frame.touching
    ]
    failures = [Failure(place, "no lap") for place in words]
    if len(failures) <= rules.value("plates_lapped"):
        failures = []
    return Judgement(failures, f"{_count(len(frame.joints), 'lap')}, {len(words)} plates that touch without one")


# --- plates


def _overhangs(frame: Frame, rules: RuleSet) -> Judgement:
    failures, most = [], 0.0
    for wall in frame.plan.walls:
        over = max(wall.leaf[0] - wall.band[0], wall.band[1] - wall.leaf[1])
        most = max(most, over)
        if not rules["leaf_overhang"].holds(over):
            words = f"the plate on '{wall.name}' overhangs its leaf by {over:g} mm"
            failures.append(Failure(words, f"{over:g} mm"))
    return Judgement(failures, f"{most:g} mm at most" if most > 1e-6 else "no overhang")


def _length_words(rules: RuleSet) -> str:
    metres, bearings = rules.value("plate_length") / 1000, rules.count("plate_bearings")
    return f"a plate is {metres:g} m long or runs over {bearings} bearings"


def _length_limit(frame: Frame, rules: RuleSet) -> str:
    return f"{rules['plate_length'].limit}, or {rules['plate_bearings'].limit} bearings"


def _short_plates(frame: Frame, rules: RuleSet) -> Judgement:
    plan = frame.plan
    failures = []
    for piece in frame.pieces:
        if piece.length >= rules.value("plate_length"):
            continue
        run = frame.runs[piece.run]
        landed = sum(
            min(piece.low) <= on_run(plan, run, wall, bearing.at) <= max(piece.high)
            for wall in dict.fromkeys(run.walls)
            for bearing in plan.bearings_on(wall)
        )
        if landed < rules.value("plate_bearings"):
            bearings = _count(landed, "bearing") if plan.bearings else "no bearings"
            words = f"{piece.length:.0f} mm, {bearings}"
            failures.append(Failure(f"{piece.mark} {words}", words))
    return Judgement(failures, f"{min(piece.length for piece in frame.pieces):.0f} mm, the shortest plate")


def _section_words(rules: RuleSet) -> str:
    return f"a plate is {rules.value('plate_depth'):g} x {rules.value('plate_width'):g} mm, or as local practice"


def _section_limit(frame: Frame, rules: RuleSet) -> str:
    return f"at least {rules.value('plate_depth'):g} x {rules.value('plate_width'):g} mm, or as local practice"


def _section(frame: Frame, rules: RuleSet) -> Judgement:
    depth = frame.plan.plate.depth
    widths = sorted({run.strip.width for run in frame.runs})
    found = [f"{depth:g} x {width:g} mm" for width in widths]
    failures = [
        Failure(words, words)
        for words, width in zip(found, widths, strict=True)
        if width < rules.value("plate_width") or depth < rules.value("plate_depth")
    ]
    return Judgement(failures, ", ".join(found))


def _unconnected(frame: Frame, rules: RuleSet) -> Judgement:
    """Pieces laid before anything they will be lapped to, apart from the first of each frame."""
    if frame.plan.laying.method == "pairs":
        return Judgement([], "laid in pairs: unders first, as the plan wishes")
    links: dict[int, set[int]] = {index: set() for index in range(len(frame.pieces))}
    for joint in frame.joints:
        links[joint.under].add(joint.over)
        links[joint.over].add(joint.under)
    group = _groups(links)
    started: set[int] = set()
    laid: set[int] = set()
    failures = []
    for index in sorted(links, key=lambda number: frame.pieces[number].order):
        if group[index] in started and not links[index] & laid:
            words = f"{frame.pieces[index].mark} is laid before any plate it is lapped to"
            failures.append(Failure(words, "laid loose"))
        started.add(group[index])
        laid.add(index)
    found = f"{len(failures)} of {_count(len(links), 'plate')} laid loose"
    return Judgement(failures if len(failures) > rules.value("laid_loose") else [], found)


def _groups(links: dict[int, set[int]]) -> dict[int, int]:
    group: dict[int, int] = {}
    for first in links:
        queue = [first] if first not in group else []
        group.setdefault(first, first)
        for index in queue:
            for mate in links[index]:
                if mate not in group:
                    group[mate] = first
                    queue.append(mate)
    return group


# --- boards


def _sizes_known(frame: Frame) -> bool:
    """Whether the plan says anything of the boards' real sizes: else nothing of them can be judged."""
    plate = frame.plan.plate
    return plate.tolerance is not None or plate.moisture is not None


def _jamming(frame: Frame, rules: RuleSet) -> Judgement:
    """Widths of which the standard lets boards be wider than the laps are cut for; measured boards are known."""
    plate, lap = frame.plan.plate, frame.plan.lap
    failures, held = [], ["boards were measured"]
    for width in sorted({run.strip.width for run in frame.runs}):
        if plate.widest is not None and width == plate.width:
            continue
        most = width if plate.tolerance is None else allowed(width, plate.tolerance)[1]
        moisture = REFERENCE_MOISTURE if plate.moisture is None else plate.moisture
        most, cut = at_moisture(most, moisture), width + lap.clearance
        found = f"up to {round(most, 1):g} mm wide in laps cut for {round(cut, 1):g}"
        held.append(found)
        if not rules["board_width"].holds(most - cut):
            boards = f"boards of {width:g}"
            boards += f" of class {plate.tolerance}" if plate.tolerance else ""
            boards += f" at {moisture:g} % moisture" if plate.moisture is not None else ""
            measure = "measure the widest and put it in plate.widest, or " if width == plate.width else ""
            words = f"{boards} may be {round(most, 1):g} wide: they jam in laps cut for {round(cut, 1):g}"
            failures.append(Failure(f"{words}; {measure}raise lap.clearance", found))
    return Judgement(failures, ", ".join(held[1:] or held))


def _board_words(rules: RuleSet) -> str:
    return f"a board leaves {rules.value('board_end'):g} mm to square its ends"


def _tight_boards(frame: Frame, rules: RuleSet) -> Judgement:
    failures, least = [], math.inf
    for board in frame.boards:
        left = math.floor(board.offcut + 1e-6)
        least = min(least, left)
        # in whole mm, rounded down as on the sheets of boards; what is squared off in any case is spare already
        if board.offcut + frame.plan.stock.trim < rules.value("board_end"):
            marks = " + ".join(frame.pieces[index].mark for index in board.pieces)
            words = f"{marks} from {board.length:g} leaves {left} mm; measure the board before it is cut"
            failures.append(Failure(words, f"{left} mm"))
    return Judgement(failures, "no boards" if math.isinf(least) else f"{least:.0f} mm at the least")


def _staggered(frame: Frame) -> list[Verdict]:
    """Splices of neighbours, where the plan wants them staggered."""
    words, source = "splices of neighbouring plates stand apart", "lap.stagger of the plan"
    limit = f"at least {frame.plan.lap.stagger:g} mm"
    found = [
        Verdict(
            words,
            "advice",
            source,
            False,
            f"{one} and {other} {apart:.0f} mm apart, {frame.plan.lap.stagger:g} wanted",
            f"{apart:.0f} mm",
            limit,
        )
        for one, other, apart in clashes(frame)
    ]
    return found or [Verdict(words, "advice", source, True, "", "none nearer", limit)]


def _plain(words: str) -> Callable[[RuleSet], str]:
    return lambda rules: words


_RULES: tuple[_Rule, ...] = (
    _Rule(_plain("no lap over an opening"), "lap_opening", _laps_on_openings, _clear_limit("lap_opening")),
    _Rule(_plain("no lap under a bearing"), "lap_bearing", _laps_under_bearings, _clear_limit("lap_bearing")),
    _Rule(_plain("whole timber between laps"), "lap_timber", _timber_between, _timber_limit),
    _Rule(_plain("the leaf is as wide as setback and plate"), "leaf_overhang", _overhangs),
    _Rule(_length_words, "plate_length", _short_plates, _length_limit),
    _Rule(_section_words, "plate_width", _section, _section_limit),
    _Rule(_plain("plates that meet are lapped"), "plates_lapped", _unlapped),
    _Rule(_plain("each plate is laid onto one that lies"), "laid_loose", _unconnected),
    _Rule(_board_words, "board_end", _tight_boards),
)

_JAMMING = _Rule(_plain("laps are long enough for the widest board"), "board_width", _jamming)
"""Judged where the plan gives a tolerance class or a moisture."""


# --- on the wall


def _bed(frame: Frame, rules: RuleSet) -> list[Verdict]:
    """What the plan lets the bed be, against what is published of bed joints, where levels are given."""
    bed = frame.plan.site.bed
    found = f"{bed.least:g} to {bed.most:g} mm as planned"
    words = f"a bed joint is {rules.value('bed_least'):g} to {rules.value('bed_most'):g} mm thick"
    limit = (
        f"{rules.value('bed_least'):g} to {rules.value('bed_most'):g} mm, of bed joints; of plates none is published"
    )
    good = rules["bed_least"].holds(bed.least) and rules["bed_most"].holds(bed.most)
    failures = [] if good else [Failure(f"site.bed allows {bed.least:g} to {bed.most:g} mm", found)]
    return _verdicts(rules, "bed_most", words, limit, Judgement(failures, found))


def _of_straps(frame: Frame, rules: RuleSet, straps: Strapping) -> list[Verdict]:
    """Straps: how far apart and where they stand, their length, those that are built in already, gables, screws."""
    walls = frame.plan.walls
    found = _spacing(frame, rules, straps)
    asked = {"end": ("strap_end", straps.end), "opening": ("strap_opening", straps.beside)}
    for word, (key, most) in asked.items():
        failures = [
            Failure(
                f"'{walls[lack.wall].name}' {lack.begin:.0f} to {lack.end:.0f}: {lack.asked}; there: {lack.why}",
                "no room",
            )
            for plate in straps.plates
            for lack in plate.shortfalls
            if f"of the {'plate' if word == 'end' else 'opening'}" in lack.asked
        ]
        name = "a plate's end" if word == "end" else "each side of an opening"
        held = Judgement(failures, "a strap at each" if straps.plates else "no plates on the shell's walls")
        found += _verdicts(rules, key, f"a strap stands near {name}", f"at most {most:g} mm", held)
    built = [strap for plate in straps.plates for strap in plate.straps if strap.built]
    failures = [
        Failure(f"the strap built in at '{walls[strap.wall].name}' {strap.at:.0f} stands {fault}", fault)
        for strap in built
        for fault in strap.faults
    ]
    on_plates = {(strap.wall, round(strap.at, 3)) for strap in built}
    failures += [
        Failure(
            f"the strap built in at '{walls[strap.wall].name}' {strap.at:.0f} has no plate of a shell's wall",
            "no plate",
        )
        for strap in frame.plan.site.built
        if (strap.wall, round(strap.at, 3)) not in on_plates
    ]
    if frame.plan.site.built:
        held = Judgement(failures, f"{_count(len(built), 'strap')} built in, all clear")
        words = "straps that are built in are clear of laps, trusses and openings"
        found += _verdicts(rules, "strap_clear", words, "clear", held)
    length = Judgement(
        []
        if rules["strap_length"].holds(straps.length)
        else [Failure(f"site.straps.length {straps.length:g}", f"{straps.length:g} mm")],
        f"{straps.length:g} mm",
    )
    found += _verdicts(
        rules, "strap_length", "a strap at the eaves is long enough", rules["strap_length"].limit, length
    )
    for gable in straps.gables:
        name = walls[gable.wall].name
        wanted = rules.count("lateral_trusses")
        short = gable.reach is None
        held_words = _count(gable.trusses, "truss", "trusses") + " known on the walls beside"
        held = Judgement([Failure(f"'{name}': {held_words}, {wanted} wanted", held_words)] if short else [], held_words)
        spacing = Judgement([], f"{gable.spacing:.0f} mm")
        words, limit = f"lateral straps of '{name}' are near enough", rules["lateral_spacing"].limit
        found += _verdicts(rules, "lateral_spacing", words, limit, spacing)
        words = f"lateral straps of '{name}' run over {wanted} trusses"
        found += _verdicts(rules, "lateral_trusses", words, f"at least {wanted}", held)
    if frame.joints and frame.plan.lap.screws:
        depth = frame.plan.plate.depth
        short_by = rules["screw_short"].limit
        no_screw = straps.screw_length is None
        failures = (
            [Failure(f"no screw as sold suits a depth of {depth:g}; ask the engineer", "none")] if no_screw else []
        )
        held = Judgement(failures, f"{straps.screw_length} mm in {depth:g}")
        found += _verdicts(rules, "screw_short", "screws in laps stop short of the underside", short_by, held)
        edge = rules.value("screw_edge")
        near = [lap for lap in straps.screws if lap.edge < edge - 1e-6]
        failures = [Failure(f"lap {lap.joint}: {lap.edge:.0f} mm from its edges", f"{lap.edge:.0f} mm") for lap in near]
        held = Judgement(failures, f"{edge:g} mm or more")
        found += _verdicts(rules, "screw_edge", "screws keep off a lap's edges", rules["screw_edge"].limit, held)
    return found


def _spacing(frame: Frame, rules: RuleSet, straps: Strapping) -> list[Verdict]:
    """Straps too far apart, by what the plan asks and by the rule set."""
    walls = frame.plan.walls
    most = min(straps.every, rules.value("strap_spacing"))
    failures, worst = [], 0.0
    for plate in straps.plates:
        told = [lack for lack in plate.shortfalls if lack.asked.endswith("apart")]
        failures += [
            Failure(
                f"'{walls[lack.wall].name}' {lack.begin:.0f} to {lack.end:.0f}: {lack.end - lack.begin:.0f} mm apart;"
                f" there: {lack.why}",
                f"{lack.end - lack.begin:.0f} mm",
            )
            for lack in told
        ]
        worst = max([worst, *plate.spacings])
        if not told and plate.spacings and max(plate.spacings) > rules.value("strap_spacing") + 1e-3:
            # the plan asks for fewer straps than the rule set does
            names = " + ".join(f"'{walls[wall].name}'" for wall in plate.walls)
            failures.append(
                Failure(
                    f"{names}: straps up to {max(plate.spacings):.0f} mm apart, as site.straps asks",
                    f"{max(plate.spacings):.0f} mm",
                )
            )
    held = Judgement(failures, f"{worst:.0f} mm at most")
    found = _verdicts(rules, "strap_spacing", "holding-down straps are near enough", f"at most {most:g} mm", held)
    if straps.every < rules.value("strap_spacing"):
        found = [replace(verdict, source="site.straps.every of the plan") for verdict in found]
    return found
