"""The command line. Nothing slow is loaded before a command needs it, so --help answers at once."""

from __future__ import annotations

import contextlib
import io
import os
import sys
import traceback

import click

from platemodel import __version__
from platemodel.cli.answers import BAD_INPUT, FAULT, NO_READER, NOT_THE_PLAN, STOPPED, foreseen
from platemodel.cli.stopping import postponed, stoppable

_PATH = click.Path(dir_okay=True, path_type=str)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="platemodel")
def cli() -> None:
    """Timber wall plates with half-lap joints: from a plan file to proved solids and cut sheets.

    A first try: platemodel new house.toml, then platemodel build house.toml.
    Exit codes: 0 good, 1 a proof or a rule that must hold failed, 2 bad input.
    """


@cli.command()
@click.argument("file", type=_PATH)
@click.option("--ask", is_flag=True, help="Walk round the walls with questions.")
@click.option(
    "--from",
    "source",
    type=_PATH,
    metavar="SOURCE",
    help="Take the walls from outlines that others drew: a .dxf, .geojson, .wkt or .ifc file. What nearly meets is "
    "healed, and told.",
)
@click.option(
    "--layer",
    multiple=True,
    help="Layer of SOURCE that holds the outlines: of IFC the name of a storey, of GeoJSON the property 'layer' of a "
    "feature. May be given several times. Left out, a file with one layer is taken whole; of several you are asked "
    "which, or, where no one can answer, told their names. Layers that are off or frozen are read only if named.",
)
@click.option(
    "--cross",
    multiple=True,
    metavar="LAYER",
    help="Layer whose lines are centre lines of walls inside that carry a plate too: each becomes a cross wall, and "
    "has to end on another wall. May be given several times, beside --layer. Left out, single lines beside the "
    "outlines are taken for such.",
)
@click.option(
    "--unit",
    type=click.Choice(["mm", "cm", "m", "in", "ft"]),
    help="Unit of SOURCE. Left out, the one that the file tells is used; you are asked where it tells none, as "
    "GeoJSON and WKT do, or one in which a building would be no building's size.",
)
@click.option(
    "--at",
    metavar="X,Y",
    help="Of a file with several buildings take the one round this place, in mm: such as 12500,-3400. Messages give "
    "places so.",
)
@click.option(
    "--tolerance",
    type=click.FloatRange(0, 100),
    default=5.0,
    show_default=True,
    help="What is healed, at most, mm: gaps between ends, corners so near to a straight line. Each is told.",
)
@click.option(
    "--leaf",
    type=click.FloatRange(20, 1000),
    help="Thickness of the leaf, mm. Left out, that of most outer walls of an IFC model, else 100.",
)
@click.option("--centre-lines", is_flag=True, help="The outlines are centre lines of walls, not outer faces.")
def new(
    file: str,
    ask: bool,
    source: str | None,
    layer: tuple[str, ...],
    cross: tuple[str, ...],
    unit: str | None,
    at: str | None,
    tolerance: float,
    leaf: float | None,
    centre_lines: bool,
) -> None:
    """Write a commented plan to start from into FILE."""
    from platemodel.cli.starting import write_new

    if source is None:
        if layer or cross or unit or at or leaf or centre_lines:
            raise click.UsageError("--layer, --cross, --unit, --at, --leaf and --centre-lines go with --from")
        write_new(file, ask)
    else:
        if ask:
            raise click.UsageError("--ask and --from exclude one another")
        with postponed():
            from platemodel.cli.outlining import drawn_plan, place
            from platemodel.outlines.making import Wish

        wish = Wish(layer, cross, unit, tolerance, centre_lines, leaf, None if at is None else place(at))
        write_new(file, False, lambda: drawn_plan(file, source, wish))
    click.echo(f"{file} is written; edit it, then: platemodel build {file}")


