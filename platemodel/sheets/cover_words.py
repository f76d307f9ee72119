"""What the cover says in words: the proof, the advice, lifting and cautions."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from platemodel.frame.values import Frame
from platemodel.site.rules import Verdict
from platemodel.solid.values import Findings, Proof

MOST_RULES = 40
MOST_PLACES = 20
"""How many rules are named, and how many places of each."""
MOST_FAILURES = 12

# HSE INDG143 and L23, guideline figures for lifting, kg, close to the body (from memory)
ELBOW = {"men": 25.0, "women": 16.0}
SHOULDER = {"men": 20.0, "women": 13.0}
HEAD = {"men": 10.0, "women": 7.0}
LONG = 3000.0
"""A piece that is longer is awkward even when it is light (mm); common practice."""

CAUTIONS = (
    "Saws: trained users, guards on, timber clamped, eyes, ears and lungs protected. Isolate a saw before setting it. "
    "The maker's instructions come first.",
    "Wet cement burns the skin, often unfelt: waterproof gloves and boots, never kneel in it, wash it off at once with "
    "clean water; eyes too, then see a doctor.",
    "Work at height: avoid it where it can be, else prevent falls with a scaffold or platform with guard rails, else "
    "shorten them. Nobody stands on a wall or a loose plate; no lifting in strong wind.",
    "New masonry is easily pushed over: bear plates on it only when the mortar has set and the wall is braced.",
    "Fixing, strapping and whether the structure stands are not judged here: local codes, the engineer and licensed "
    "practice rule.",
)


def proof_words(frame: Frame, proof: Proof | None) -> list[str]:
    """What was proved, with figures; or what was not, with what failed."""
    if proof is None:
        return ["NOT PROVED: no proof was made of this frame. Do not cut."]
    if not proof.passed:
        failed = _failures(frame, proof)
        kernels = f"{proof.exact.kernel} and {proof.mesh.kernel}"
        lines = [f"NOT PROVED, DO NOT CUT. Tried by two unrelated kernels ({kernels}); {len(failed)} failed:"]
        return lines + _capped(failed, MOST_FAILURES)
    laps = [lap for findings in (proof.exact, proof.mesh) for lap in findings.laps]
    found = ["Two unrelated programs put together the files as written and agree:"]
    if laps:
        found.append(
            "In every lap the two halves meet and fill each other: nothing clashes, and the only gap is the clearance "
            f"of {frame.plan.lap.clearance:.10g} mm left for fitting{_for_the_widest(frame)}."
        )
    found += [
        f"No piece runs into another: {proof.pairs_tested} pairs near each other tested.",
        "Each can be lowered straight down in laying order; tops, undersides flush.",
        "This proves the shapes, not the timber, sawing or structure. Figures: report.json.",
    ]
    return found


def _for_the_widest(frame: Frame) -> str:
    excess = frame.plan.lap.excess
    return f", {excess:.10g} of it for the widest board" if excess else ""


def _failures(frame: Frame, proof: Proof) -> list[str]:
    """Each check and lap that failed, a line each."""
    lines = [
        f"{check.name}: {check.figure:.4g}, {'at least' if check.least else 'at most'} {check.limit:.4g} wanted"
        for check in proof.checks
        if not check.passed
    ]
    for findings in (proof.exact, proof.mesh):
        lines += _failed_laps(frame, findings)
    return lines


def _failed_laps(frame: Frame, findings: Findings) -> list[str]:
    found = []
    for joint, lap in zip(frame.joints, findings.laps, strict=True):
        if not lap.passed:
            marks = f"{frame.pieces[joint.under].mark} under {frame.pieces[joint.over].mark}"
            found.append(f"lap {joint.id}, {marks} ({findings.kernel}): {', '.join(lap.failures)}")
    return found


def advice_words(failed: Sequence[Verdict]) -> list[str]:
    """Rules that do not hold, those that must first, each with its source and its places."""
    ordered = sorted(failed, key=lambda verdict: verdict.level != "must")
    places: dict[str, list[str]] = {}
    left = 0
    for verdict in ordered:
        rule = f"{'MUST: ' if verdict.level == 'must' else ''}{verdict.rule} ({verdict.source})"
        known = places.get(rule, [])
        if len(known) == MOST_PLACES or (not known and len(places) == MOST_RULES):
            left += 1
        else:
            places.setdefault(rule, []).append(verdict.where)
    more = [f"and {left} more in report.json"] if left else []
    return [f"{rule}. Not so: {_together(where)}." for rule, where in places.items()] + more


def _together(where: Sequence[str]) -> str:
    """Places in one sentence, what all of them end in said once."""
    ends = zip(*(place[::-1] for place in where), strict=False)
    tail = "".join(letters[0] for letters in itertools.takewhile(lambda letters: len(set(letters)) == 1, ends))[::-1]
    begin = min((at for mark in (", ", "; ") if (at := tail.find(mark)) >= 0), default=-1)
    if len(where) < 2 or begin < 0:
        return "; ".join(where)
    stems = [place[: len(place) - len(tail) + begin] for place in where]
    return f"{'; '.join(stems)} (each: {tail[begin + 2 :]})"


def _capped(lines: Sequence[str], most: int) -> list[str]:
    left = len(lines) - most
    return [*lines[:most], f"and {left} more in report.json"] if left > 0 else list(lines)


def lifting_words(frame: Frame) -> list[str]:
    """The heaviest and the longest piece beside the published guideline."""
    heaviest = max(frame.pieces, key=lambda piece: piece.mass)
    longest = max(frame.pieces, key=lambda piece: piece.length)
    lines = [
        f"Heaviest piece: {heaviest.mark}, {heaviest.mass:.1f} kg, {heaviest.length / 1000:.2f} m long. "
        "Published guideline for one person, close to the body, men / women (HSE INDG143): to elbow height "
        f"{_both(ELBOW)} kg, to the shoulder {_both(SHOULDER)}, to the head {_both(HEAD)}; at arm's length about half. "
        "A guideline, not a limit: less when twisting, carrying far or lifting often.",
    ]
    if heaviest.mass > ELBOW["men"]:
        lines.append(
            f"{heaviest.mark} is above all of them: mechanical help, or enough people and a plan for the lift."
        )
    elif heaviest.mass > ELBOW["women"]:
        lines.append(f"{heaviest.mark} is above the lower figure at elbow height: two people, or mechanical help.")
    elif heaviest.mass > HEAD["women"]:
        figure = "both figures" if heaviest.mass > HEAD["men"] else "the lower figure"
        lines.append(f"{heaviest.mark} is above {figure} at head height: two people to pass it up to the wall.")
    heavy = sum(piece.mass > HEAD["women"] for piece in frame.pieces)
    if heavy > 1:
        lines.append(f"{heavy} of the {len(frame.pieces)} pieces are above {HEAD['women']:g} kg.")
    if longest.length > LONG:
        size = f"{longest.mark}: {longest.length / 1000:.2f} m"
        lines.append(f"Long pieces ({size}) sway and catch the wind: one person at each end.")
    return lines


def _both(figures: dict[str, float]) -> str:
    return f"{figures['men']:g} / {figures['women']:g}"
