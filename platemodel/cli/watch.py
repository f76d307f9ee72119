"""Where the time of a build goes, and what is being done meanwhile."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

import click

STAGES = ("read", "frame", "solids", "proof", "files", "sheets")


@dataclass
class Watch:
    """Says what is being done on a terminal, unless it is ``quiet``, and keeps how long it took."""

    quiet: bool = False
    spent: dict[str, float] = field(default_factory=dict)

    @contextmanager
    def stage(self, name: str) -> Iterator[None]:
        """One stage of the work."""
        show = not self.quiet and sys.stderr is not None and sys.stderr.isatty()
        if show:
            number = STAGES.index(name) + 1 if name in STAGES else 0
            click.echo(f"\r\033[K{number}/{len(STAGES)} {name} …", nl=False, err=True)
        begin = time.perf_counter()
        try:
            yield
        finally:
            self.spent[name] = self.spent.get(name, 0.0) + time.perf_counter() - begin
            if show:
                click.echo("\r\033[K", nl=False, err=True)

    def add(self, spent: Mapping[str, float]) -> None:
        """Add what another watch has kept."""
        for name, seconds in spent.items():
            self.spent[name] = self.spent.get(name, 0.0) + seconds

    def text(self) -> str:
        """Where the time went, a line a stage."""
        lines = [f"{name:8}{seconds:8.2f} s" for name, seconds in self.spent.items()]
        return "\n".join([*lines, f"{'total':8}{sum(self.spent.values()):8.2f} s"])
