"""Builds shared by the checks from outside: every example and two plans of their own, each once a session."""

from __future__ import annotations

import csv
import functools
import json
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from platemodel.cli.building import build

HERE = Path(__file__).parent
PLANS = {path.stem: path for path in sorted((*HERE.parents[1].glob("examples/*.toml"), *HERE.glob("plans/*.toml")))}


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

    def steps(self) -> list[Path]:
        return [self.folder / "frame.step", *sorted(self.folder.glob("pieces/*.step"))]

    def stls(self) -> list[Path]:
        return [self.folder / "frame.stl", *sorted(self.folder.glob("pieces/*.stl"))]


class Builder:
    """Builds a plan at most once."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.done: dict[str, Built] = {}

    def __call__(self, name: str) -> Built:
        if name not in self.done:
            target = self.folder / name
            assert build(str(PLANS[name]), str(target), False) == 0
            self.done[name] = Built(PLANS[name], target)
        return self.done[name]


@pytest.fixture(scope="session")
def builder(tmp_path_factory: pytest.TempPathFactory) -> Builder:
    return Builder(tmp_path_factory.mktemp("external"))


@pytest.fixture(scope="session", params=list(PLANS))
def built(request: pytest.FixtureRequest, builder: Builder) -> Built:
    """Each plan's results in turn."""
    return builder(request.param)
