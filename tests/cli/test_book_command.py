"""``platemodel book``: readings in, levels out, and what it says to bad input."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest

from platemodel.cli import main

GOOD = """station,backsight,intermediate,foresight
BM,2.228,,
1,,1.606,
2,2.090,,0.988
3,,2.864,
4,0.602,,1.262
5,1.044,,1.982
6,,,2.684
"""


def run(arguments: list[str], capsys: Any) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        main(["book", *arguments])
    said = capsys.readouterr()
    return int(left.value.code or 0), said.out, said.err


def levels(folder: Path) -> list[dict[str, str]]:
    with open(folder / "levels.csv", encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.fixture
def table(tmp_path: Path) -> Path:
    file = tmp_path / "readings.csv"
    file.write_text(GOOD, "utf-8")
    return file


def test_a_book_is_written_and_its_checks_are_said(table: Path, tmp_path: Path, capsys: Any) -> None:
    folder = tmp_path / "deep" / "out"
    code, out, err = run([str(table), "--level", "432.384", "-o", str(folder)], capsys)
    assert (code, err) == (0, "")
    assert [file.name for file in folder.iterdir()] == ["levels.csv"]
    rows = levels(folder)
    assert list(rows[0]) == ["station", "rise", "fall", "collimation", "level", "adjusted"]
    assert list(rows[0].values()) == ["BM", "", "", "434.612", "432.384", "432.384"]
    assert list(rows[2].values()) == ["2", "0.618", "", "435.714", "433.624", "433.624"]
    assert list(rows[-1].values()) == ["6", "", "1.640", "", "431.432", "431.432"]
    assert out.count("= -0.952") == 3
    assert "checks hold" in out
    # again over its own earlier file, closed at a known level
    code, out, _ = run([str(table), "--level", "432.384", "--close", "431.430", "-o", str(folder)], capsys)
    assert code == 0
    assert "misclosure 0.002" in out
    assert [row["adjusted"] for row in levels(folder)] == [
        *("432.3840", "433.0055", "433.6235", "432.8490", "434.4510", "433.0705", "431.4300"),
    ]
    assert "MORE THAN IS ALLOWED" not in out
    _, out, _ = run([str(table), "--level", "432.384", "--close", "431.400", "-o", str(folder)], capsys)
    assert "MORE THAN IS ALLOWED" in out


def test_the_same_table_gives_the_same_bytes(table: Path, tmp_path: Path, capsys: Any) -> None:
    for name in ("a", "b"):
        assert run([str(table), "--level", "10", "-o", str(tmp_path / name)], capsys)[0] == 0
    assert (tmp_path / "a" / "levels.csv").read_bytes() == (tmp_path / "b" / "levels.csv").read_bytes()


def test_tables_as_programs_write_them(tmp_path: Path, capsys: Any) -> None:
    file = tmp_path / "t.csv"
    text = (
        GOOD.replace("station,", "Remarks, Station ,")
        .replace("\nBM", "\nset up,BM")
        .replace("BM,2.228,,", "BM, 2.228 ")
    )
    lines = text.splitlines()
    body = "\r\n".join([*lines[:2], ",,,,", *("," + line for line in lines[2:]), "", ""])
    file.write_bytes(b"\xef\xbb\xbf" + body.encode())
    code, _, err = run([str(file), "--level", "-0.5", "-o", str(tmp_path / "o")], capsys)
    assert (code, err) == (0, "")
    assert levels(tmp_path / "o")[-1]["level"] == "-1.452"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("2,2.090,,0.988", "2,2.090,,", ":4: foresight: a change point without a foresight; expected"),
        ("BM,2.228,,", "BM,,,", ":2: backsight: no backsight at the first station; expected"),
        ("6,,,2.684", "6,,2.684,", ":8: foresight: no foresight at the last station; expected"),
        ("3,,2.864,", "3,1.0,2.864,", ":5: intermediate: an intermediate sight beside a backsight; expected"),
        ("3,,2.864,", "3,,2.864,1.0", ":5: intermediate: an intermediate sight beside a foresight; expected"),
        ("3,,2.864,", "3,,,", ":5: intermediate: no reading; expected"),
        ("3,,2.864,", "3,,2864,", ":5: intermediate: 2864 is off the staff; expected metres"),
        ("3,,2.864,", '3,,"2,864",', ":5: intermediate: found '2,864'; expected a number of metres"),
        ("3,,2.864,", "3,,deep,", ":5: intermediate: found 'deep'; expected a number of metres"),
        ("3,,2.864,", ",,2.864,", ":5: station: no name; expected"),
        (
            "foresight\n",
            "forsight\n",
            ":1: foresight: there is no such column in the first line; did you mean 'forsight'?",
        ),
        ("foresight\n", "foresight,station\n", ":1: station: this column stands twice; expected it once"),
        ("3,,2.864,", '3,,"2.864,', "is not CSV"),
        ("3,,2.864,", "3,,2,864,9", ":5: found 5 cells; expected 4, with a point in decimals"),
    ],
)
def test_bad_tables_are_refused_by_line_and_column(old: str, new: str, said: str, tmp_path: Path, capsys: Any) -> None:
    file = tmp_path / "t.csv"
    assert old in GOOD
    file.write_text(GOOD.replace(old, new, 1), "utf-8")
    code, out, err = run([str(file), "--level", "10", "-o", str(tmp_path / "o")], capsys)
    assert (code, out) == (2, "")
    assert f"{file}" in err
    assert said in err
    assert not (tmp_path / "o").exists()


def test_all_faults_come_at_once(tmp_path: Path, capsys: Any) -> None:
    file = tmp_path / "t.csv"
    file.write_text(GOOD.replace("1.606", "1606").replace("2.864", "2864"), "utf-8")
    _, _, err = run([str(file), "--level", "10", "-o", str(tmp_path / "o")], capsys)
    assert len(err.splitlines()) == 2


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (b"station\n\xff\xfe\x00", "t.csv:2: is not text in UTF-8"),
        (b"station,backsight,intermediate,foresight\n", ":1: station: no row; expected"),
        (b"station;backsight;intermediate;foresight\nBM;1;;\n", "expected commas between the columns"),
    ],
)
def test_what_is_no_table_is_refused(data: bytes, said: str, tmp_path: Path, capsys: Any) -> None:
    file = tmp_path / "t.csv"
    file.write_bytes(data)
    code, _, err = run([str(file), "--level", "10", "-o", str(tmp_path / "o")], capsys)
    assert code == 2
    assert said in err
    assert not (tmp_path / "o").exists()


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--level", "ten"], "--level: found 'ten'; expected a number of metres"),
        (["--level", "100000.001"], "--level: found 100000.001; expected metres"),
        (["--level", "10", "--close", "1,5"], "--close: found '1,5'; expected a number of metres"),
        ([], "--level"),
    ],
)
def test_bad_levels_are_refused(options: list[str], said: str, table: Path, tmp_path: Path, capsys: Any) -> None:
    code, _, err = run([str(table), *options, "-o", str(tmp_path / "o")], capsys)
    assert code == 2
    assert said in err
    assert not (tmp_path / "o").exists()


def test_no_file_of_another_is_touched(table: Path, tmp_path: Path, capsys: Any) -> None:
    kept = tmp_path / "mine"
    kept.mkdir()
    for name, text in (("note.txt", "keep"), ("levels.csv", GOOD)):
        (kept / name).write_text(text, "utf-8")
        code, _, err = run([str(table), "--level", "10", "-o", str(kept)], capsys)
        assert code == 2
        assert "not this command's" in err
        assert (kept / name).read_text("utf-8") == text
        (kept / name).unlink()
    # beside its own file
    assert run([str(table), "--level", "10", "-o", str(kept)], capsys)[0] == 0
    before = (kept / "levels.csv").read_bytes()
    (kept / "note.txt").write_text("keep", "utf-8")
    assert run([str(table), "--level", "11", "-o", str(kept)], capsys)[0] == 2
    assert (kept / "levels.csv").read_bytes() == before
    code, _, err = run([str(table), "--level", "10", "-o", str(table)], capsys)
    assert code == 2
    assert "is a file" in err
    code, _, err = run([str(tmp_path / "none.csv"), "--level", "10", "-o", str(tmp_path / "o")], capsys)
    assert code == 2
    assert "cannot be read" in err
    assert not (tmp_path / "o").exists()


def test_a_name_is_no_formula(tmp_path: Path, capsys: Any) -> None:
    file = tmp_path / "t.csv"
    file.write_text(GOOD.replace("\n1,,", "\n=1+1,,"), "utf-8")
    assert run([str(file), "--level", "10", "-o", str(tmp_path / "o")], capsys)[0] == 0
    assert levels(tmp_path / "o")[1]["station"] == "'=1+1"
