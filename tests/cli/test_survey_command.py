"""``platemodel survey``: what it writes, what it says, and every fault at its file, line and column."""

from __future__ import annotations

import csv
import itertools
import math
from pathlib import Path

import pytest
from faulty import left

PLACES = {"P0": (0.0, 0.0), "P1": (9.6, 0.0), "P2": (9.6, 6.6), "P3": (0.0, 6.6), "M": (3.0, 2.5), "N": (7.0, 4.2)}

Capture = pytest.CaptureFixture[str]


def table(folder: Path, sd: str = "", slip: float = 0.0, name: str = "tape.csv") -> Path:
    """All lengths between places, in metres, with a slip from P1 to P3."""
    path = folder / name
    lines = [f"from,to,length{',sd' if sd else ''}"]
    for a, b in itertools.combinations(PLACES, 2):
        length = math.dist(PLACES[a], PLACES[b]) + (slip if (a, b) == ("P1", "P3") else 0.0)
        lines.append(f"{a},{b},{length:.4f}{',' + sd if sd else ''}")
    path.write_text("\n".join(lines) + "\n")
    return path


def rows(path: Path) -> list[dict[str, str]]:
    with open(path, newline="") as stream:
        return list(csv.DictReader(stream))


def survey(tape: Path, folder: Path, *more: str) -> list[str]:
    return ["survey", str(tape), "-o", str(folder), *(more or ("--hold", "P0", "--along", "P1"))]


def test_points_and_lines(tmp_path: Path, capsys: Capture) -> None:
    code, out, err = left(survey(table(tmp_path), tmp_path / "out"), capsys)
    assert (code, err) == (0, "")
    assert out.startswith("6 points, 15 lengths, 6 more than needed\n")
    assert sorted(item.name for item in (tmp_path / "out").iterdir()) == ["lines.csv", "points.csv"]
    points = rows(tmp_path / "out" / "points.csv")
    assert list(points[0]) == ["point", "x", "y", "sx", "sy"]
    for row in points:
        assert (float(row["x"]), float(row["y"])) == pytest.approx(PLACES[row["point"]], abs=2e-4)
        assert "e" not in row["x"] + row["y"] + row["sx"] + row["sy"]
    lines = rows(tmp_path / "out" / "lines.csv")
    assert list(lines[0]) == ["from", "to", "observed", "adjusted", "residual", "standardised"]
    assert len(lines) == 15
    for row in lines:
        assert float(row["adjusted"]) - float(row["observed"]) == pytest.approx(float(row["residual"]), abs=2e-6)
        assert float(row["observed"]) == pytest.approx(math.dist(PLACES[row["from"]], PLACES[row["to"]]), abs=1e-4)


def test_same_table_same_bytes_into_the_same_folder(tmp_path: Path, capsys: Capture) -> None:
    tape = table(tmp_path, sd="0.003")
    found = []
    for _ in range(2):
        assert left(survey(tape, tmp_path / "out"), capsys)[0] == 0
        found.append({item.name: item.read_bytes() for item in (tmp_path / "out").iterdir()})
    assert found[0] == found[1]


@pytest.mark.parametrize("sd", ["0.003", ""])
def test_slip_of_a_metre_is_named(tmp_path: Path, capsys: Capture, sd: str) -> None:
    code, _, err = left(survey(table(tmp_path, sd=sd, slip=1.0), tmp_path / "out"), capsys)
    assert code == 0
    assert "take again the reading from P1 to P3: it is 1" in err
    assert " more than the others make it" in err
    worst = max(rows(tmp_path / "out" / "lines.csv"), key=lambda row: abs(float(row["standardised"])))
    assert (worst["from"], worst["to"]) == ("P1", "P3")


def test_standardised_by_the_standard_errors_that_are_given(tmp_path: Path, capsys: Capture) -> None:
    """Halving all standard errors doubles it and leaves all else as it was."""
    for name, sd in (("one", "0.004"), ("two", "0.002")):
        assert left(survey(table(tmp_path, sd=sd, slip=0.01), tmp_path / name), capsys)[0] == 0
    for one, two in zip(rows(tmp_path / "one" / "lines.csv"), rows(tmp_path / "two" / "lines.csv"), strict=True):
        assert float(two["standardised"]) == pytest.approx(2 * float(one["standardised"]), abs=1e-5)
        assert float(two["residual"]) == pytest.approx(float(one["residual"]), abs=1e-6)
    assert rows(tmp_path / "one" / "points.csv") == rows(tmp_path / "two" / "points.csv")


