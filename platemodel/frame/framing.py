"""Decide the frame: from a plan to runs, laps, splices, halves, pieces, types and boards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from platemodel.faults import PlanError
from platemodel.frame import laying, pieces
from platemodel.frame.bands import bands
from platemodel.frame.boards import boards
from platemodel.frame.laps import Lap, Side, gap_expected, laps, sides_by_run
from platemodel.frame.marks import piece_mark, run_letter
from platemodel.frame.pieces import Timber, divide, laid_shape, walls_of
from platemodel.frame.placing import Placing
from platemodel.frame.runs import Run, on_run, run_at, runs
from platemodel.frame.saving import MANY
from platemodel.frame.shape import Shape, Turn, turned_lines
from platemodel.frame.strip import Point, shifted
from platemodel.frame.timber import mass
from platemodel.frame.types import kinds, types
from platemodel.frame.values import Board, Frame, Half, Joint, Piece, Purchase, Type
from platemodel.plan.values import Plan


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
    placing, faults = Placing.of(plan, lines, fixed)
    if faults:
        raise plan.error(*faults)
    ways = []
    for alike in (False, True):
        groups = placing.options(alike)
        taken = placing.chosen(groups)
        frame = _assemble(plan, lines, placing.laps(groups, taken), touching, placing.bounds)
        ways.append((frame, groups, taken))
        if not placing.free or len(frame.pieces) > MANY:
            break
    frame, groups, taken = min(ways, key=lambda way: _rank(way[0]))
    if len(frame.pieces) > MANY:
        return replace(frame, fewest=frame.fewest and not placing.free)
    # among the most ways that there are, if those taken are among them
    many, begin, most = placing.among(ways[-1][1], groups, taken)
    few, every = placing.fewer(many, begin, lambda some: _kinds(plan, lines, placing.laps(many, some)))
    if few != begin:
        other = _assemble(plan, lines, placing.laps(many, few), touching, placing.bounds)
        # what first fit holds for as cheap may be dearer
        every = every and _rank(other) < _rank(frame)
        frame = min(frame, other, key=_rank)
    return replace(frame, fewest=most and every and frame.fewest)


def relaid(frame: Frame, method: str) -> Frame | None:
    """The same pieces laid by another method; None where that cannot honour the order the user gave.

    Splices and boards are the frame's own.
    """
    plan = replace(frame.plan, laying=replace(frame.plan.laying, method=method))
    if method == frame.plan.laying.method:
        return frame
    laps_of = [joint.lap for joint in frame.joints]
    try:
        found = _assemble(plan, frame.runs, laps_of, frame.touching, {}, (frame.boards, frame.purchases))
    except PlanError:
        return None
    # splices were not placed with this method in mind
    return replace(found, fewest=found.fewest and not any(lap.kind == "splice" for lap in laps_of))


def _rank(frame: Frame) -> tuple[float, int, int]:
    """How good a frame is: what its boards come to, how many they are, and how many kinds of piece there are."""
    return round(sum(how.cost for how in frame.purchases), 6), len(frame.boards), len(frame.types)


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


@dataclass(frozen=True)
class _Divided:
    """Runs divided at their splices: the timbers, which timber has which side of a lap, and each side's mate."""

    timbers: list[Timber]
    owner: dict[tuple[int, int], int]
    mates: dict[tuple[int, int], int]

    @staticmethod
    def of(lines: Sequence[Run], joints: Sequence[Lap]) -> _Divided:
        """Divide runs at the splices among their laps."""
        on_run_sides: list[list[tuple[int, int]]] = [[] for _ in lines]
        for index, lap in enumerate(joints):
            for number, side in enumerate(lap.sides):
                on_run_sides[side.run].append((index, number))
        timbers = [timber for run in range(len(lines)) for timber in divide(run, lines, joints, on_run_sides[run])]
        owner = {item: number for number, timber in enumerate(timbers) for item in timber.sides}
        mates = {(index, number): owner[(index, 1 - number)] for index, number in owner}
        return _Divided(timbers, owner, mates)

    def laid(self, plan: Plan, lines: Sequence[Run], joints: Sequence[Lap]) -> tuple[_Laid, bool]:
        """Lay the timbers in the order of those that the method leaves free which has the fewest kinds of piece.

        And whether every order that it leaves free was looked at.
        """
        orders, every = _orders(plan, lines, self.timbers, joints, self.mates)
        ways = (_Laid.of(plan, lines, self.timbers, joints, self.mates, order) for order in orders)
        return min(ways, key=lambda way: len(way.solids)), every


def _kinds(plan: Plan, lines: Sequence[Run], joints: Sequence[Lap]) -> int:
    """How many kinds of piece a frame with these laps has."""
    divided = _Divided.of(lines, joints)
    timbers, mates = divided.timbers, divided.mates
    orders, _ = _orders(plan, lines, timbers, joints, mates)
    return min(len(kinds(_shapes(plan, lines, timbers, joints, mates, order)[2])) for order in orders)


def _assemble(
    plan: Plan,
    lines: Sequence[Run],
    joints: Sequence[Lap],
    touching: Sequence[tuple[int, int]],
    bounds: Mapping[float, float],
    cut: tuple[tuple[Board, ...], tuple[Purchase, ...]] | None = None,
) -> Frame:
    """A frame of runs and laps; ``cut`` are its boards where they are known."""
    divided = _Divided.of(lines, joints)
    timbers, owner, mates = divided.timbers, divided.owner, divided.mates
    laid, fewest = divided.laid(plan, lines, joints)
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
    made, purchases = _boards(found, plan, bounds) if cut is None else cut
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
        fewest=fewest,
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
        """Lay timbers in an order."""
        at, unders, shapes = _shapes(plan, lines, timbers, joints, mates, order)
        return _Laid(at, unders, shapes, *types(shapes))


def _shapes(
    plan: Plan,
    lines: Sequence[Run],
    timbers: Sequence[Timber],
    joints: Sequence[Lap],
    mates: dict[tuple[int, int], int],
    order: Sequence[int],
) -> tuple[dict[int, int], list[list[bool]], list[Shape]]:
    """Each timber's laying number, which of its halves are under, and its shape; of two mates the first lies under."""
    at = {timber: position for position, timber in enumerate(order, start=1)}
    unders = [[at[number] < at[mates[item]] for item in timber.sides] for number, timber in enumerate(timbers)]
    shapes = [
        laid_shape(timber, lines[timber.run], joints, under, plan.plate.depth)
        for timber, under in zip(timbers, unders, strict=True)
    ]
    return at, unders, shapes


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
) -> tuple[list[list[int]], bool]:
    """Timbers in laying order; in several where the method leaves it free, and whether these are all."""
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
        return [order], True
    ways, every = laying.pairs_orders(order, links)
    faults = laying.judge_pairs(plan, ways[0], [lines[timber.run].walls for timber in timbers])
    if faults:
        raise plan.error(*faults)
    # what the user has put first stays first
    return (ways[:1], True) if plan.laying.order or plan.laying.start is not None else (ways, every)


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


__all__ = ["decide", "relaid"]
