"""Rules of plates: the leaf and the bed under them, their lengths and section, the order they are laid in."""

from __future__ import annotations

from platemodel.faults import counted
from platemodel.frame.runs import on_run
from platemodel.frame.values import Frame
from platemodel.site.judgements import Failure, Judgement, judged
from platemodel.site.rule_set import RuleSet


def overhangs(frame: Frame, rules: RuleSet) -> Judgement:
    """By design the leaf is as wide as setback and plate; how plates stand as built is a rule of its own."""
    figure = rules["leaf_overhang"]
    failures, most = [], 0.0
    for wall in frame.plan.walls:
        over = max(wall.leaf[0] - wall.band[0], wall.band[1] - wall.leaf[1])
        most = max(most, over)
        if not figure.holds(over):
            words = f"the plate on '{wall.name}' overhangs its leaf by {over:g} mm"
            failures.append(Failure(words, f"{over:g} mm"))
    held = f"{most:g} mm at most by design" if most > 1e-6 else "none overhangs by design"
    return judged(figure, "by design the leaf is as wide as setback and plate", failures, held)


def bed(frame: Frame, rules: RuleSet) -> Judgement:
    """What the plan lets the bed be, against what is published of bed joints."""
    wish = frame.plan.site.bed
    least, most = rules["bed_least"], rules["bed_most"]
    found = f"{wish.least:g} to {wish.most:g} mm as planned"
    good = least.holds(wish.least) and most.holds(wish.most)
    failures = [] if good else [Failure(f"site.bed allows {wish.least:g} to {wish.most:g} mm", found)]
    thick = f"{least.value:g} to {most.value:g} mm"
    limit = f"{thick}, of bed joints; of plates none is published"
    return judged(most, f"a bed joint is {thick} thick", failures, found, limit)


def short_plates(frame: Frame, rules: RuleSet) -> Judgement:
    """A plate is long enough, or runs over bearings enough."""
    plan, length, least = frame.plan, rules["plate_length"], rules.count("plate_bearings")
    failures = []
    for piece in frame.pieces:
        if piece.length >= length.value:
            continue
        run = frame.runs[piece.run]
        landed = sum(
            min(piece.low) <= on_run(plan, run, wall, bearing.at) <= max(piece.high)
            for wall in dict.fromkeys(run.walls)
            for bearing in plan.bearings_on(wall)
        )
        if landed < least:
            bearings = counted(landed, "bearing") if plan.bearings else "no bearings"
            words = f"{piece.length:.0f} mm, {bearings}"
            failures.append(Failure(f"{piece.mark} {words}", words))
    words = f"a plate is {length.value / 1000:g} m long or runs over {least} bearings"
    held = f"{min(piece.length for piece in frame.pieces):.0f} mm, the shortest plate"
    return judged(length, words, failures, held, f"{length.limit}, or {rules['plate_bearings'].limit} bearings")


def section(frame: Frame, rules: RuleSet) -> Judgement:
    """A plate is thick and wide enough."""
    least = f"{rules.value('plate_depth'):g} x {rules.value('plate_width'):g} mm, or as local practice"
    depth = frame.plan.plate.depth
    widths = sorted({run.strip.width for run in frame.runs})
    found = [f"{depth:g} x {width:g} mm" for width in widths]
    failures = [
        Failure(words, words)
        for words, width in zip(found, widths, strict=True)
        if width < rules.value("plate_width") or depth < rules.value("plate_depth")
    ]
    return judged(rules["plate_width"], f"a plate is {least}", failures, ", ".join(found), f"at least {least}")


def laid_loose(frame: Frame, rules: RuleSet) -> Judgement:
    """Each plate is laid onto one that lies, apart from the first of each frame."""
    figure, rule = rules["laid_loose"], "each plate is laid onto one that lies"
    if frame.plan.laying.method == "pairs":
        return judged(figure, rule, [], "laid in pairs: unders first, as the plan wishes")
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
    found = f"{len(failures)} of {counted(len(links), 'plate')} laid loose"
    return judged(figure, rule, failures if len(failures) > figure.value else [], found)


def _groups(links: dict[int, set[int]]) -> dict[int, int]:
    """The first piece of the frame that each belongs to, by the pieces each is lapped to."""
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
