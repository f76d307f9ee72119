"""``platemodel compare``: a table of alternatives, its CSV, and what it says to bad input."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest

from platemodel.cli import main

BUNGALOW = str(Path(__file__).parents[2] / "examples" / "bungalow.toml")


def run(arguments: list[str], capsys: Any) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    said = capsys.readouterr()
    return int(left.value.code or 0), said.out, said.err


def test_every_combination_is_a_row_and_goes_to_csv(tmp_path: Path, capsys: Any) -> None:
    file = tmp_path / "table.csv"
    vary = ["--vary", "laying.method", "--vary", "stock.lengths=[6000];[4800, 6000]"]
    code, out, err = run(["compare", BUNGALOW, *vary, "-o", str(file)], capsys)
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert len(lines) == 1 + 1 + 4
    assert lines[0].split()[:6] == ["alternative", "pieces", "types", "settings", "laps", "boards"]
    assert "price" not in lines[0]
    with open(file, encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [row["alternative"] for row in rows] == [
        "as planned",
        "laying.method=round, stock.lengths=[6000]",
        "laying.method=round, stock.lengths=[4800, 6000]",
        "laying.method=pairs, stock.lengths=[6000]",
        "laying.method=pairs, stock.lengths=[4800, 6000]",
    ]
    # the base row is what the README says of the main demo: 13 pieces, 15 laps, two halves a lap, two minutes each
    assert (rows[0]["pieces"], rows[0]["laps"], rows[0]["minutes"]) == ("13", "15", "60")
    # more lengths to choose from never take more timber
    assert float(rows[2]["metres"]) <= float(rows[1]["metres"])
    assert list(tmp_path.iterdir()) == [file]


def test_prices_are_summed_and_a_plan_that_cannot_be_is_a_row_of_its_own(capsys: Any) -> None:
    code, out, _ = run(["compare", BUNGALOW, "--vary", "stock.metre_price=2.5", "--vary", "stock.kerf=3;4000"], capsys)
    assert code == 0
    priced = next(line for line in out.splitlines() if "metre_price=2.5, stock.kerf=3" in line).split()
    assert f"{55.2 * 2.5:.2f}" in priced
    assert "stock.kerf: " in next(line for line in out.splitlines() if "kerf=4000" in line)


@pytest.mark.parametrize(
    ("vary", "said"),
    [
        (["laying.metod"], "'laying.metod' is no key to vary; expected one such as lap.clearance"),
        (["shell.leaf=90"], "'shell.leaf' is no key to vary"),
        (["lap.splice"], "'lap.splice' has no values of its own; expected lap.splice=VALUE;VALUE"),
        (["lap.splice=[1"], "'[1' for lap.splice cannot be read"),
        (["stock.kerf=1", "stock.kerf=2"], "a key stands twice"),
        (["stock.kerf=" + ";".join(["1"] * 201)], "201 combinations; expected at most 200"),
    ],
)
def test_bad_input_is_one_clear_line(vary: list[str], said: str, capsys: Any) -> None:
    code, out, err = run(["compare", BUNGALOW, *(part for one in vary for part in ("--vary", one))], capsys)
    assert (code, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1


def test_a_file_that_is_there_is_kept(tmp_path: Path, capsys: Any) -> None:
    file = tmp_path / "mine.csv"
    file.write_text("mine")
    code, out, err = run(["compare", BUNGALOW, "--vary", "laying.method", "-o", str(file)], capsys)
    assert (code, out) == (2, "")
    assert "is there already" in err
    assert file.read_text() == "mine"
