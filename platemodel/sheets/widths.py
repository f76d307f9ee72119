"""What the sheets say of the boards' real sizes: the widest, the standard's tolerance, and moisture."""

from __future__ import annotations

from platemodel.frame.sizes import IN_USE, REFERENCE_MOISTURE, allowed, at_moisture
from platemodel.frame.values import Frame


def up_to(frame: Frame) -> str:
    """Up to which width boards go into laps and gauges; nothing where no board was measured."""
    if frame.plan.plate.widest is None:
        return ""
    widths = sorted({piece.laid.width + frame.plan.lap.excess for piece in frame.pieces})
    return f"They are cut for boards up to {' and '.join(f'{width:.10g}' for width in widths)} wide."


def expected(size: float, moisture: float) -> str:
    """A size at a moisture in per cent, in tenths of a mm."""
    return f"{round(at_moisture(size, moisture), 1):g}"


def shrinking(moisture: float) -> str:
    """What becomes of a board of this moisture in use; nothing where it is as dry already."""
    return "it shrinks as it dries in use" if moisture > IN_USE else ""


def size_words(frame: Frame) -> list[str]:
    """What the cover says, a line each of widest board, tolerance class and moisture, as far as the plan gives them."""
    plate, lap = frame.plan.plate, frame.plan.lap
    found = []
    if plate.widest is not None:
        found.append(
            f"Widest board measured: {plate.widest:.10g}. Laps and gauges are cut for it, and {lap.asked:.10g} "
            "clearance beyond. A wider board may jam: do not use it."
        )
    if plate.tolerance is not None:
        ranges = [allowed(size, plate.tolerance) for size in (plate.width, plate.depth)]
        (wide, deep) = (f"{low:g} to {high:g}" for low, high in ranges)
        found.append(
            f"Boards of class {plate.tolerance} may be {wide} wide and {deep} deep at {REFERENCE_MOISTURE:g} % "
            "moisture (EN 336): measure them."
        )
    if plate.moisture is not None:
        wide, deep = (expected(size, plate.moisture) for size in (plate.width, plate.depth))
        words = (
            f"At {plate.moisture:g} % moisture expect {wide} × {deep} of a board of {plate.width:g} × {plate.depth:g}"
        )
        if shrinking(plate.moisture):
            words += f"; {shrinking(plate.moisture)}, in width and depth, hardly in length: laps go slack, never tight"
        found.append(f"{words} (EN 336).")
    return found
