"""The command line. Nothing slow is loaded before a command needs it, so --help answers at once."""

from __future__ import annotations

import os
import sys

import click

from platemodel import __version__

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
def new(file: str, ask: bool) -> None:
    """Write a commented plan to start from into FILE."""
    from platemodel.cli.starting import write_new

    write_new(file, ask)
    click.echo(f"{file} is written; edit it, then: platemodel build {file}")


@cli.command()
@click.argument("plan", type=_PATH)
@click.option("-o", "--output", type=_PATH, help="Folder for the results; default outputs/ and the plan's name.")
@click.option("--timings", is_flag=True, help="Say where the time went.")
def build(plan: str, output: str | None, timings: bool) -> None:
    """Build everything for PLAN: solids, their proof, sheets and lists."""
    from platemodel.cli.building import build as build_plan

    raise SystemExit(build_plan(plan, output, timings))


@cli.command()
@click.argument("plan", type=_PATH)
def check(plan: str) -> None:
    """Prove PLAN and judge its rules; no files are left."""
    from platemodel.cli.building import check as check_plan

    raise SystemExit(check_plan(plan))


@cli.command()
def schema() -> None:
    """Print the JSON Schema of the plan file, for editors."""
    import json

    from platemodel.plan.schema import plan_schema

    click.echo(json.dumps(plan_schema(), indent=2))


def main(arguments: list[str] | None = None) -> None:
    """Run the command line and leave with its exit code."""
    from platemodel.faults import InputError, PlanError

    try:
        code = cli.main(arguments, prog_name="platemodel", standalone_mode=False)
    except PlanError as error:
        for fault in error.faults:
            click.echo(f"platemodel: {fault.text(error.file)}", err=True)
        _leave(2)
    except InputError as error:
        click.echo(f"platemodel: {error}", err=True)
        _leave(2)
    except (click.exceptions.Abort, KeyboardInterrupt):
        click.echo("platemodel: stopped; nothing was changed", err=True)
        _leave(130)
    except click.ClickException as error:
        error.show()
        _leave(2)
    except BrokenPipeError:
        # whoever read the output has gone; there is no one to tell
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        _leave(1)
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        click.echo(f"platemodel: {where}{error.strerror or error}", err=True)
        _leave(2)
    else:
        _leave(code if isinstance(code, int) else 0)


def _leave(code: int) -> None:
    raise SystemExit(code)
