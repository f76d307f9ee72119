"""A plane net of lengths, angles and offsets, adjusted by least squares.

Gauss-Newton on sparse normal equations, the datum by minimal constraints: what is held is taken out of the
unknowns. Units are the caller's own for lengths (the same throughout), degrees for angles; residuals are
adjusted less observed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from platemodel.site.banded import Normal, Numbers
from platemodel.site.readings import XY, Distance, Reading

ROUNDS = 60
SETTLED = 1e-12
"""No unknown moves by more than this part of the net's size: converged."""
STILL = 1e-13
"""Nor does it pay to go on where the sum of squares changes by no more than this part of itself, by rounding."""
UNCHECKED = 1e-6
"""A reading of less redundancy than this is checked by no other."""
NULL = 1e-7
"""A movement that changes no reading by more than this part of itself is not determined."""
NULLS = 24
"""Movements looked for at a time that no reading fixes."""


@dataclass(frozen=True)
class Datum:
    """What is held: points fixed where they start, and points that start on a line and only move along it.

    ``sliding`` gives the unit vector of that line by point.
    """

    fixed: frozenset[str]
    sliding: Mapping[str, XY]


def held(hold: str, along: str, starts: Mapping[str, XY]) -> Datum:
    """The least that a datum needs: one point, and the direction from it to another as they start."""
    (ax, ay), (bx, by) = starts[hold], starts[along]
    size = math.hypot(bx - ax, by - ay)
    return Datum(frozenset((hold,)), {along: ((bx - ax) / size, (by - ay) / size)})


@dataclass(frozen=True)
class Placed:
    """An adjusted point and the standard errors of its coordinates; None where nothing tells of errors."""

    x: float
    y: float
    sx: float | None
    sy: float | None

    @property
    def xy(self) -> XY:
        """Its place."""
        return self.x, self.y


@dataclass(frozen=True)
class Adjusted:
    """A reading after the adjustment: its adjusted value, residual (adjusted less observed) and redundancy number.

    ``standardised`` is the residual over its own standard error, None where no other reading checks it.
    """

    reading: Reading
    value: float
    residual: float
    redundancy: float
    standardised: float | None


@dataclass(frozen=True)
class Net:
    """An adjusted net.

    ``freedom`` counts the readings beyond those needed, ``s0`` is the standard error of unit weight, None where
    there are none beyond. ``known``: the standard errors of the readings are known, and standardised residuals
    are by them alone; otherwise they are only weights, and these are by ``s0`` too. Standard errors of points
    are multiplied by ``s0``, where there is one (see :func:`adjust`).
    """

    points: Mapping[str, Placed]
    readings: tuple[Adjusted, ...]
    freedom: int
    s0: float | None
    known: bool


@dataclass(frozen=True)
class Loose:
    """Points that can move together without any reading noticing, and lengths to add that would fix them."""

    points: tuple[str, ...]
    add: tuple[tuple[str, str], ...]

    @property
    def words(self) -> str:
        """What is missing, and the remedy."""
        names = ", ".join(self.points[:6]) + (" …" if len(self.points) > 6 else "")
        if not self.add:
            # what moves square to every length there could be: all lies in one line
            return f"{names} cannot be determined: measure offsets from the line, or lengths to a point off it"
        lengths = ", ".join(f"from {one} to {other}" for one, other in self.add[:6])
        return f"{names} cannot be determined: add the length {lengths}" + (" …" if len(self.add) > 6 else "")


class NotDeterminedError(Exception):
    """Readings that leave points undetermined."""

    def __init__(self, loose: Loose) -> None:
        self.loose = loose
        super().__init__(loose.words)


class NotSettledError(Exception):
    """Readings that contradict each other so much that no adjustment is found."""


