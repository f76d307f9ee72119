"""What a command answers to an error: its exit code and what it says, a line each."""

from __future__ import annotations

BAD_INPUT, FAULT, STOPPED, NO_READER = 2, 70, 130, 141
"""Exit codes beside 0, good, and 1, a proof or a rule that must hold failed."""

NOT_THE_PLAN = "this is a fault of the program, not of the plan; nothing was changed"


def foreseen(error: BaseException) -> list[str] | None:
    """What to say of bad input, or of a disk that does not do as asked; None of an error that no one foresaw."""
    from platemodel.faults import InputError, PlanError, plain

    match error:
        case PlanError():
            return [fault.text(error.file) for fault in error.faults]
        case InputError():
            return [plain(str(error))]
        case OSError():
            where = f"{error.filename}: " if error.filename else "cannot read or write: "
            return [f"{plain(where)}{error.strerror or error}"]
    return None