@cli.command()
@click.argument("plans", type=_PATH, nargs=-1, required=True, metavar="PLAN...")
@click.option("-o", "--output", type=_PATH, help="Folder for the results; of one plan default outputs/ and its name.")
@click.option(
    "--only",
    metavar="PARTS",
    help="Write only these parts, with commas between: solids, lists, manifest, ifc, dxf, labels, sheets, pack, page. "
    "The folder then holds no others; the proof is made all the same.",
)
@click.option(
    "--labels",
    metavar="STOCK",
    help="Labels for plans without [labels] too: STOCK is A4 (two columns of seven), or a file with a table [labels], "
    "which may be another plan.",
)
@click.option("--open", "show", is_flag=True, help="Open the page in a browser afterwards.")
@click.option("--timings", is_flag=True, help="Say where the time went.")
@click.option("--force", is_flag=True, help="Of several plans: build those too that have not changed.")
@click.option("--pool", is_flag=True, help="Of several plans: cut the boards for all of them together.")
@click.option(
    "--cluster",
    metavar="ADDRESS",
    help="Of several plans: let workers of the Dask scheduler at ADDRESS build them, in a folder they share.",
)
def build(
    plans: tuple[str, ...],
    output: str | None,
    only: str | None,
    labels: str | None,
    show: bool,
    timings: bool,
    force: bool,
    pool: bool,
    cluster: str | None,
) -> int:
    """Build everything for PLAN: solids, their proof, sheets, a pack to print, a page, lists.

    Of several plans each gets a folder in that of the results, with one page and tables over all of them. They
    are built side by side on all processors; those that have not changed since are left as they are.
    """
    with postponed():
        from platemodel.cli.parts import chosen

    parts, stock = chosen(only, show), None
    if labels is not None:
        with postponed():
            from platemodel.cli.labelling import wished

        stock = wished(labels, parts)
    if len(plans) == 1 and not pool and cluster is None:
        with postponed():
            from platemodel.cli.building import build as build_one

        return build_one(plans[0], output, timings, parts, show, stock)
    with postponed():
        from platemodel.cli.many import Wishes, build_many

    return build_many(plans, output, Wishes(parts, force, pool, cluster, stock), timings, show)


@cli.command()
@click.argument("plan", type=_PATH)
def check(plan: str) -> int:
    """Prove PLAN and judge its rules; no files are left."""
    with postponed():
        from platemodel.cli.building import check as check_plan

    return check_plan(plan)


@cli.command()
@click.argument("plan", type=_PATH)
@click.option(
    "--vary",
    multiple=True,
    required=True,
    metavar="KEY[=VALUE;VALUE]",
    help="A key of the plan, such as laying.method, and the values to try, as they would stand in the plan; without "
    "values all that there are. Given several times, every combination is tried.",
)
@click.option("-o", "--output", type=_PATH, help="Write the table as CSV into this new file too.")
def compare(plan: str, vary: tuple[str, ...], output: str | None) -> None:
    """Compare what alternatives of PLAN come to: boards, waste, types, laps, mass, price, minutes."""
    with postponed():
        from platemodel.cli.comparing import compare as compare_plan

    compare_plan(plan, vary, output)


@cli.command()
@click.argument("levels", type=_PATH)
@click.option("--level", required=True, metavar="METRES", help="Level of the first station.")
@click.option("--close", metavar="METRES", help="Known level of the last station: the misclosure is shared out.")
@click.option("-o", "--output", type=_PATH, required=True, help="Folder for levels.csv: new, empty, or one of its own.")
def book(levels: str, level: str, close: str | None, output: str) -> None:
    """Work out a levelling book without a plan: LEVELS is a table of readings in metres, as CSV.

    Columns: station, backsight, intermediate, foresight; blank where there is none, below 0 for a staff held
    upside down.
    """
    from platemodel.cli.booking import book as book_levels

    book_levels(levels, level, close, output)