def adjust(
    readings: Sequence[Reading],
    starts: Mapping[str, XY],
    datum: Datum,
    known: bool = True,
    onto: Mapping[str, XY] | None = None,
    least: float = 0.0,
) -> Net:
    """Adjust readings from starting places of all of their points, about a datum.

    ``onto``: the result is moved and turned as one to fit best on these places of at least two points, and
    standard errors are those about that fit. ``least``: those of points are multiplied by this at least, 1 where
    a few readings that agree by luck shall not make them small.

    Raises :class:`NotDeterminedError` or :class:`NotSettledError`.
    """
    work = _Work(readings, starts, datum)
    work.settle()
    normal = Normal(work.design)
    freedom = len(readings) - work.unknowns
    s0 = math.sqrt(max(0.0, float(work.misfit @ work.misfit)) / freedom) if freedom > 0 else None
    rows = work.basis
    if onto is None:
        places = work.places + np.tile(work.origin, len(work.names))
    else:
        places, rows, moves, back = work.fitted(onto)
    variances, used = normal.spreads(rows, work.design)
    if onto is not None:
        # the fit takes shifts and a turn off, as they follow the points onto which it is
        about = normal.solve(back.T)
        variances = variances - 2.0 * ((rows @ about) * moves).sum(axis=1)
        variances += np.einsum("ij,jk,ik->i", moves, back @ about, moves)
    spread = max(s0, least) if s0 is not None else 1.0 if known else None
    deviations = None if spread is None else spread * np.sqrt(np.maximum(0.0, variances))
    points = {}
    for number, name in enumerate(work.names):
        x, y = places[2 * number : 2 * number + 2].tolist()
        points[name] = (
            Placed(x, y, None, None)
            if deviations is None
            else Placed(x, y, float(deviations[2 * number]), float(deviations[2 * number + 1]))
        )
    redundancies = 1.0 - used
    unit = 1.0 if known else s0
    found = []
    for reading, misfit, part in zip(readings, work.misfit.tolist(), redundancies.tolist(), strict=True):
        part = min(1.0, max(0.0, part))
        residual = -misfit * reading.sd
        standard = None
        if part > UNCHECKED and unit is not None and freedom > 0:
            # readings that agree to the last digit have no standard error of their own
            standard = -misfit / (unit * math.sqrt(part)) if unit * work.sds.min() > 1e-12 * work.size else 0.0
        found.append(Adjusted(reading, reading.value + residual, residual, part, standard))
    return Net(points, tuple(found), max(0, freedom), s0, known)


def rigid(places: Mapping[str, XY], onto: Mapping[str, XY]) -> tuple[float, XY, XY]:
    """The movement that sets places best on those of the same points: angle in radians, and the two centres.

    A place p goes to the second centre plus p less the first centre, turned by the angle.
    """
    both = [name for name in onto if name in places]
    own = np.array([places[name] for name in both])
    other = np.array([onto[name] for name in both])
    middle, target = own.mean(axis=0), other.mean(axis=0)
    a, b = own - middle, other - target
    turn = math.atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum()))
    return turn, (float(middle[0]), float(middle[1])), (float(target[0]), float(target[1]))


