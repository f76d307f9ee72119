"""What the user wrote: the plan file, read and judged, without any geometry of plates.

>>> from platemodel.plan import starter_plan, parse_plan
>>> len(parse_plan(starter_plan()).walls)
4
"""

from platemodel.plan.reading import parse_plan, plan_of, read_plan
from platemodel.plan.starter import starter_plan
from platemodel.plan.values import Plan, Wall

__all__ = ["Plan", "Wall", "parse_plan", "plan_of", "read_plan", "starter_plan"]
