"""Labels as a part of a build: where the plan has a stock for them, and told where it has none."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from faulty import left
from houses import house
from pypdf import PdfReader


def test_labels_are_a_part_of_a_plan_with_a_stock(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any) -> None:
    monkeypatch.chdir(tmp_path)
    Path("with.toml").write_text(f"{house()}\n[labels]\n")
    code, _, _ = left(["build", "with.toml", "-o", "out", "--only", "labels"], capsys)
    assert code == 0
    assert sorted(path.name for path in Path("out").iterdir()) == ["files.csv", "labels.pdf", "report.json"]
    assert any(line.startswith("labels.pdf,") for line in Path("out/files.csv").read_text().splitlines())


def test_labels_alone_without_a_stock_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any) -> None:
    monkeypatch.chdir(tmp_path)
    Path("plain.toml").write_text(house())
    code, out, err = left(["build", "plain.toml", "-o", "out", "--only", "lists,labels"], capsys)
    assert (code, out) == (2, "")
    said = "labels are asked for but the plan has no [labels]; expected it, be it empty, or --labels A4"
    assert err == f"platemodel: plain.toml: {said}\n"
    assert not Path("out").exists()


def paper(file: str) -> list[float]:
    """Width and height of the paper, mm."""
    return [round(float(side) / 72 * 25.4, 1) for side in PdfReader(file).pages[0].mediabox[2:]]


def test_labels_are_asked_for_of_plans_without_a_stock(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    roll = '[labels]\npaper = "roll"\nwidth = 62\nheight = 29\n'
    Path("own.toml").write_text(f"{house()}\n{roll}")
    Path("plain.toml").write_text(house())
    command = ["build", "own.toml", "plain.toml", "-o", "out", "--only", "labels", "--labels"]
    code, out, err = left([*command, "A4"], capsys)
    assert (code, err) == (0, "")
    assert "2 built" in out
    # a plan's own stock goes first
    assert (paper("out/own/labels.pdf"), paper("out/plain/labels.pdf")) == ([62.0, 29.0], [210.0, 297.0])
    assert "2 unchanged" in left([*command, "A4"], capsys)[1]
    # another plan's stock will do; only the house without one of its own is built anew
    assert "1 built, 1 unchanged" in left([*command, "own.toml"], capsys)[1]
    assert paper("out/plain/labels.pdf") == [62.0, 29.0]


@pytest.mark.parametrize(
    ("stock", "arguments", "said"),
    [
        ("", ["A5"], "--labels: 'A5' is no file; expected A4, or a file with a table [labels]"),
        ("[other]\n", ["stock.toml"], "stock.toml: labels: is missing; expected a table [labels], be it empty"),
        ("[labels]\nskip = 14\n", ["stock.toml"], "stock.toml:2: labels.skip: a sheet has only 14 labels"),
        ("labels = 3\n", ["stock.toml"], "stock.toml:1: labels: found 3; expected "),
        ("[labels\n", ["stock.toml"], "stock.toml:1: is not TOML"),
        ("", ["A4", "--only", "lists"], "--labels: labels are not among the parts of --only; expected 'labels' among"),
        ("", ["."], ".: cannot be read (Is a directory)"),
    ],
)
def test_a_stock_that_cannot_be_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any, stock: str, arguments: list[str], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("plain.toml").write_text(house())
    Path("stock.toml").write_text(stock)
    code, out, err = left(["build", "plain.toml", "-o", "out", "--labels", *arguments], capsys)
    assert (code, out) == (2, "")
    assert err.startswith(f"platemodel: {said}")
    assert err.count("\n") == 1
    assert not Path("out").exists()