class _Work:
    """The unknowns of a net on their way to the adjusted ones."""

    def __init__(self, readings: Sequence[Reading], starts: Mapping[str, XY], datum: Datum) -> None:
        from scipy import sparse

        self.readings = readings
        used = {name for reading in readings for name in reading.points} | datum.fixed | set(datum.sliding)
        self.names = [name for name in starts if name in used]
        self.number = {name: place for place, name in enumerate(self.names)}
        places = np.array([starts[name] for name in self.names], dtype=float)
        # far from the origin, digits would be lost
        self.origin = places.mean(axis=0)
        self.places: Numbers = (places - self.origin).ravel()
        self.size = float(np.abs(self.places).max()) or 1.0
        rows, columns, values = [], [], []
        unknowns = 0
        for name, place in self.number.items():
            if name in datum.fixed:
                continue
            vectors = [datum.sliding[name]] if name in datum.sliding else [(1.0, 0.0), (0.0, 1.0)]
            for vector in vectors:
                for axis in (0, 1):
                    rows.append(2 * place + axis)
                    columns.append(unknowns)
                    values.append(vector[axis])
                unknowns += 1
        self.unknowns = unknowns
        self.basis = sparse.csr_matrix((values, (rows, columns)), shape=(2 * len(self.names), unknowns))
        index, pointers = [], [0]
        for reading in readings:
            for name in reading.points:
                index += [2 * self.number[name], 2 * self.number[name] + 1]
            pointers.append(len(index))
        self.index, self.pointers = np.array(index, dtype=int), np.array(pointers, dtype=int)
        self.sds = np.array([reading.sd for reading in readings])
        self.look()

    def look(self) -> None:
        """Work out misfits (observed less computed) and derivatives at the places, both over standard errors."""
        from scipy import sparse

        misfits, slopes = [], []
        at = [(x, y) for x, y in self.places.reshape(-1, 2).tolist()]
        for reading in self.readings:
            value, parts = reading.model([at[self.number[name]] for name in reading.points])
            misfits.append((reading.value - value) / reading.sd)
            slopes += [part / reading.sd for part in parts]
        self.misfit: Numbers = np.array(misfits, dtype=float)
        shape = (len(self.readings), 2 * len(self.names))
        self.design = (sparse.csr_matrix((slopes, self.index, self.pointers), shape=shape) @ self.basis).tocsr()

    def settle(self) -> None:
        """Move the unknowns until the sum of squares is least."""
        self._judge()
        begun, cost = self.misfit, float(self.misfit @ self.misfit)
        for turn in range(ROUNDS):
            try:
                step = self.basis @ Normal(self.design).solve(self.design.T @ self.misfit)
            except RuntimeError:
                break
            if not np.isfinite(step).all():
                break
            before, part = self.places, 1.0
            while True:
                self.places = before + part * step
                self.look()
                now = float(self.misfit @ self.misfit)
                reach = float(np.abs(step).max(initial=0.0)) * part
                still = abs(now - cost) <= STILL * cost and reach <= 1e-7 * self.size
                small = still or reach <= SETTLED * self.size
                if now <= cost * (1.0 + 1e-12) + 1e-24 or small or part < 1e-6:
                    break
                part /= 2.0
            cost = now
            if small or part < 1e-6:
                if turn:
                    self._judge()
                return
        worst = self.readings[int(np.abs(begun).argmax())]
        raise NotSettledError(
            f"the readings contradict each other too much to be adjusted: check them for slips, first {worst.words}"
        )

    def fitted(self, onto: Mapping[str, XY]) -> tuple[Numbers, Any, Numbers, Numbers]:
        """The places fitted onto others, and how they follow the unknowns.

        That is by turned rows, less what shifts and a turn do to every place times how these follow the unknowns.
        """
        from scipy import sparse

        own = {
            name: (float(self.places[2 * place]), float(self.places[2 * place + 1]))
            for name, place in self.number.items()
        }
        turn, middle, target = rigid(own, onto)
        cos, sin = math.cos(turn), math.sin(turn)
        spin = np.array([[cos, -sin], [sin, cos]])
        places = ((self.places.reshape(-1, 2) - middle) @ spin.T + target).ravel()
        count = len(self.names)
        turned = (sparse.block_diag([spin] * count, format="csr") @ self.basis).tocsr()
        moves = np.zeros((2 * count, 3))
        moves[0::2, 0] = moves[1::2, 1] = 1.0
        moves[0::2, 2], moves[1::2, 2] = -(places[1::2] - target[1]), places[0::2] - target[0]
        moves[:, 2] /= self.size
        chosen = np.repeat([name in onto for name in self.names], 2)
        weight = np.where(chosen[:, None], moves, 0.0)
        back = np.linalg.solve(weight.T @ moves, weight.T)
        return places, turned, moves, back @ turned

    def _judge(self) -> None:
        """Find what the readings leave free, and what would fix it."""
        if not self.unknowns:
            return
        from scipy import sparse

        scale = np.sqrt(np.asarray(self.design.multiply(self.design).sum(axis=0)).ravel())
        reach = scale.max(initial=0.0) or 1.0
        scale = np.where(scale > NULL * reach, scale, reach)
        scaled = (self.design @ sparse.diags(1.0 / scale)).tocsr()
        normal = Normal(scaled, 1e-12)
        random = np.random.default_rng(1)
        one = random.standard_normal(self.unknowns)
        for _ in range(5):
            one = normal.solve(one)
            one /= float(np.abs(one).max())
        if np.linalg.norm(scaled @ one) > NULL * np.linalg.norm(one):
            return
        trial = random.standard_normal((self.unknowns, min(self.unknowns, NULLS)))
        for _ in range(6):
            trial, _ = np.linalg.qr(normal.solve(trial))
        _, sizes, turned = np.linalg.svd(scaled @ trial, full_matrices=True)
        sizes = np.concatenate([sizes, np.zeros(trial.shape[1] - len(sizes))])
        free = trial @ turned[sizes < NULL].T
        if free.shape[1]:
            raise NotDeterminedError(self._loose(self.basis @ (free / scale[:, None])))

    def _loose(self, moves: Numbers) -> Loose:
        moves = moves / np.abs(moves).max(axis=0)
        shifts = np.abs(moves).reshape(len(self.names), 2, -1).max(axis=(1, 2))
        loose = [name for name, shift in zip(self.names, shifts.tolist(), strict=True) if shift > 1e-3]
        at = self.places.reshape(-1, 2)
        pairs = list(self._pairs(loose))
        add = []
        while moves.shape[1] and pairs:
            by = moves.reshape(len(self.names), 2, -1)
            one, other = np.array([[self.number[a], self.number[b]] for a, b in pairs]).T
            ways = at[other] - at[one]
            sizes = np.maximum(np.hypot(ways[:, 0], ways[:, 1]), 1e-9 * self.size)
            slopes = np.einsum("pi,pik->pk", ways / sizes[:, None], by[other] - by[one])
            strength = np.linalg.norm(slopes, axis=1)
            best = int(strength.argmax())
            if strength[best] < 1e-3:
                break
            add.append(pairs[best])
            # what is left free once that length is known
            _, _, basis = np.linalg.svd(slopes[best : best + 1], full_matrices=True)
            moves = moves @ basis[1:].T
            if moves.shape[1]:
                moves = moves / np.abs(moves).max(axis=0)
        return Loose(tuple(loose), tuple(add))

    def _pairs(self, loose: Sequence[str]) -> Iterator[tuple[str, str]]:
        """Lengths that could be added: from loose points to all others, those not read yet."""
        read = {frozenset(reading.points) for reading in self.readings if isinstance(reading, Distance)}
        done = set()
        for one in loose[:30]:
            for other in self.names[:300]:
                key = frozenset((one, other))
                if one != other and key not in read and key not in done:
                    done.add(key)
                    yield one, other
