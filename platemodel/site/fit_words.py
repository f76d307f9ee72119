"""How the frame is set on the shell, in words."""

from __future__ import annotations

from platemodel.plan.values import Plan
from platemodel.site.faces import past_inner
from platemodel.site.fitting import Placed


def fit_words(plan: Plan, placed: Placed) -> list[str]:
    """How the frame is set, in sentences: what is held, what must give and the way out."""
    wish = plan.site.placing
    found = []
    if not placed.measured:
        return ["No survey is given: the figures are of the shell as designed. Tape the shell before you trust them."]
    missing = sorted(set(placed.faces) - placed.measured)
    if missing:
        names = ", ".join(f"'{plan.walls[wall].name}'" for wall in missing[:6]) + (" …" if len(missing) > 6 else "")
        found.append(f"Not measured, so taken as designed: {names}.")
    loose = [plan.walls[wall].name for wall in wish.hold if wall not in placed.measured]
    if loose:
        names = ", ".join(f"'{name}'" for name in loose)
        found.append(f"Cannot be held, as no outer face of it was measured: {names}.")
    if placed.held_off > 0.5:
        found.append(
            "The walls that are held cannot all be exact: the frame keeps its shape, and is "
            f"{placed.held_off:.0f} mm off on them. Hold fewer, or fit the frame to the shell."
        )
    for give in placed.gives:
        limit = wish.outer if give.face == "outer" else past_inner(wish, plan.walls[give.wall])
        found.append(
            f"'{plan.walls[give.wall].name}' must give {give.by:.1f} mm: the plate would stand "
            f"{limit + give.by:.1f} past its {give.face} face, where {limit:g} is allowed (site.placing.{give.face})."
        )
    if placed.gives:
        found.append(
            'Build the wall out or cut it back, ask the engineer for more, or set site.placing.fit = "shell": plates '
            "that follow the walls, with a cutting list of their own. Cut nothing until it is settled."
        )
    return found
