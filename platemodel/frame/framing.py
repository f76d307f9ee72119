"""Decide the frame: from a plan to runs, laps, splices, halves, pieces, types and boards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from platemodel.faults import Fault
from platemodel.frame import laying, pieces
from platemodel.frame.bands import bands
from platemodel.frame.boards import boards
from platemodel.frame.laps import Lap, Side, gap_expected, laps, sides_by_run, splice_lap
from platemodel.frame.marks import piece_mark, run_letter
from platemodel.frame.pieces import Timber, divide, laid_shape, walls_of
from platemodel.frame.runs import Run, on_run, run_at, runs
from platemodel.frame.saving import MANY, choose, least_cost, wished_lengths
from platemodel.frame.shape import Shape, Turn, turned_lines
from platemodel.frame.splices import MOST_WAYS, Stretch, splice_rules, stretches
from platemodel.frame.strip import Point, shifted
from platemodel.frame.timber import mass
from platemodel.frame.types import types
from platemodel.frame.values import Board, Frame, Half, Joint, Piece, Purchase, Type
from platemodel.plan.values import Plan

ALL_WAYS = 12_000
"""Ways to lengthen runs that are looked at in all."""


def decide(plan: Plan) -> Frame:
    """Decide the frame of a plan.

    Raises :class:`~platemodel.faults.PlanError` with every fault found, where it cannot be built.
    """
    found, faults = bands(plan)
    if not found and not faults:
        faults.append(plan.fault(("gap",), "the gaps leave no plate anywhere", "expected at least one plate"))
    lines, more = runs(plan, found)
    faults += more
    if faults:
        raise plan.error(*faults)
    lines, fixed, touching, faults = laps(plan, lines)
    if faults:
        raise plan.error(*faults)
    ranks = laying.wall_ranks(plan)
    sides = sides_by_run(fixed, len(lines))
    turned = [
        run.turned() if _backward(plan, index, lines, fixed, sides[index], ranks) else run
        for index, run in enumerate(lines)
    ]
    lines, fixed, touching, _ = laps(plan, turned)
    ways: list[Frame] = []
    for alike in (False, True):
        joints, bounds, faults = _with_splices(plan, lines, fixed, alike)
        if faults:
            raise plan.error(*faults)
        ways.append(_assemble(plan, lines, joints, touching, bounds))
        if len(joints) == len(fixed) or len(ways[0].pieces) > MANY or plan.stock.ready or not plan.stock.effort:
            break
    # of what costs the same, the fewer kinds of piece
    return min(ways, key=lambda frame: (sum(how.cost for how in frame.purchases), len(frame.boards), len(frame.types)))


def _backward(
    plan: Plan,
    index: int,
    lines: Sequence[Run],
    fixed: Sequence[Lap],
    sides: Sequence[tuple[Side, int]],
    ranks: Sequence[int],
) -> bool:
    """Whether a run should be run through the other way.

    The sense must not depend on how the walls were drawn: it is read off what lies along the run.
    """
    run = lines[index]
    marks: list[tuple[float, float, int]] = []
    for side, number in sides:
        mate = next(other.run for other in fixed[number].sides if other.run != index)
        marks.append((min(side.low), max(side.high), min(ranks[wall] for wall in lines[mate].walls)))
    for wall in dict.fromkeys(run.walls):
        for opening in plan.openings_on(wall):
            low, high = sorted(on_run(plan, run, wall, at) for at in (opening.begin, opening.end))
            marks.append((low, high, len(ranks)))
        for bearing in plan.bearings_on(wall):
            at = on_run(plan, run, wall, bearing.at)
            marks.append((at - bearing.width / 2, at + bearing.width / 2, len(ranks) + 1))
    for splice in plan.splices:
        if splice.wall in run.walls and run_at(plan, lines, splice.wall, splice.at) == index:
            at = on_run(plan, run, splice.wall, splice.at)
            marks.append((at, at, len(ranks) + 2))
    low, high = min(run.low), max(run.high)
    ends = (run.low[0] - low, run.low[1] - low), (high - run.high[1], high - run.high[0])
    forward = sorted((round(a - low, 2), round(b - low, 2), rank) for a, b, rank in marks)
    backward = sorted((round(high - b, 2), round(high - a, 2), rank) for a, b, rank in marks)
    if forward != backward:
        return backward < forward
    here, there = ([round(x, 2) for x in end] for end in ends)
    return there < here


def _with_splices(
    plan: Plan, lines: Sequence[Run], fixed: Sequence[Lap], alike: bool
) -> tuple[list[Lap], dict[float, float], list[Fault]]:
    """The fixed laps and, after them, the splices run by run; and by plate width what boards come to at least.

    ``alike``: pieces of one run that are as long as each other are looked at too.
    """
    found = list(fixed)
    faults: list[Fault] = []
    asked: dict[int, list[tuple[float, tuple[str | int, ...]]]] = {}
    for splice in plan.splices:
        index = run_at(plan, lines, splice.wall, splice.at)
        if index is None:
            name = plan.walls[splice.wall].name
            faults.append(
                plan.fault(splice.path, f"no plate lies at {splice.at:g} of '{name}'", "expected a place with one")
            )
        else:
            asked.setdefault(index, []).append((on_run(plan, lines[index], splice.wall, splice.at), splice.path))
    sides = [[side for side, _ in some] for some in sides_by_run(fixed, len(lines))]
    plain: list[list[Stretch]] = []
    middles: list[list[float]] = []
    for index, run in enumerate(lines):
        some, wanted, more = stretches(plan, run, sides[index], asked.get(index, []))
        faults += more
        plain.append(some)
        middles.append(wanted)
    if faults:
        return [], {}, faults
    bounds = {}
    widths = [run.strip.width for run in lines]
    for width in sorted(set(widths)):
        runs_of = [index for index, wide in enumerate(widths) if wide == width]
        free = [index for index in runs_of if any(stretch.ways != ((),) for stretch in plain[index])]
        standing = [
            length
            for index in runs_of
            for stretch in plain[index]
            if stretch.ways == ((),)
            for length in stretch.lengths(0)
        ]
        bounds[width] = least_cost(standing, [one for i in free for one in plain[i] if one.ways != ((),)], plan.stock)
        wished = wished_lengths(plan.stock, standing)
        most = max(8, min(MOST_WAYS, ALL_WAYS // max(1, len(free))))
        loose = [
            (index, stretch)
            for index in free
            for stretch in (
                stretches(plan, lines[index], sides[index], asked.get(index, []), wished, alike, most)[0]
                if wished
                else plain[index]
            )
            if stretch.ways != ((),)
        ]
        for (index, stretch), way in zip(loose, choose(standing, [one for _, one in loose], plan.stock), strict=True):
            middles[index] += stretch.ways[way]
    for index, run in enumerate(lines):
        rules = splice_rules(plan, run)
        found += [splice_lap(index, run, middle, rules.length, rules.clearance) for middle in sorted(middles[index])]
    return found, bounds, faults


def _assemble(
    plan: Plan,
    lines: Sequence[Run],
    joints: Sequence[Lap],
    touching: Sequence[tuple[int, int]],
    bounds: Mapping[float, float],
) -> Frame:
    on_run_sides: list[list[tuple[int, int]]] = [[] for _ in lines]
    for index, lap in enumerate(joints):
        for number, side in enumerate(lap.sides):
            on_run_sides[side.run].append((index, number))
    timbers = [timber for run in range(len(lines)) for timber in divide(run, lines, joints, on_run_sides[run])]
    owner = {item: number for number, timber in enumerate(timbers) for item in timber.sides}
    mates = {(index, number): owner[(index, 1 - number)] for index, number in owner}
    ways = [
        _Laid.of(plan, lines, timbers, joints, mates, order) for order in _orders(plan, lines, timbers, joints, mates)
    ]
    # of the orders that the method leaves free, one with the fewest kinds of piece
    laid = min(ways, key=lambda way: len(way.solids))
    laid_at, unders, shapes = laid.at, laid.unders, laid.shapes
    solids, of_piece, turns = laid.solids, laid.of_piece, laid.turns
    origin = _least_corner(lines, timbers, shapes)
    letters = _letters(lines)
    found = []
    for number, timber in enumerate(timbers):
        run, shape, turn = lines[timber.run], shapes[number], turns[number]
        vertices, faces = pieces.in_building(shape, timber, run, origin)
        found.append(
            Piece(
                mark=piece_mark(letters[timber.run], timber.number),
                run=timber.run,
                walls=tuple(plan.walls[wall].name for wall in walls_of(timber, run)),
                low=timber.low,
                high=timber.high,
                type=of_piece[number],
                turn=turn,
                shape=solids[of_piece[number]],
                laid=shape,
                halves=tuple(_halves(timber, shape, joints, unders[number], mates, turn)),
                order=laid_at[number],
                place=pieces.place(shape, timber, run, turn, origin),
                mass=mass(shape.volume, plan.plate.grade),
                vertices=tuple(vertices),
                faces=tuple(faces),
            )
        )
    made, purchases = _boards(found, plan, bounds)
    return Frame(
        plan=plan,
        runs=tuple(lines),
        letters=tuple(letters),
        pieces=tuple(found),
        joints=tuple(_joints(plan, lines, joints, owner, laid_at, [piece.mark for piece in found], origin)),
        types=tuple(
            Type(f"T{kind + 1}", solid, tuple(n for n, of in enumerate(of_piece) if of == kind))
            for kind, solid in enumerate(solids)
        ),
        boards=made,
        purchases=purchases,
        touching=tuple(touching),
        origin=origin,
    )


@dataclass(frozen=True)
class _Laid:
    """What follows from a laying order: its numbers, each timber's halves, the shapes, and their types."""

    at: dict[int, int]
    unders: list[list[bool]]
    shapes: list[Shape]
    solids: list[Shape]
    of_piece: list[int]
    turns: list[Turn]

    @staticmethod
    def of(
        plan: Plan,
        lines: Sequence[Run],
        timbers: Sequence[Timber],
        joints: Sequence[Lap],
        mates: dict[tuple[int, int], int],
        order: Sequence[int],
    ) -> _Laid:
        """Lay timbers in an order; of two mates the first has the under half."""
        at = {timber: position for position, timber in enumerate(order, start=1)}
        unders = [[at[number] < at[mates[item]] for item in timber.sides] for number, timber in enumerate(timbers)]
        shapes = [
            laid_shape(timber, lines[timber.run], joints, under, plan.plate.depth)
            for timber, under in zip(timbers, unders, strict=True)
        ]
        return _Laid(at, unders, shapes, *types(shapes))


