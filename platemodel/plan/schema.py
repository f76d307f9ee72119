"""The JSON Schema of the plan file, for editors."""

from __future__ import annotations

from typing import Any

from platemodel.plan.model import PlanFile


def plan_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a plan file."""
    schema = PlanFile.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
