"""What houses share and what is bought for all: worked out of frames alone, no file and no kernel."""

from __future__ import annotations

import csv
import errno
import io
import json
import os
import tempfile
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest
from houses import house

from platemodel.estate import records
from platemodel.estate.page import estate_page
from platemodel.estate.pooling import pooled
from platemodel.estate.records import begin, kept_lots
from platemodel.estate.sharing import shared_types
from platemodel.estate.summary import write_summary
from platemodel.estate.tables import Result, boards_table, summary_table, types_table
from platemodel.estate.values import House
from platemodel.frame import decide
from platemodel.frame.shape import TURNS, Cut, Shape, solid_code
from platemodel.frame.values import Piece
from platemodel.plan import parse_plan

YARD = "[stock]\nlengths = [4800, 6000]\nyard = [{ length = 6000, count = 2 }]\n"
SMALL = "[[0, 0], [2900, 0], [2900, 2900], [0, 2900]]"


def built(text: str) -> House:
    return House.of(decide(parse_plan(text)), [])


@pytest.fixture(scope="module")
def houses() -> list[tuple[str, House]]:
    turned = house("[[0, 0], [0, 6000], [-4000, 6000], [-4000, 0]]")
    longer = house("[[0, 0], [7000, 0], [7000, 4000], [0, 4000]]")
    better = house().replace("depth = 50", 'depth = 50\ngrade = "C24"')
    return [(name, built(text)) for name, text in zip("abcd", (house(), turned, longer, better), strict=True)]


def test_a_house_is_the_same_once_written_and_read(houses: list[tuple[str, House]]) -> None:
    for text in (house(), house().replace("[[shell]]", f"{YARD}[[shell]]")):
        made = built(text)
        assert House.from_plain(json.loads(json.dumps(made.plain()))) == made


def test_types_are_shared_by_solid_and_grade_whatever_way_walls_were_drawn(houses: list[tuple[str, House]]) -> None:
    types = shared_types(houses)
    where = {kind.name: {use.house for use in kind.uses} for kind in types}
    # the turned house has the same four plates, the longer one the short plates; another grade is another piece
    assert sorted(map(sorted, where.values())) == [
        *([["a", "b"]] * 2 + [["a", "b", "c"]] * 2 + [["c"]] * 2 + [["d"]] * 4),
    ]
    # the longer house's long sides are of two pieces each
    assert sum(kind.count for kind in types) == 4 + 4 + 6 + 4
    assert [kind.count for kind in types if kind.houses == 3] == [3, 3]
    alike = [kind for kind in types if kind.houses > 1]
    assert all(kind.grade == "C16" for kind in alike)


def test_the_code_of_a_solid_is_its_own_however_it_is_turned() -> None:
    shape = Shape(100.0, 50.0, (0.0, 0.0), (1000.0, 950.0), (Cut((0.0, 0.0), (101.0, 101.0), True),))
    codes = {solid_code(shape.turned(turn)) for turn in TURNS}
    assert len(codes) == 1
    mirrored = Shape(100.0, 50.0, (0.0, 0.0), (950.0, 1000.0), (Cut((0.0, 0.0), (101.0, 101.0), True),))
    deeper = Shape(100.0, 60.0, shape.low, shape.high, shape.cuts)
    moved = Shape(100.0, 50.0, shape.low, shape.high, (Cut((0.0, 0.0), (101.001, 101.001), True),))
    assert len({*codes, *map(solid_code, (mirrored, deeper, moved))}) == 4
    noisy = Shape(100.0, 50.0, (0.0, 1e-9), (1000.0 - 1e-9, 950.0), shape.cuts)
    assert solid_code(noisy) in codes


