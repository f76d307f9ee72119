"""The commented plan that ``platemodel new`` writes."""

from __future__ import annotations

from platemodel.faults import plain

_STARTER = """\
# A plan of wall plates for platemodel. Lengths are mm, angles degrees, left turns positive.
# Lines that begin with # are remarks; take the # away to use a key.
# Build it with:  platemodel build {file}

[job]
title = "{title}"
sheet = "A4"                      # A4 or A3
# number = "1"                    # number, revision, date, owner, creator, approver: for the
# date = 2026-05-01               # title block; what is left out is ruled for handwriting

[plate]
width = 100                       # across the wall
depth = 50                        # top to bottom
grade = "C16"                     # strength class, for the masses
# tolerance = "T1"                # EN 336: T1 as sawn, T2 planed; and moisture = 18 (per cent), if known
# widest = 101.5                  # the widest board measured: laps are made so much longer

[lap]
clearance = 1                     # extra length of every lap so that it goes together
# splice = 100                    # overlap of a lengthening lap, default the plate width
# apart = 100                     # whole timber wanted between laps, default the plate width
# stagger = 600                   # splices of neighbouring parallel plates stand so far apart
# screws = 2                      # screws a lap, for the order

[stock]
lengths = [3600, 4200, 4800, 5400, 6000]   # what the merchant has
kerf = 3                          # what a saw cut takes
# trim = 10                       # taken off each board to square its end
# prices = [9, 11, 12.5, 14, 16]  # of a board of each length; or metre_price = 2.6
# yard = [{{ length = 4800, count = 2 }}]   # boards that are there already
# spare = 1                       # bought beyond those needed
# keep = 600                      # offcuts from this length on are kept
# ready = true                    # splice so that whole boards are used uncut where that can be

{shells}
# [[cross]]                       # a wall inside
# name = "spine"
# leaf = 100
# from = {{ wall = "front", at = 2400 }}   # the plate's centre line, or a point [x, y]
# to = {{ wall = "back", at = 3000 }}

# [[gap]]                         # no plate here
# wall = "front"
# from = 2000
# to = 2900                       # or whole = true instead of from and to

# [[splice]]                      # a lengthening lap where you want it; its middle
# wall = "front"
# at = 3000

# [[opening]]                     # a lintel under the plate: no splice here
# wall = "front"
# from = 1000
# to = 1900

# [[bearing]]                     # a truss or beam that lands here: no splice under it
# name = "girder"
# wall = "front"
# at = 2700                       # or every = 600 with from and to
# width = 70

# The shell as built and what is done on the wall, all optional: take the # away from what you have.
# [[site.survey.tape]]            # taped at plate level; a corner is named by its two walls
# from = "left/front"
# to = "right/back"
# length = 6490
# [site.levels]                   # a staff read on the wall tops, in metres
# start = 100.000
# [[site.levels.book]]
# station = "bench mark"
# backsight = 1.412               # then rows with intermediate (and wall, at), the last with foresight
# [site.bed]
# least = 10
# most = 20
# mix = "1:4"
# [site.straps]                   # holding-down straps by rule; [[strap]] wall, at: built in already

[laying]
# start = "back"                  # the wall laid first
method = "round"                  # or "pairs": unders first, overs after
# crew = 2                        # how many saw the laps, and minutes = 2 for each half of one

# [labels]                        # labels.pdf, a label a piece: width, height, columns, rows … of your stock
# paper = "roll"                  # one label a page, width = 100 and height = 50; default A4, two columns of seven

# [export]                        # files for other programs
# step = "AP214"                  # for old readers; default AP242
# instances = true                # frame.step holds each type once, its pieces as instances
"""

_WALKED = """\
[[shell]]
name = "house"
leaf = 100                        # thickness of the leaf under the plate
setback = 0                       # from the outer face of the leaf to the plate
# A walk round the outside as a tape goes: length, turn (L, R or degrees), length …
walk = {walk}
walls = {walls}
# or corners on the outer face instead of walk:
# corners = [[0, 0], [5400, 0], [5400, 3600], [0, 3600]]
"""


def starter_plan(
    file: str = "plan.toml",
    title: str = "A new plan",
    walk: tuple[float | str, ...] = (5400, "L", 3600, "L", 5400, "L", 3600),
    walls: tuple[str, ...] = ("front", "right", "back", "left"),
) -> str:
    """The text of a plan to start from, commented, with a walk and wall names filled in."""
    steps = ", ".join(f'"{step}"' if isinstance(step, str) else number(step) for step in walk)
    names = ", ".join(quoted(wall) for wall in walls)
    return with_shells(file, title, _WALKED.format(walk=f"[{steps}]", walls=f"[{names}]"))


def with_shells(file: str, title: str, shells: str) -> str:
    """The text of a plan to start from, commented, with the tables of its walls filled in."""
    return _STARTER.format(file=plain(file), title=escaped(title), shells=shells)


def number(value: float) -> str:
    """A number with all of its digits, a whole one without a point."""
    return str(int(value)) if float(value).is_integer() else repr(float(value))


def escaped(text: str) -> str:
    """A text for a basic TOML string."""
    clean = "".join(letter if letter.isprintable() else " " for letter in text)
    return clean.replace("\\", "\\\\").replace('"', '\\"')


def quoted(text: str) -> str:
    """A text as a basic TOML string."""
    return f'"{escaped(text)}"'
