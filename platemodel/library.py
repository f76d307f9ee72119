"""The library: everything a script or a notebook needs of platemodel, on one page.

``import platemodel`` gives all of it and loads nothing; the CAD kernel is loaded by :func:`solids`,
:func:`type_solids`, :func:`prove`, :func:`write_step` and :func:`write_build`, and by nothing else.

>>> import platemodel
>>> plan = platemodel.plan_of({
...     "job": {"title": "Store"},
...     "plate": {"width": 100, "depth": 50},
...     "shell": [{"leaf": 100, "walk": [5400, "L", 3600, "L", 5400, "L", 3600]}],
... })
>>> frame = platemodel.frame_of(plan)
>>> frame
<Frame 'Store': 4 pieces of 4 types, 4 laps, 4 boards>
>>> [(piece.mark, piece.length, piece.order) for piece in frame.laying]
[('A1', 5400.0, 1), ('B1', 3600.0, 2), ('C1', 5400.0, 3), ('D1', 3600.0, 4)]

What a plan may say is what a plan file may: ``platemodel schema --doc`` tells every key.

The names of this page keep to semantic versioning (semver.org, 2.0.0): from 1.0.0 on, what a script of one major
version relies on holds in all later ones of it; before that a minor version may change a name, and the log says so.
Everything else in the package may change with any version. Lengths are mm, angles degrees, masses kg.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from platemodel.faults import Fault, InputError, PlanError
from platemodel.frame import Frame, Joint, Piece, Type
from platemodel.plan import Plan, parse_plan, plan_of, read_plan, starter_plan
from platemodel.site.rules import Verdict
from platemodel.solid.kernel import KernelMissing
from platemodel.solid.values import Proof

if TYPE_CHECKING:
    import cadquery

    from platemodel.cli.building import Built
    from platemodel.sheets.page import Page

__all__ = [
    "Fault",
    "Frame",
    "InputError",
    "Joint",
    "KernelMissing",
    "Piece",
    "Plan",
    "PlanError",
    "Proof",
    "Type",
    "Verdict",
    "drawing",
    "frame_of",
    "judge",
    "parse_plan",
    "plan_of",
    "prove",
    "read_plan",
    "sheets_of",
    "solids",
    "starter_plan",
    "type_solids",
    "write_build",
    "write_glb",
    "write_step",
    "write_stl",
]


def frame_of(plan: Plan) -> Frame:
    """Decide the frame of a plan: runs, laps, pieces, types, laying order and boards.

    Raises :class:`PlanError` with every fault found, where it cannot be built.

    >>> import platemodel
    >>> frame = platemodel.frame_of(platemodel.parse_plan(platemodel.starter_plan()))
    >>> [(joint.id, joint.lap.kind) for joint in frame.joints]
    [('A1-B1', 'corner'), ('A1-D1', 'corner'), ('B1-C1', 'corner'), ('C1-D1', 'corner')]
    """
    from platemodel.frame import decide
    from platemodel.site.onwall import as_it_is_built

    return decide(as_it_is_built(plan)[0])


def judge(frame: Frame) -> list[Verdict]:
    """Judge every rule of the trade on a frame alone, without what ``[site]`` measures of the shell.

    A verdict has its level, ``must`` or ``advice``, its source, what was found and where.
    Raises :class:`PlanError` where the plan names a file of rules, and that cannot be read or is not one.

    >>> import platemodel
    >>> frame = platemodel.frame_of(platemodel.parse_plan(platemodel.starter_plan()))
    >>> {verdict.level for verdict in platemodel.judge(frame) if not verdict.passed}
    {'advice'}
    """
    from platemodel.site.rules import judge as judge_rules

    return judge_rules(frame)


def solids(frame: Frame) -> dict[str, cadquery.Solid]:
    """The solid of every piece where it stands in the frame, by mark; each is a cadquery object in mm.

    Raises :class:`KernelMissing` where the CAD kernel cannot be loaded.

    >>> import platemodel
    >>> frame = platemodel.frame_of(platemodel.parse_plan(platemodel.starter_plan()))
    >>> a1 = platemodel.solids(frame)["A1"]
    >>> round(a1.Volume()) == round(frame.pieces[0].laid.volume), a1.isValid()
    (True, True)
    """
    from platemodel.solid import piece_solids

    return piece_solids(frame)


def type_solids(frame: Frame) -> dict[str, cadquery.Solid]:
    """The solid of every type in its piece frame, by name: x along it from its datum end, z up.

    Raises :class:`KernelMissing` where the CAD kernel cannot be loaded.
    """
    from platemodel.solid import type_solids as solids_of_types

    return solids_of_types(frame)


def prove(frame: Frame) -> Proof:
    """Prove a frame as a build does: on STEP and STL files, written aside and read back, with two kernels.

    Raises :class:`KernelMissing` where the CAD kernel cannot be loaded.

    >>> import platemodel
    >>> proof = platemodel.prove(platemodel.frame_of(platemodel.parse_plan(platemodel.starter_plan())))
    >>> proof.passed, len(proof.exact.laps)
    (True, 4)
    """
    from platemodel.solid import prove as prove_files
    from platemodel.solid import require_kernel

    require_kernel()
    from platemodel.export.meshes import write_stls
    from platemodel.export.step import write_frame_step, write_type_steps

    with TemporaryDirectory(prefix="platemodel-") as name:
        folder = Path(name)
        (folder / "pieces").mkdir()
        write_frame_step(frame, folder)
        write_type_steps(frame, folder)
        write_stls(frame, folder)
        return prove_files(frame, folder)


def drawing(frame: Frame) -> Page:
    """The frame in plan, with marks and colours; a notebook shows it, and the frame itself, as this picture.

    >>> import platemodel
    >>> frame = platemodel.frame_of(platemodel.parse_plan(platemodel.starter_plan()))
    >>> platemodel.drawing(frame)._repr_svg_().count("<svg")
    1
    """
    from platemodel.sheets import plan_figure

    return plan_figure(frame)


def sheets_of(frame: Frame) -> dict[str, Page]:
    """The sheets of a frame by name, as a build draws them, but the cover and those of ``[site]``.

    Raises :class:`PlanError` where the plan names a file of rules, and that cannot be read or is not one.

    >>> import platemodel
    >>> frame = platemodel.frame_of(platemodel.parse_plan(platemodel.starter_plan()))
    >>> list(platemodel.sheets_of(frame))[:2]
    ['plan', 'laying']
    """
    from platemodel.sheets import drawn

    return drawn(frame)


def write_step(frame: Frame, folder: str | Path) -> list[Path]:
    """Write frame.step and pieces/T1.step … into a folder; gives the files. They are not proved by that.

    Raises :class:`KernelMissing`, and :class:`OSError` where the folder cannot be written to.
    """
    from platemodel.solid import require_kernel

    require_kernel()
    from platemodel.export.step import write_frame_step, write_type_steps

    place = _with_pieces(folder)
    write_frame_step(frame, place)
    write_type_steps(frame, place)
    return [place / "frame.step", *(place / "pieces" / f"{kind.name}.step" for kind in frame.types)]


def write_stl(frame: Frame, folder: str | Path) -> list[Path]:
    """Write frame.stl and pieces/T1.stl … into a folder; gives the files. They are not proved by that.

    Raises :class:`OSError` where the folder cannot be written to; files written before that stay.

    >>> import platemodel, tempfile
    >>> frame = platemodel.frame_of(platemodel.parse_plan(platemodel.starter_plan()))
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     [path.name for path in platemodel.write_stl(frame, folder)]
    ['frame.stl', 'T1.stl', 'T2.stl', 'T3.stl', 'T4.stl']
    """
    from platemodel.export.meshes import write_stls

    place = _with_pieces(folder)
    write_stls(frame, place)
    return [place / "frame.stl", *(place / "pieces" / f"{kind.name}.stl" for kind in frame.types)]


def write_glb(frame: Frame, file: str | Path) -> Path:
    """Write a frame for viewers, glTF 2.0 in metres, into a file; gives it.

    Its folder is not made. Raises :class:`OSError` where the file cannot be written.
    """
    from platemodel.export.meshes import write_glb as write

    write(frame, Path(file))
    return Path(file)


def write_build(plan: Plan, folder: str | Path, parts: Collection[str] | None = None) -> Built:
    """Build a plan into a folder as ``platemodel build`` does: proved, and all together or not at all.

    ``parts`` are those wanted, all where none are named. What comes back has ``passed``, the ``frame``, what was
    ``judged`` (its ``report`` is that of report.json), and the folder that was ``made``.
    Raises :class:`PlanError`, :class:`InputError` or :class:`OSError`; nothing is then written.

    >>> import platemodel, tempfile
    >>> plan = platemodel.parse_plan(platemodel.starter_plan())
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     built = platemodel.write_build(plan, f"{folder}/store", ["lists"])
    ...     built.passed, sorted(path.name for path in built.made.iterdir())
    (True, ['buying-list.csv', 'cutting-list.csv', 'files.csv', 'fixings-list.csv', 'report.json'])
    """
    from platemodel.cli.building import build_plan_into
    from platemodel.cli.parts import PARTS, chosen
    from platemodel.cli.watch import Watch

    wanted = PARTS if parts is None else chosen(",".join(parts), show=False)
    return build_plan_into(plan, Path(folder), frozenset(wanted), Watch(quiet=True))


def _with_pieces(folder: str | Path) -> Path:
    place = Path(folder)
    (place / "pieces").mkdir(parents=True, exist_ok=True)
    return place


def _shown(frame: Frame) -> str:
    return drawing(frame)._repr_svg_()


# a frame knows no drawings: what shows it in a notebook is put there here
Frame.shown_by = staticmethod(_shown)