def test_near_says_on_which_side_points_lie(tmp_path: Path, capsys: Capture) -> None:
    near = tmp_path / "near.csv"
    # rough, somewhere else and turned about: P0 to P1 runs north
    mirrored = {name: (100.0 + y, 50.0 + x) for name, (x, y) in PLACES.items()}
    near.write_text("point,x,y\n" + "".join(f"{name},{x + 0.2},{y}\n" for name, (x, y) in mirrored.items()))
    more = ("--hold", "P0", "--along", "P1", "--near", str(near))
    assert left(survey(table(tmp_path), tmp_path / "out", *more), capsys)[0] == 0
    for row in rows(tmp_path / "out" / "points.csv"):
        x, y = PLACES[row["point"]]
        assert (float(row["x"]), float(row["y"])) == pytest.approx((x, -y), abs=2e-4)


def test_point_that_may_lie_on_either_side_is_said(tmp_path: Path, capsys: Capture) -> None:
    tape = tmp_path / "tape.csv"
    tape.write_text("from,to,length\nA,B,4\nA,C,5\nB,C,3\nB,D,5\nC,D,4\n")
    code, out, err = left(survey(tape, tmp_path / "out", "--hold", "A", "--along", "B"), capsys)
    assert code == 0
    assert "no length checks another" in out
    assert "D may as well lie on the other side of the line " in err
    assert "--near" in err
    blank = {row["sx"] for row in rows(tmp_path / "out" / "points.csv")}
    assert blank == {""}


BAD = [
    ("", "tape.csv: is empty; expected the columns from, to, length, sd"),
    ("from,to\nA,B\n", "tape.csv:1: length: there is no such column in the first line; expected a first line such as"),
    (
        "from,to,lenght\nA,B,1\n",
        "tape.csv:1: length: there is no such column in the first line; did you mean 'lenght'?",
    ),
    ("from;to;length\nA;B;1\n", "expected commas between the columns, as in from,to,length,sd"),
    ("from,to,length\nA,B,\uff11\uff12\n", "tape.csv:2: length: found '\uff11\uff12'; expected a number above"),
    ("from,to,length,colour\nA,B,1,red\n", "tape.csv:1: colour: found the column 'colour'; expected from,to,length,sd"),
    ("from,to,length\n", "tape.csv: found no length"),
    ("from,to,length\nA,B,1\n\nA,C,x1\n", "tape.csv:4: length: found 'x1'; expected a number above 0.000001"),
    ("from,to,length\nA,B,-1\n", "tape.csv:2: length: found '-1'; expected a number above 0.000001"),
    ("from,to,length\nA,B,nan\n", "tape.csv:2: length: found 'nan'"),
    ("from,to,length\nA,B,inf\n", "tape.csv:2: length: found 'inf'"),
    ("from,to,length\nA,B,6,6\n", "tape.csv:2: found 4 cells; expected 3, with a point in decimals"),
    ("from,to,length\nA,A,1\n", "tape.csv:2: to: found 'A' again"),
    ("from,to,length\n,A,1\n", "tape.csv:2: from: found nothing; expected a point's name"),
    ("from,to,length,sd\nA,B,1,0\n", "tape.csv:2: sd: found '0'; expected a number above 0.000001"),
    ("from,to,length,sd\nA,B,1,0.1\nB,C,1,\n", "tape.csv:3: sd: found a standard error on some lines only"),
    ('from,to,length\n"A,B,1\n', "expected cells with commas between"),
    ("from,to,length\nA,B,3\nB,C,4\nC,D,3\nD,A,4\n", "C, D cannot be determined: add a diagonal"),
    ("from,to,length\nA,C,3\nB,D,4\n", "B cannot be determined: add lengths that tie B to A"),
]