def _boards(
    found: Sequence[Piece], plan: Plan, bounds: Mapping[float, float]
) -> tuple[tuple[Board, ...], tuple[Purchase, ...]]:
    """Boards for all pieces; plates of one width are not cut from boards of another."""
    by_width: dict[float, list[int]] = {}
    for index, piece in enumerate(found):
        by_width.setdefault(piece.laid.width, []).append(index)
    made: list[Board] = []
    purchases = []
    for width, group in sorted(by_width.items()):
        some, how = boards([found[index].length for index in group], width, plan.stock)
        made += [replace(board, pieces=tuple(group[index] for index in board.pieces)) for board in some]
        purchases.append(replace(how, anywhere=min(bounds[width], how.cost)))
    return tuple(made), tuple(purchases)


def _orders(
    plan: Plan,
    lines: Sequence[Run],
    timbers: Sequence[Timber],
    joints: Sequence[Lap],
    mates: dict[tuple[int, int], int],
) -> list[list[int]]:
    """Timbers in laying order; in several where the method leaves it free."""
    run_links: list[list[int]] = [[] for _ in lines]
    for lap in joints:
        one, other = lap.sides[0].run, lap.sides[1].run
        if one != other:
            run_links[one].append(other)
            run_links[other].append(one)
    links = [sorted({mates[item] for item in timber.sides}) for timber in timbers]
    run_pieces: list[list[int]] = [[] for _ in lines]
    for number, timber in enumerate(timbers):
        run_pieces[timber.run].append(number)
    sequence = laying.run_order(plan, [run.walls for run in lines], run_links)
    order = laying.piece_order([run_pieces[run] for run in sequence], links)
    if plan.laying.method != "pairs":
        return [order]
    ways = laying.pairs_orders(order, links)
    faults = laying.judge_pairs(plan, ways[0], [lines[timber.run].walls for timber in timbers])
    if faults:
        raise plan.error(*faults)
    # what the user has put first stays first
    return ways[:1] if plan.laying.order or plan.laying.start is not None else ways


