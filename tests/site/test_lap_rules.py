"""What laps keep clear of: every lap is judged, splices too."""

from __future__ import annotations

from houses import plain_bungalow

from platemodel.frame import decide
from platemodel.plan import parse_plan
from platemodel.site.lap_rules import on_openings
from platemodel.site.rule_set import rule_set


def test_the_nearest_lap_to_an_opening_may_be_a_splice() -> None:
    frame = decide(parse_plan(plain_bungalow()))
    plan = frame.plan
    # by the places of the joints alone: the front runs along the x axis, its splices are 150 long, 1 of clearance
    front = next(number for number, wall in enumerate(plan.walls) if wall.name == "front")
    splices = [joint.lap.outline for joint in frame.joints if joint.lap.kind == "splice"]
    spans = [(min(x for x, _ in line), max(x for x, _ in line)) for line in splices if max(y for _, y in line) < 200]
    clear = min(
        max(low - 1.0 - item.end, item.begin - high - 1.0) for low, high in spans for item in plan.openings_on(front)
    )
    assert 0.0 <= clear < 100.0
    judgement = on_openings(frame, rule_set(plan))
    assert judgement.held == f"{clear:.0f} mm clear at the nearest"
    assert not judgement.failures
