"""``platemodel build`` and ``check``: the work from a plan file to a folder of results."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import BrokenExecutor
from contextlib import nullcontext
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import click

# both the process that proves and the one that draws need them: loaded before they part
import platemodel.sheets  # noqa: F401
from platemodel.cli.parts import DRAWN, PAGE, PARTS, Drawing, Judged, write_lists, write_manifest, write_models
from platemodel.cli.stopping import postponed
from platemodel.cli.watch import Watch
from platemodel.faults import InputError
from platemodel.frame.values import Frame
from platemodel.plan.values import LabelStock, Plan
from platemodel.site.onwall import OnWall
from platemodel.site.rules import Verdict
from platemodel.solid.values import Proof
from platemodel.solid.workers import partner


@dataclass(frozen=True)
class Built:
    """What became of a build: the frame, what was judged of it, and the folder it was put in.

    The last two are None where a locked report would be altered, which ``changes`` tell: nothing is then written.
    """

    frame: Frame
    judged: Judged | None
    made: Path | None
    changes: Sequence[Verdict]

    @property
    def passed(self) -> bool:
        """Whether the results are good and stand in the folder that was asked for."""
        return self.judged is not None and self.judged.passed


def build(
    plan_path: str,
    output: str | None,
    timings: bool,
    only: Sequence[str] = (),
    show: bool = False,
    labels: LabelStock | None = None,
) -> int:
    """Build a plan into a folder and say what became of it; gives the exit code.

    ``only`` are names of parts, all where there is none; ``show``: the page is then opened. ``labels`` is the stock
    for a plan that has none of its own.

    Raises :class:`~platemodel.faults.PlanError` or :class:`~platemodel.faults.InputError`.
    """
    target = Path(output) if output is not None else Path("outputs") / Path(plan_path).stem
    watch = Watch()
    built = build_into(plan_path, target, frozenset(only or PARTS), watch, labels)
    if built.judged is None or built.made is None:
        _say_locked(built.changes)
        return 1
    _say(built.frame, built.judged, built.made)
    if timings:
        click.echo(watch.text())
    page = built.made / PAGE
    if show and click.launch(str(page.absolute())) != 0:
        click.echo(f"platemodel: no browser could be started; open {page} yourself", err=True)
    return 0 if built.passed else 1


def build_into(
    plan_path: str, target: Path, wanted: frozenset[str], watch: Watch, labels: LabelStock | None = None
) -> Built:
    """Read a plan file and build it, as :func:`build_plan_into` does, with ``labels`` where it has no stock of them."""
    with postponed():
        from platemodel.plan import read_plan

    with watch.stage("read"):
        plan = read_plan(plan_path)
    if plan.labels is None:
        plan = replace(plan, labels=labels)
    return build_plan_into(plan, target, wanted, watch)


def build_plan_into(plan: Plan, target: Path, wanted: frozenset[str], watch: Watch) -> Built:
    """Build the wanted parts of a plan into a folder, or beside it where the proof fails; says nothing.

    Raises :class:`~platemodel.faults.PlanError` or :class:`~platemodel.faults.InputError`.
    """
    with postponed():
        from platemodel.export.folder import beside, discard, judge_target, locked, publish, uninterrupted

    locked_report = _locked_report(plan, watch)
    if "labels" in wanted and wanted != frozenset(PARTS) and plan.labels is None:
        raise InputError(
            f"{plan.file}: labels are asked for but the plan has no [labels]; expected it, be it empty, or --labels A4"
        )
    judge_target(target)
    # beside the folder itself where the target is a link to it
    kept = target.resolve() if target.is_symlink() else target
    failed = kept.with_name(kept.name + ".failed")
    with locked(target):
        decided = _decided(plan, locked_report, watch)
        if decided.altered:
            return Built(decided.frame, None, None, decided.changes)
        judge_target(failed)
        with beside(target) as work:
            judged = _make(decided, work, watch, wanted)
            with watch.stage("files"), uninterrupted():
                publish(work, target if judged.passed else failed)
                if judged.passed:
                    discard(failed)
    return Built(decided.frame, judged, target if judged.passed else failed, decided.changes)


def check(plan_path: str) -> int:
    """Prove a plan and judge its rules, leaving no files; gives the exit code."""
    with postponed():
        from platemodel.plan import read_plan

    watch = Watch()
    with watch.stage("read"):
        plan = read_plan(plan_path)
    decided = _decided(plan, _locked_report(plan, watch), watch)
    with TemporaryDirectory(prefix="platemodel-") as folder:
        judged = _prove(decided, Path(folder), watch)
    if decided.altered:
        _say_locked(decided.changes)
    _say(decided.frame, judged, None)
    return 0 if judged.passed else 1


def _locked_report(plan: Plan, watch: Watch) -> dict[str, Any] | None:
    """The earlier report that a plan names, which lies beside it."""
    with postponed():
        from platemodel.site.locked import read_locked

    with watch.stage("read"):
        locked = plan.laying.locked
        return None if locked is None else read_locked(Path(plan.file).parent / locked)


@dataclass(frozen=True)
class Decided:
    """A frame, what is done on the wall, what every rule says, and among them what a locked report says of it."""

    frame: Frame
    wall: OnWall
    verdicts: list[Verdict]
    changes: list[Verdict]

    @property
    def altered(self) -> bool:
        """Whether the locked report would be altered."""
        return any(not change.passed for change in self.changes)


def _decided(plan: Plan, locked_report: dict[str, Any] | None, watch: Watch) -> Decided:
    with watch.stage("frame"):
        with postponed():
            from platemodel.frame import decide
            from platemodel.sheets.unshown import unshown
            from platemodel.site.onwall import as_it_is_built, on_the_wall

        built, survey = as_it_is_built(plan)
        frame = decide(built)
        wall = on_the_wall(frame, survey)
        changes = _locked_changes(frame, locked_report)
    return Decided(frame, wall, [*wall.verdicts, *unshown(plan), *changes], changes)


def _locked_changes(frame: Frame, locked_report: dict[str, Any] | None) -> list[Verdict]:
    with postponed():
        from platemodel.export.report import report
        from platemodel.site.locked import judge_locked

    return [] if locked_report is None else judge_locked(report(frame, [], None), locked_report)


def _solids(frame: Frame, folder: Path, watch: Watch, meanwhile: Callable[[], None]) -> Proof:
    """Write the solids' files and prove them; ``meanwhile`` is done beside it."""
    from platemodel.solid import KernelMissing, require_kernel

    with watch.stage("solids"):
        with postponed():
            try:
                require_kernel()
            except KernelMissing as error:
                raise InputError(str(error)) from None
            from platemodel.export.meshes import write_stls
            from platemodel.export.step import write_frame_step, write_type_steps
            from platemodel.solid.meshes import StlError
            from platemodel.solid.proving import prove, stl_proof
            from platemodel.solid.step_text import StepError

        (folder / "pieces").mkdir()
        write_stls(frame, folder)
    try:
        with stl_proof(frame, folder, meanwhile) as stl:
            with watch.stage("solids"):
                write_frame_step(frame, folder)
                write_type_steps(frame, folder)
            with watch.stage("proof"):
                return prove(frame, folder, stl)
    except (StepError, StlError) as error:
        raise InputError(f"{error}; expected room on the disk for the results") from None
    except BrokenExecutor:
        raise InputError("the proof was ended from outside; expected enough memory for it") from None