def _halves(
    timber: Timber,
    shape: Shape,
    joints: Sequence[Lap],
    unders: Sequence[bool],
    mates: dict[tuple[int, int], int],
    turn: Turn,
) -> list[Half]:
    """A timber's halves in order along the piece frame."""
    base = -min(timber.low)
    found = []
    for item, under in zip(timber.sides, unders, strict=True):
        side = joints[item[0]].sides[item[1]]
        low, high = turned_lines(shifted(side.void_low, base), shifted(side.void_high, base), turn, shape.length)
        found.append(Half(item[0], joints[item[0]].kind, under, mates[item], low, high, side.ends))
    return found[::-1] if turn.round else found


def _least_corner(lines: Sequence[Run], timbers: Sequence[Timber], shapes: Sequence[Shape]) -> Point:
    corners = [
        vertex
        for timber, shape in zip(timbers, shapes, strict=True)
        for vertex in pieces.in_building(shape, timber, lines[timber.run], (0.0, 0.0))[0]
    ]
    return min(x for x, _, _ in corners), min(y for _, y, _ in corners)


def _letters(lines: Sequence[Run]) -> list[str]:
    """A letter a run, in the order of the runs' first walls in the plan."""
    order = sorted(range(len(lines)), key=lambda run: (min(lines[run].walls), run))
    letters = [""] * len(lines)
    for number, run in enumerate(order):
        letters[run] = run_letter(number)
    return letters


def _joints(
    plan: Plan,
    lines: Sequence[Run],
    joints: Sequence[Lap],
    owner: dict[tuple[int, int], int],
    laid_at: dict[int, int],
    marks: Sequence[str],
    origin: Point,
) -> list[Joint]:
    found = []
    for index, lap in enumerate(joints):
        one, other = owner[(index, 0)], owner[(index, 1)]
        under, over = (one, other) if laid_at[one] < laid_at[other] else (other, one)
        x, y = lap.middle
        found.append(
            Joint(
                id=f"{marks[under]}-{marks[over]}",
                lap=lap,
                under=under,
                over=over,
                at=(x - origin[0], y - origin[1]),
                outline=tuple((px - origin[0], py - origin[1]) for px, py in lap.outline),
                gap_expected=gap_expected(plan, lap, lines),
            )
        )
    return found


__all__ = ["decide"]