def test_boards_for_all_houses_hold_every_piece_once_and_are_fewer() -> None:
    # 2900 mm plates: of 6000 mm boards two come out of each, of a house's four plates none is left over but in pairs
    stock = "[stock]\nlengths = [9000]\nkerf = 3\n[[shell]]"
    houses = [(name, built(house(SMALL).replace("[[shell]]", stock))) for name in "abc"]
    (lot,) = pooled(houses)
    assert Counter(index for board in lot.boards for index in board.pieces) == Counter(range(12))
    assert {(name, mark) for name, mark, _ in lot.of} == {
        (name, timber.mark) for name, one in houses for timber in one.timbers
    }
    for board in lot.boards:
        assert sum(lot.of[index][2] for index in board.pieces) + 3 * (len(board.pieces) - 1) <= board.length
    # three of 2900 to a board of 9000: two boards a house alone, four for all three
    assert [one.boards for _, one in houses] == [2, 2, 2]
    assert lot.bought == 4
    assert lot.metres == pytest.approx(36.0)


def test_boards_for_the_same_houses_are_found_once(
    houses: list[tuple[str, House]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begin(tmp_path)
    found = kept_lots(tmp_path, houses)
    assert found == pooled(houses)
    with monkeypatch.context() as without:
        without.setattr(records, "pooled", None)
        assert kept_lots(tmp_path, houses) == found
        with pytest.raises(TypeError):
            kept_lots(tmp_path, houses[1:])
    assert kept_lots(tmp_path, houses[1:]) == pooled(houses[1:])
    (tmp_path / records.POOL).write_text("{}")
    assert kept_lots(tmp_path, houses) == found


def test_houses_of_other_sections_are_not_cut_from_one_board_and_a_yard_is_there_once() -> None:
    plain = built(house())
    other = built(house().replace("depth = 50", "depth = 75"))
    yards = [built(house().replace("[[shell]]", f"{YARD}[[shell]]")) for _ in range(2)]
    lots = pooled([("a", plain), ("b", other), ("c", yards[0]), ("d", yards[1])])
    assert sorted((lot.depth, len(lot.of)) for lot in lots) == [(50.0, 4), (50.0, 8), (75.0, 4)]
    (with_yard,) = [lot for lot in lots if len(lot.of) == 8]
    assert sum(board.yard for board in with_yard.boards) == 2


def test_a_yard_is_there_once_for_houses_of_other_grades_and_other_spares() -> None:
    texts = [house().replace("[[shell]]", f"{YARD}[[shell]]") for _ in range(3)]
    texts[1] = texts[1].replace("depth = 50", 'depth = 50\ngrade = "C24"')
    lots = pooled(list(zip("abc", map(built, texts), strict=True)))
    assert len(lots) == 2
    assert sum(board.yard for lot in lots for board in lot.boards) == 2


def test_boards_are_told_with_and_without_spare_ones() -> None:
    stock = "[stock]\nlengths = [9000]\nkerf = 3\nspare = 2\n[[shell]]"
    one = built(house(SMALL).replace("[[shell]]", stock))
    assert (one.boards, one.spare, one.metres) == (2, 2, 18.0)
    result = Result("a", "a.toml", one, folder="a")
    (row,) = csv.DictReader(io.StringIO(summary_table([result])))
    told = [row[name] for name in ("boards_without_spare", "spare_boards", "metres_without_spare")]
    assert told == ["2", "2", "18.00"]
    assert "2 boards, 18.0 m, needed house by house, and 2 spare" in estate_page("a", [result], [], None, pages=True)


def test_page_and_tables_tell_failures_and_hold_no_markup_of_others(houses: list[tuple[str, House]]) -> None:
    hostile = '<img src=x onerror="x()">'
    results = [Result(name, f"{name}.toml", one, folder=name) for name, one in houses]
    results.append(Result(hostile, "=1+1.toml", None, (f"{hostile} is wrong", *["more"] * 9), kept=True))
    types, lots = shared_types(houses), pooled(houses)
    page = estate_page("5 houses", results, types, lots, pages=True)
    assert "1 of 5 houses failed" in page
    assert "and 4 more in summary.csv" in page
    assert "still holds results of an earlier plan" in page
    assert "<img" not in page
    assert 'href="a/index.html"' in page
    assert "18 pieces" in page
    rows = summary_table(results).splitlines()
    assert len(rows) == 6
    assert "'=1+1.toml,,failed" in rows[-1]
    assert types_table(types, solids=True).count("/pieces/T") == len(types)
    assert boards_table(lots).count("\n") == 1 + sum(len(lot.boards) for lot in lots)
    assert [row.partition(",")[0] for row in boards_table(lots).splitlines()[1:3]] == ["P1", "P2"]
    assert "needed for the 4 good houses together" in page
    assert "with these boards they do not hold" in page
    assert "<h2>Boards for the 4 good houses together</h2>" in page
    sound = estate_page("4 houses", results[:-1], types, None, pages=False)
    assert "All 4 houses are proved" in sound
    assert "boards.csv" not in sound
    assert "do not hold" not in sound
    assert "<h2>Boards for all 4 houses together</h2>" in estate_page("4 houses", results[:-1], types, lots, pages=True)


@pytest.mark.parametrize("sign", "=+-@")
def test_a_folder_that_a_spreadsheet_would_take_for_a_formula_still_opens(
    sign: str, houses: list[tuple[str, House]], tmp_path: Path
) -> None:
    name = f"{sign}1+1"
    (tmp_path / name / "pieces").mkdir(parents=True)
    one = houses[0][1]
    for text in (
        summary_table([Result(name, f"{name}.toml", one, folder=name), Result(name, "", None, folder=name)]),
        types_table(shared_types([(name, one)]), solids=True),
    ):
        cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
        assert not [cell for cell in cells if cell.startswith(sign)]
        for row in csv.DictReader(io.StringIO(text)):
            path = row.get("folder") or row["file"].rpartition("/")[0]
            assert (tmp_path / path).samefile(tmp_path / name / ("pieces" if "file" in row else ""))


def test_waste_is_by_volume_where_widths_differ() -> None:
    wall = '[[cross]]\nleaf = 140\nplate_width = 75\nfrom = { wall = "front", at = 3000 }\nto = [3000, 4000]\n'
    frame = decide(parse_plan(f"{house()}{wall}"))
    cut = [(board.length, [frame.pieces[index] for index in board.pieces]) for board in frame.boards]
    assert {piece.laid.width for piece in frame.pieces} == {75.0, 100.0}

    def percent(across: Callable[[Piece], float]) -> float:
        used = sum(length * across(pieces[0]) for length, pieces in cut)
        return 100 * (1 - sum(piece.length * across(piece) for _, pieces in cut for piece in pieces) / used)

    one = House.of(frame, [])
    assert one.waste == pytest.approx(percent(lambda piece: piece.laid.width))
    assert one.waste != pytest.approx(percent(lambda _: 1.0), abs=0.1)
    page = estate_page("1 houses", [Result("a", "a.toml", one, folder="a")], [], pooled([("a", one)]), pages=True)
    assert "Waste, here and as waste_percent in summary.csv, is by volume" in page


@pytest.mark.parametrize("pool", [True, False])
def test_page_and_tables_are_all_new_or_all_as_they_were(
    pool: bool, houses: list[tuple[str, House]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def files() -> dict[str, str]:
        return {path.name: path.read_text("utf-8") for path in tmp_path.iterdir() if path.is_file()}

    results = [Result(name, f"{name}.toml", one, folder=name) for name, one in houses]
    begin(tmp_path)
    write_summary(tmp_path, results[1:], (), pool=True)
    before = files()
    assert sorted(before) == ["boards.csv", "index.html", "summary.csv", "types.csv"]
    real = tempfile.mkstemp

    def full(prefix: str, dir: Path) -> tuple[int, str]:
        if prefix.startswith(".index.html"):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(prefix=prefix, dir=dir)

    with monkeypatch.context() as without_room:
        without_room.setattr(tempfile, "mkstemp", full)
        with pytest.raises(OSError, match="No space left"):
            write_summary(tmp_path, results, (), pool)
    assert files() == before
    # where a folder stands in the page's way too
    page = (tmp_path / "index.html").read_text("utf-8")
    (tmp_path / "index.html").unlink()
    (tmp_path / "index.html").mkdir()
    with pytest.raises(IsADirectoryError):
        write_summary(tmp_path, results, (), pool)
    assert {**files(), "index.html": page} == before
    (tmp_path / "index.html").rmdir()
    write_summary(tmp_path, results, (), pool)
    after = files()
    assert set(before) - set(after) == (set() if pool else {"boards.csv"})
    assert all(after[name] != before[name] for name in after)
