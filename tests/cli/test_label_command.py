"""Labels as a part of a build: where the plan has a stock for them, and told where it has none."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from faulty import left
from houses import house


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
    assert (
        err == "platemodel: plain.toml: labels are asked for but the plan has no [labels]; expected it, be it empty\n"
    )
    assert not Path("out").exists()
