"""Builds shared by the checks from outside: every example and two plans of their own, each once a session."""

from __future__ import annotations

import csv
import fcntl
import functools
import json
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from platemodel.cli.building import build

HERE = Path(__file__).parent
PLANS = {
    path.stem: path for path in sorted((*HERE.parent.glob("examples/*.toml"), *HERE.glob("external/plans/*.toml")))
}
"""Plans by name."""

A3 = "-on-A3"
"""End of the name of a plan that is drawn on A3 here and on A4 in its own file."""

SHEETED = [*PLANS, f"canted-bay{A3}"]
"""Plans whose sheets are read: among them some on A3."""


@dataclass(frozen=True)
class Built:
    """A built plan: its folder, and what stands in it, read as any other program would."""

    plan_path: Path
    folder: Path

    @functools.cached_property
    def plan(self) -> dict[str, Any]:
        with open(self.plan_path, "rb") as stream:
            return tomllib.load(stream)

    @functools.cached_property
    def report(self) -> dict[str, Any]:
        values: dict[str, Any] = json.loads((self.folder / "report.json").read_text("utf-8"))
        return values

    @functools.cached_property
    def pieces(self) -> dict[str, dict[str, Any]]:
        """The report's pieces by mark."""
        return {piece["mark"]: piece for piece in self.report["pieces"]}

    @functools.cached_property
    def cutting_list(self) -> list[dict[str, str]]:
        with open(self.folder / "cutting-list.csv", encoding="utf-8", newline="") as stream:
            return list(csv.DictReader(stream))

    @property
    def depth(self) -> float:
        return float(self.plan["plate"]["depth"])

    @property
    def clearance(self) -> float:
        """What every lap is longer by: the plan's clearance beyond the widest board measured, mm."""
        plate = self.plan["plate"]
        return float(
            self.plan.get("lap", {}).get("clearance", 1) + plate.get("widest", plate["width"]) - plate["width"]
        )

    def steps(self) -> list[Path]:
        return [self.folder / "frame.step", *sorted(self.folder.glob("pieces/*.step"))]

    def stls(self) -> list[Path]:
        return [self.folder / "frame.stl", *sorted(self.folder.glob("pieces/*.stl"))]


class Builder:
    """Builds a plan at most once, whichever of several test processes asks for it first."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.done: dict[str, Built] = {}

    def __call__(self, name: str) -> Built:
        if name not in self.done:
            with open(self.folder / f"{name}.lock", "w") as lock:
                fcntl.flock(lock, fcntl.LOCK_EX)
                plan, target = self._plan(name), self.folder / name
                if not (target / "files.csv").exists():
                    assert build(str(plan), str(target), False) == 0
            self.done[name] = Built(plan, target)
        return self.done[name]

    def _plan(self, name: str) -> Path:
        """The plan's own file, or one on A3 for a name that ends so."""
        if not name.endswith(A3):
            return PLANS[name]
        changed = self.folder / f"{name}.toml"
        text = PLANS[name.removesuffix(A3)].read_text("utf-8")
        assert "sheet =" not in text
        changed.write_text(text.replace("[job]\n", '[job]\nsheet = "A3"\n', 1), "utf-8")
        return changed
