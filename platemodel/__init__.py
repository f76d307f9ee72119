"""platemodel: the timber wall plates of a masonry shell, from the plan to the proved solids.

The parts, in the order in which the work flows:

* :mod:`platemodel.plan`   what the user wrote, read and judged
* :mod:`platemodel.frame`  runs, laps, pieces and types, as plane geometry
* :mod:`platemodel.site`   the rules of the trade, judged on a frame
* :mod:`platemodel.solid`  the solids and their proof (the only home of the CAD kernel)
* :mod:`platemodel.sheets` drawings
* :mod:`platemodel.export` files

* :mod:`platemodel.library` all that scripts and notebooks need of them, on one page; its names are this package's too

Importing this package loads none of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from platemodel.library import (
        Fault,
        Frame,
        InputError,
        Joint,
        KernelMissing,
        Piece,
        Plan,
        PlanError,
        Proof,
        Type,
        Verdict,
        drawing,
        frame_of,
        judge,
        parse_plan,
        plan_of,
        prove,
        read_plan,
        sheets_of,
        solids,
        starter_plan,
        type_solids,
        write_build,
        write_glb,
        write_step,
        write_stl,
    )

__all__ = [
    "Fault",
    "Frame",
    "InputError",
    "Joint",
    "KernelMissing",
    "Piece",
    "Plan",
    "PlanError",
    "Proof",
    "Type",
    "Verdict",
    "drawing",
    "frame_of",
    "judge",
    "parse_plan",
    "plan_of",
    "prove",
    "read_plan",
    "sheets_of",
    "solids",
    "starter_plan",
    "type_solids",
    "write_build",
    "write_glb",
    "write_step",
    "write_stl",
]

__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    """A name of the library, which is loaded when the first one is asked for."""
    if name not in __all__:
        raise AttributeError(f"module 'platemodel' has no attribute '{name}'")
    from platemodel import library

    return getattr(library, name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
