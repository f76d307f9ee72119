"""From a shell as written to its legs: walks walked, outlines judged, the inside found."""

from __future__ import annotations

import math
from collections.abc import Sequence

from platemodel.faults import Fault, KeyPath
from platemodel.plan.model import Shell
from platemodel.plan.values import Point, Wall

SAME_POINT = 1.0
"""Corners nearer than this are one corner, and a walk that misses its start by less closes, mm."""


def corners_of(shell: Shell, path: KeyPath) -> tuple[list[Point], list[Fault]]:
    """The corners of a shell, from ``corners`` or ``walk``, without a repeated last one."""
    if (shell.corners is None) == (shell.walk is None):
        found = "neither corners nor walk" if shell.corners is None else "both corners and walk"
        return [], [Fault(path, f"found {found}", "expected one of the two")]
    if shell.corners is not None:
        for key in ("start", "heading"):
            if getattr(shell, key) is not None:
                return [], [Fault((*path, key), "found beside corners", "expected only with walk")]
        points: list[Point] = [(x, y) for x, y in shell.corners]
        if shell.closed and len(points) > 3 and math.dist(points[0], points[-1]) < SAME_POINT:
            points.pop()
        return points, []
    return _walked(shell, path)


def _walked(shell: Shell, path: KeyPath) -> tuple[list[Point], list[Fault]]:
    here = (*path, "walk")
    x, y = shell.start if shell.start is not None else (0.0, 0.0)
    heading = shell.heading or 0.0
    points: list[Point] = [(x, y)]
    for index, step in enumerate(shell.walk or []):
        if index % 2 == 0:
            if isinstance(step, str) or step <= 0:
                return [], [
                    Fault((*here, index), f"found {step!r}", "expected a length in mm: lengths and turns alternate")
                ]
            radians = math.radians(heading % 360)
            x, y = x + step * _clean(math.cos(radians)), y + step * _clean(math.sin(radians))
            points.append((x, y))
        elif isinstance(step, str):
            heading += 90.0 if step == "L" else -90.0
        elif abs(step) >= 180:
            return [], [Fault((*here, index), f"found {step:g}", "expected a turn between -180 and 180 degrees")]
        else:
            heading += step
    if len(shell.walk or []) % 2 == 0 and not shell.closed:
        # round a closed shell a last turn, back onto the first heading, is what a person may add
        return [], [Fault(here, "the walk ends with a turn", "expected a length last")]
    if shell.closed:
        miss = math.dist(points[0], points[-1])
        if miss > SAME_POINT:
            dx, dy = points[0][0] - points[-1][0], points[0][1] - points[-1][1]
            found = f"the walk ends {miss:.1f} mm from its start ({dx:+.1f} east, {dy:+.1f} north are missing)"
            return [], [Fault(here, found, "expected a walk back to its start, within 1 mm, or closed = false")]
        points.pop()
    return points, []


def _clean(ratio: float) -> float:
    """A right-angled walk shall give right-angled corners: drop the dust of sine and cosine."""
    return float(round(ratio)) if abs(ratio - round(ratio)) < 1e-15 * 4 else ratio


def judge_outline(points: Sequence[Point], closed: bool, path: KeyPath, names: Sequence[str]) -> list[Fault]:
    """Faults of an outline's shape: too few corners, corners on one another, crossing, collapsed."""
    from shapely import LineString, Polygon

    need = 3 if closed else 2
    if len(points) < need:
        kind = "closed" if closed else "open"
        return [Fault(path, f"found {len(points)} corners", f"expected at least {need} for a {kind} shell")]
    following = [*points[1:], points[0]] if closed else list(points[1:])
    faults = [
        Fault(
            path,
            f"'{name}' begins and ends at the same point, ({x:.10g}, {y:.10g}), within {SAME_POINT:g} mm",
            "expected each corner once",
        )
        for (x, y), there, name in zip(points, following, names, strict=False)
        if math.dist((x, y), there) < SAME_POINT
    ]
    if faults:
        return faults
    # about the first corner, so that a site far from the origin loses no digits
    x0, y0 = points[0]
    local = [(x - x0, y - y0) for x, y in points]
    simple = Polygon(local).is_valid if closed else LineString(local).is_simple
    least = SAME_POINT * LineString(local).length
    if closed and (Polygon(local) if simple else LineString(local).convex_hull).area < least:
        return [Fault(path, "the outline has collapsed: it encloses no area", "expected a shell with an inside")]
    if not simple:
        place = _crossing(local, closed, names, points[0])
        return [
            Fault(path, f"the outline crosses or touches itself{place}", "expected walls that only meet at corners")
        ]
    return []


def _crossing(local: Sequence[Point], closed: bool, names: Sequence[str], origin: Point) -> str:
    """Which two walls of an outline cross or touch first, and where, as the end of a sentence."""
    from shapely import LineString, STRtree

    following = [*local[1:], local[0]] if closed else list(local[1:])
    lines = [LineString(leg) for leg in zip(local, following, strict=False)]
    pairs = STRtree(lines).query(lines, predicate="intersects").T.tolist()
    for one, other in sorted((one, other) for one, other in pairs if one < other):
        shared = lines[one].intersection(lines[other])
        neighbours = other == one + 1 or (closed and one == 0 and other == len(lines) - 1)
        if not neighbours or shared.length > 0:
            middle = shared.centroid
            place = f"({middle.x + origin[0]:.0f}, {middle.y + origin[1]:.0f})"
            return f": '{names[one]}' and '{names[other]}' at {place}"
    return ""


def legs(
    shell: Shell, index: int, points: Sequence[Point], names: Sequence[str], width: float, first: int, path: KeyPath
) -> list[Wall]:
    """The walls of a judged shell; ``first`` is the index its first wall will have."""
    left = _inside_is_left(shell, points)
    count = len(points) if shell.closed else len(points) - 1
    near, far = shell.setback, shell.setback + width
    band = (near, far) if left else (-far, -near)
    leaf = (0.0, shell.leaf) if left else (-shell.leaf, 0.0)
    walls = []
    for leg in range(count):
        walls.append(
            Wall(
                name=names[leg],
                path=path,
                shell=index,
                start=points[leg],
                end=points[(leg + 1) % len(points)],
                leaf=leaf,
                band=band,
                before=first + (leg - 1) % count if shell.closed or leg > 0 else None,
                after=first + (leg + 1) % count if shell.closed or leg < count - 1 else None,
            )
        )
    return walls


def _inside_is_left(shell: Shell, points: Sequence[Point]) -> bool:
    if not shell.closed:
        return shell.inside != "right"
    x0, y0 = points[0]
    local = [(x - x0, y - y0) for x, y in points]
    twice = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(local, [*local[1:], local[0]], strict=True))
    return twice > 0
