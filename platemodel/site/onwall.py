"""On the wall: what the rules say of a frame, and all that a plan's site keys lead to.

It is worked out once for lists, sheets and the page.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from platemodel.frame.values import Frame
from platemodel.plan.site_values import Site
from platemodel.plan.values import Plan
from platemodel.site.as_built import AsBuilt
from platemodel.site.bedding import Bedding, bedding
from platemodel.site.bedding_values import bedding_values
from platemodel.site.fitting import Placed, place
from platemodel.site.landing import WallLandings, fixing_values, landings
from platemodel.site.refitting import refitted
from platemodel.site.rule_set import RuleSet, rule_set
from platemodel.site.rules import Verdict, judge
from platemodel.site.setting_out import SettingOut, setting_out
from platemodel.site.setting_out_values import Limits, setting_out_values
from platemodel.site.settling import to_settle
from platemodel.site.shell_rules import Measured, of_shell
from platemodel.site.strapping import Strapping, strapping
from platemodel.site.survey import adjusted, survey_values


@dataclass(frozen=True)
class OnWall:
    """The shell as built, how the frame is set out on it, its bed, its straps and what lands on it.

    None for what the plan does not ask: without any site keys no marks are given. ``rules`` are the figures that were
    used, ``verdicts`` what the rules say of it all.
    """

    rules: RuleSet
    survey: AsBuilt | None
    marks: SettingOut | None
    bed: Bedding | None
    straps: Strapping | None
    landings: tuple[WallLandings, ...]
    verdicts: tuple[Verdict, ...]


def as_it_is_built(plan: Plan) -> tuple[Plan, AsBuilt | None]:
    """The plan, or where its frame is to fit the shell, one whose walls are those of the shell as built.

    With it the shell as it was measured, None where the plan has no survey.

    Raises :class:`~platemodel.faults.PlanError` where the readings are too few or cannot be, or nothing says how the
    shell is built that the frame is to fit.
    """
    wish = plan.site.placing
    survey = adjusted(plan)
    if wish.fit != "shell":
        return plan, survey
    if survey is None:
        raise plan.error(
            plan.fault((*wish.path, "fit"), "'shell' without a survey", "expected [site.survey] with tapes")
        )
    return refitted(plan, survey.walls), survey


def on_the_wall(frame: Frame, survey: AsBuilt | None = None) -> OnWall:
    """Judge a frame, and work out all that its plan's site keys ask for, on the shell as it was measured.

    Raises :class:`~platemodel.faults.PlanError` where the rule set cannot be read or the levels cannot be.
    """
    plan = frame.plan
    rules = rule_set(plan)
    placed = None if survey is None else _placed(frame, survey)
    asked = plan.site != Site(rules=plan.site.rules)
    bed = bedding(frame)
    measured = Measured(survey, placed, bed)
    first = tuple(to_settle(measured, list(of_shell(plan, rules, measured)))) if asked else ()
    marks = setting_out(frame, placed, Limits.of(rules), first) if asked else None
    straps = strapping(frame, rules)
    return OnWall(
        rules,
        survey,
        marks,
        bed,
        straps,
        landings(frame, straps, rules),
        tuple(judge(frame, rules, straps, measured)),
    )


def _placed(frame: Frame, survey: AsBuilt) -> Placed:
    plan = frame.plan
    try:
        return place(frame, survey.walls)
    except ArithmeticError:
        found = "the frame finds no place on the shell as it was measured"
        expected = "expected readings nearer to the plan, or fewer walls in hold"
        raise plan.error(plan.fault(plan.site.placing.path, found, expected)) from None


def site_values(frame: Frame, wall: OnWall) -> dict[str, Any]:
    """All of it for report.json, by key: survey, setting_out, bed, fixing; what was not asked is left out.

    Nothing where the plan has no site keys.
    """
    if wall.marks is None:
        return {}
    found: dict[str, Any] = {} if wall.survey is None else {"survey": survey_values(wall.survey)}
    found["setting_out"] = setting_out_values(wall.marks)
    if wall.bed is not None:
        found["bed"] = bedding_values(wall.bed)
    found["fixing"] = fixing_values(frame, wall.straps, wall.landings)
    return found