@cli.command()
@click.argument("tape", type=_PATH)
@click.option("--hold", metavar="POINT", help="The point that is kept at 0, 0.")
@click.option("--along", metavar="POINT", help="The point that is kept on the x axis, to the right of it.")
@click.option(
    "--near",
    type=_PATH,
    metavar="POINTS.csv",
    help="Rough places (columns point, x, y), to say on which side of the base points lie; without them "
    "the rest is taken to lie to its left, anticlockwise.",
)
@click.option(
    "--fixed",
    type=_PATH,
    metavar="POINTS.csv",
    help="Known points (columns point, x, y), kept where they are, instead of --hold and --along.",
)
@click.option("-o", "--output", type=_PATH, required=True, help="Folder for points.csv and lines.csv.")
def survey(tape: str, hold: str | None, along: str | None, near: str | None, fixed: str | None, output: str) -> None:
    """Adjust the taped lengths of TAPE (columns from, to, length, sd) by least squares.

    Lengths are in any one unit. Residuals are adjusted less observed; standard errors are multiplied by the
    standard error of unit weight. With sd, its standard error, beside every length, residuals are standardised
    by it alone; without, all lengths count alike, and by the standard error of unit weight too. A cell is blank
    where nothing tells it.
    """
    with postponed():
        from platemodel.cli.surveying import survey as survey_tape

    survey_tape(tape, hold, along, near, fixed, output)


@cli.command()
@click.option("--doc", is_flag=True, help="Print a reference of every key for people instead, as Markdown.")
@click.option("--manifest", is_flag=True, help="Print the JSON Schema of a build's manifest.json instead.")
def schema(doc: bool, manifest: bool) -> None:
    """Print the JSON Schema of the plan file, for editors; or a reference of its keys, or the manifest's schema."""
    import json

    if doc and manifest:
        raise click.UsageError("--doc is of the plan file alone; expected one of --doc and --manifest")
    if manifest:
        from platemodel.export.manifest_model import manifest_schema

        click.echo(json.dumps(manifest_schema(), indent=2))
        return
    from platemodel.plan.schema import plan_schema

    if doc:
        from platemodel.plan.reference import reference

        click.echo(reference())
        return
    click.echo(json.dumps(plan_schema(), indent=2))


def main(arguments: list[str] | None = None) -> None:
    """Run the command line and leave with its exit code."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            # a closed stream's number must not go to a file of results
            os.open(os.devnull, os.O_RDWR)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # a file name may hold what the terminal cannot show
            stream.reconfigure(errors="backslashreplace")
    with stoppable() as stopped:
        code = _run(arguments, stopped)
    raise SystemExit(code)


def _run(arguments: list[str] | None, stopped: list[int]) -> int:
    try:
        # not cli.main, which would answer a stop and a reader who has gone in its own way
        with cli.make_context("platemodel", list(sys.argv[1:] if arguments is None else arguments)) as context:
            code = cli.invoke(context)
        if sys.stdout is not None:
            # what cannot be written shall be known here, not after the end
            sys.stdout.flush()
    except KeyboardInterrupt:
        return _say_stopped()
    except click.exceptions.Exit as end:
        return end.exit_code
    except Exception as error:
        # in the middle of loading the CAD kernel, a stop comes out as another error
        return _say_stopped() if stopped else _answer(error)
    return code if isinstance(code, int) else 0


def _say_stopped() -> int:
    if sys.stderr is not None and sys.stderr.isatty():
        # off the line of the progress, or of ^C
        click.echo(err=True)
    click.echo("platemodel: stopped; no half-made results are left", err=True)
    return STOPPED


def _answer(error: Exception) -> int:
    """Say what was wrong, and give the exit code; an error that no one foresaw is raised on."""
    match error:
        case click.exceptions.Abort():
            return _say_stopped()
        case click.ClickException():
            error.show()
            return BAD_INPUT
        case BrokenPipeError():
            # whoever read the output has gone; there is no one to tell
            _silence()
            return NO_READER
    said = foreseen(error)
    if said is None:
        traceback.print_exception(error)
        click.echo(f"platemodel: {NOT_THE_PLAN}", err=True)
        return FAULT
    for line in said:
        click.echo(f"platemodel: {line}", err=True)
    if isinstance(error, OSError):
        _silence()
    return BAD_INPUT


def _silence() -> None:
    """Let nothing more be written to the output, which would fail again at the very end."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