@pytest.mark.parametrize(("text", "words"), BAD, ids=range(len(BAD)))
def test_bad_table_is_told_and_nothing_is_written(tmp_path: Path, capsys: Capture, text: str, words: str) -> None:
    tape = tmp_path / "tape.csv"
    tape.write_text(text, "utf-8")
    code, out, err = left(survey(tape, tmp_path / "out", "--hold", "A", "--along", "B"), capsys)
    assert (code, out) == (2, "")
    assert words in err
    assert err.startswith("platemodel: ")
    assert [item.name for item in tmp_path.iterdir()] == ["tape.csv"]


def test_all_faults_of_a_table_at_once(tmp_path: Path, capsys: Capture) -> None:
    tape = tmp_path / "tape.csv"
    tape.write_text("from,to,length\nA,B,x\nA,A,1\n,C,-3\n")
    _, _, err = left(survey(tape, tmp_path / "out", "--hold", "A", "--along", "B"), capsys)
    assert len(err.splitlines()) == 4


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--hold", "P0"), "expected --hold and --along"),
        (("--hold", "P0", "--along", "P0"), "--along: found the point of --hold"),
        (("--hold", "P9", "--along", "P1"), "--hold: there is no point 'P9'"),
        (("--hold", "P0", "--along", "P1", "--fixed", "known.csv"), "--fixed: found beside --hold"),
        (("--fixed", "known.csv"), "known.csv: 1 of its points are in"),
        (("--fixed", "none.csv"), "none.csv: cannot be read (No such file or directory)"),
        (("--hold", "P0", "--along", "P1", "--near", "known.csv"), "expected the points of --hold and --along in it"),
    ],
)
def test_bad_options_are_told(
    tmp_path: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch, more: tuple[str, ...], words: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("known.csv").write_text("point,x,y\nP1,0,0\nQ,1,1\n")
    tape = table(tmp_path)
    code, _, err = left(survey(tape, Path("out"), *more), capsys)
    assert code == 2
    assert words in err
    assert not Path("out").exists()


def test_folder_of_others_is_left_alone(tmp_path: Path, capsys: Capture) -> None:
    tape, folder = table(tmp_path), tmp_path / "out"
    folder.mkdir()
    (folder / "letters.txt").write_text("mine")
    code, _, err = left(survey(tape, folder), capsys)
    assert code == 2
    assert "holds letters.txt" in err
    assert [item.name for item in folder.iterdir()] == ["letters.txt"]
    code, _, err = left(survey(tape, tape), capsys)
    assert code == 2
    assert "is a file" in err


def test_table_that_is_not_text(tmp_path: Path, capsys: Capture) -> None:
    tape = tmp_path / "tape.csv"
    tape.write_bytes(b"from,to,length\nA,\xff\xfe,1\n")
    code, _, err = left(survey(tape, tmp_path / "out", "--hold", "A", "--along", "B"), capsys)
    assert code == 2
    assert "tape.csv:2: is not text in UTF-8" in err


def test_a_name_is_no_formula(tmp_path: Path, capsys: Capture) -> None:
    tape = tmp_path / "tape.csv"
    tape.write_text("from,to,length\nA,=1+1,3\n=1+1,C,4\nC,A,5\n")
    assert left(survey(tape, tmp_path / "out", "--hold", "A", "--along", "=1+1"), capsys)[0] == 0
    assert [row["point"] for row in rows(tmp_path / "out" / "points.csv")] == ["A", "'=1+1", "C"]
    assert rows(tmp_path / "out" / "lines.csv")[0]["to"] == "'=1+1"


@pytest.mark.parametrize(
    ("table", "fixed", "words"),
    [
        ("A,B,1e-200\nB,C,1e-200\nC,A,1e-200\n", None, "above 0.000001"),
        ("A,B,10\n", "A,0,0\nB,1,1\n", "holds every point"),
    ],
)
def test_what_no_tape_tells_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture, table: str, fixed: str | None, words: str
) -> None:
    (tmp_path / "t.csv").write_text(f"from,to,length\n{table}")
    options = ["--hold", "A", "--along", "B"]
    if fixed is not None:
        (tmp_path / "p.csv").write_text(f"point,x,y\n{fixed}")
        options = ["--fixed", "p.csv"]
    monkeypatch.chdir(tmp_path)
    code, _, err = left(["survey", "t.csv", *options, "-o", "out"], capsys)
    assert (code, words in err) == (2, True)
    assert not (tmp_path / "out").exists()