def _prove(
    decided: Decided,
    folder: Path,
    watch: Watch,
    meanwhile: Callable[[], None] = lambda: None,
    sheets: Callable[[], dict[str, list[str]] | None] = lambda: None,
) -> Judged:
    from platemodel.export.report import report

    frame, verdicts = decided.frame, decided.verdicts
    proof = _solids(frame, folder, watch, meanwhile)
    return Judged(proof, verdicts, report(frame, verdicts, proof, sheets(), decided.wall))


def _make(decided: Decided, work: Path, watch: Watch, wanted: frozenset[str]) -> Judged:
    """Make every file of a build in a folder."""
    drawing = Drawing(decided.frame, decided.wall, decided.verdicts, work, wanted)
    try:
        # sheets are drawn while the kernel is loaded and the solids are proved
        with partner(drawing) if wanted & DRAWN else nullcontext() as ask:
            names = ask(None) if ask else dict
            judged = _prove_into(decided, work, watch, wanted, names)
            with watch.stage("sheets"):
                files = write_lists(decided.frame, decided.wall, judged, work, wanted)
                files += write_manifest(decided.frame, judged, work, wanted)
                files += write_models(decided.frame, judged, work, wanted)
                if ask:
                    files += ask((judged, files))()
    except BrokenExecutor:
        raise InputError("the work was ended from outside; expected enough memory for it") from None
    with postponed():
        from platemodel.export.lists import file_list

    with watch.stage("files"), open(work / "files.csv", "w", encoding="utf-8", newline="") as stream:
        stream.write(file_list(work, sorted(files)))
    return judged


