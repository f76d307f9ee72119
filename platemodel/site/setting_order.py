"""The order of the work: the datum plate first, then square, then parallel, then the others, then the checks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from platemodel.frame.bands import COLLINEAR_ANGLE
from platemodel.site.setting_ground import Ground, run_length
from platemodel.site.setting_out_values import Apart, Limits, Loop, Plate, Span, Step


class Order(Ground):
    """Puts plates in the order of the work, and says it."""

    def order(self) -> tuple[list[list[int]], list[list[tuple[str, list[int]]]]]:
        """Parts of the frame that hang together, the datum's first, each as runs in order and by what is done."""
        links: dict[int, set[int]] = {run: set() for run in range(len(self.frame.runs))}
        ends: dict[int, set[int]] = {run: set() for run in links}
        for joint in self.frame.joints:
            one, other = (side.run for side in joint.lap.sides)
            if one != other:
                links[one].add(other)
                links[other].add(one)
                if joint.lap.kind == "corner":
                    ends[one].add(other)
                    ends[other].add(one)
        start = self.frame.plan.laying.start
        first = next((run for run in links if start is not None and start in self.frame.runs[run].walls), None)
        left = set(links)
        groups = []
        while left:
            datum = first if first in left else min(left, key=self._rank)
            part = {datum}
            ahead = [datum]
            while ahead:
                more = links[ahead.pop()] - part
                part |= more
                ahead += sorted(more)
            if datum != first:
                datum = min(part, key=self._rank)
            groups.append(self._part(datum, part, ends))
            left -= part
        return [[run for _, runs in group for run in runs] for group in groups], groups

    def _rank(self, run: int) -> tuple[bool, float, int]:
        """The longest plate of a shell first."""
        line = self.frame.runs[run]
        return run not in self.stretches, -round(run_length(line), 3), run

    def _part(self, datum: int, part: set[int], ends: dict[int, set[int]]) -> list[tuple[str, list[int]]]:
        square = sorted(ends[datum] & part, key=self._rank)
        strip = self.frame.runs[datum].strip
        outer = [run for run in part if run in self.stretches and run != datum and run not in square]
        parallel = [run for run in outer if strip.angle(self.frame.runs[run].strip) <= COLLINEAR_ANGLE]
        rest = [run for run in outer if run not in parallel]
        cross = [run for run in part if run not in self.stretches and run != datum and run not in square]
        named = (("datum", [datum]), ("square", square), ("parallel", parallel), ("rest", rest), ("cross", cross))
        return [
            (name, runs if name in ("datum", "square") else sorted(runs, key=self._rank))
            for name, runs in named
            if runs
        ]

    def steps(
        self,
        order: Sequence[Sequence[int]],
        parts: Sequence[Sequence[tuple[str, Sequence[int]]]],
        plates: Sequence[Plate],
        spans: Sequence[Span],
        aparts: Sequence[Apart],
        loops: Sequence[Loop],
        limits: Limits,
    ) -> Iterator[Step]:
        """The work in order: the datum plate, square, parallel, the others, the checks."""
        by_run = {plate.run: plate for plate in plates}

        def named(runs: Sequence[int]) -> str:
            letters = [self.frame.letters[run] for run in runs]
            return ", ".join(letters[:12]) + (f" and {len(letters) - 12} more" if len(letters) > 12 else "")

        def plates_of(runs: Sequence[int]) -> str:
            return f"plate{'s' if len(runs) > 1 else ''} {named(runs)}"

        def numbers(runs: Sequence[int]) -> str:
            first, last = by_run[runs[0]].marks[0].number, by_run[runs[-1]].marks[-1].number
            return f"marks {first} to {last}"

        for number, part in enumerate(parts):
            if number:
                apart = aparts[number - 1]
                yield Step(
                    f"Set out plate {named(order[number][:1])} from plate {apart.base} by the ties and offsets given "
                    "for it; then go on as before."
                )
            for name, runs in part:
                runs = tuple(runs)
                walls = " + ".join(f"'{self.walls[w].name}'" for w in by_run[runs[0]].walls)
                if name == "datum":
                    words = (
                        f"Datum: plate {named(runs)} on {walls}. Write {numbers(runs)} on the blockwork and snap a "
                        "line through them: all else is set out from it."
                    )
                elif name == "square":
                    words = (
                        f"Square: {plates_of(runs)}, {numbers(runs)}. Check each corner with its triangle from the "
                        "datum line before you snap."
                    )
                elif name == "parallel":
                    words = (
                        f"Parallel: {plates_of(runs)}, {numbers(runs)}. Check the span from the datum plate at both "
                        "ends and in the middle: the same at all three."
                    )
                elif name == "rest":
                    words = f"The other outer plates: {named(runs)}, {numbers(runs)}."
                else:
                    words = f"Cross plates: {named(runs)}, {numbers(runs)}, from the laps marked on the outer plates."
                yield Step(words, runs)
        if any(loop.diagonals for loop in loops):
            yield Step(
                "Lay all plates dry and tape the diagonals and the sides of every loop: within "
                f"{limits.diagonal.figure}. A figure out by more: look for it before anything is bedded."
            )
        if spans:
            yield Step(f"Tape the critical spans at both ends and in the middle: within {limits.span.figure}.")
        yield Step("Lift, bed and put back to the marks; tape diagonals and spans once more while the mortar is soft.")