def _prove_into(
    decided: Decided,
    work: Path,
    watch: Watch,
    wanted: frozenset[str],
    names: Callable[[], dict[str, list[str]]],
) -> Judged:
    """Write the solids and prove them; what is proved are files, and those that are not wanted are left elsewhere."""
    with postponed():
        from platemodel.export.meshes import write_glb

    with TemporaryDirectory(prefix="platemodel-") as aside:
        solids = work if "solids" in wanted else Path(aside)
        glb = (lambda: write_glb(decided.frame, solids / "frame.glb")) if "solids" in wanted else (lambda: None)
        judged = _prove(decided, solids, watch, glb, names)
        if "manifest" not in wanted:
            return judged
        paths = [f"pieces/{kind.name}.step" for kind in decided.frame.types]
        return replace(judged, hashes={path: sha256((solids / path).read_bytes()).hexdigest() for path in paths})


def _say_locked(changes: Sequence[Verdict]) -> None:
    click.echo("platemodel: the locked report would be altered; nothing was written:", err=True)
    for change in changes:
        click.echo(f"  {change.where}", err=True)


def _say(frame: Frame, judged: Judged, target: Path | None) -> None:
    for verdict in judged.verdicts:
        if not verdict.passed and verdict.level == "advice":
            click.echo(f"advice: not so: {verdict.rule}: {verdict.where} ({verdict.source})", err=True)
    if not judged.proof.passed:
        click.echo("platemodel: NOT PROVED", err=True)
        for line in failures(frame, judged):
            click.echo(f"  {line}", err=True)
    mass = sum(piece.mass for piece in frame.pieces)
    state = "proved" if judged.passed else "failed"
    click.echo(
        f"{state}: {len(frame.pieces)} pieces of {len(frame.types)} types, {len(frame.joints)} laps, "
        f"{len(frame.boards)} boards, {mass:.0f} kg" + (f"; in {target}" if target is not None else "")
    )


def failures(frame: Frame, judged: Judged) -> list[str]:
    """What failed in a proof, a line each: check or lap, figure, limit."""
    proof = judged.proof
    lines = [
        f"{check.name}: {check.figure:g}, {'at least' if check.least else 'at most'} {check.limit:g}"
        for check in proof.checks
        if not check.passed
    ]
    for findings in (proof.exact, proof.mesh):
        for joint, lap in zip(frame.joints, findings.laps, strict=True):
            if not lap.passed:
                lines.append(
                    f"lap {joint.id} ({findings.kernel}): {', '.join(lap.failures)} – clash {lap.clash:g} mm3,"
                    f" fill {lap.fill:.9f}, seat {lap.seat:g} of {lap.seat_expected:g} mm2,"
                    f" gap {lap.gap:g} of {lap.gap_expected:g} mm3"
                )
    return lines
