"""Lines of key paths, and faults of files that cannot be read at all."""

from __future__ import annotations

from typing import Any

import pytest
from faulty import SOUND

from platemodel.faults import PlanError
from platemodel.plan import read_plan
from platemodel.plan.lines import find_lines


def test_lines_of_all_that_toml_offers() -> None:
    text = '''# remark
job.title = "a # b"
[plate]
width = 100 # remark
"depth" = """
fifty
"""
[[shell]]
corners = [[0, 0],
  [1, 2], # remark with ]
  [3, 4]]
[[shell]]
walk = [ 5, "L",
  6 ]
[shell.more.deep]
x = { y = 1, "z.z" = [1,
 2] }
[a.b.c]
'''
    lines = find_lines(text)
    expected = {
        ("job", "title"): 2,
        ("plate",): 3,
        ("plate", "width"): 4,
        ("plate", "depth"): 5,
        ("shell", 0): 8,
        ("shell", 0, "corners"): 9,
        ("shell", 0, "corners", 1, 0): 10,
        ("shell", 0, "corners", 2): 11,
        ("shell", 1): 12,
        ("shell", 1, "walk", 2): 14,
        ("shell", 1, "more", "deep", "x", "y"): 16,
        ("shell", 1, "more", "deep", "x", "z.z", 1): 17,
        ("a",): 18,
        ("a", "b", "c"): 18,
    }
    assert {path: lines.get(path) for path in expected} == expected


def test_many_brackets_take_no_time() -> None:
    assert len(find_lines("a = [" + "[[1]]," * 100_000 + "]")) > 100_000


def test_line_ends_of_another_system_and_a_byte_order_mark(tmp_path: Any) -> None:
    path = tmp_path / "plan.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SOUND.replace("\n", "\r\n").encode())
    assert len(read_plan(path).walls) == 5


def told(path: Any) -> Any:
    with pytest.raises(PlanError) as caught:
        read_plan(path)
    assert len(caught.value.faults) == 1
    return str(caught.value)


def test_files_that_cannot_be_read(tmp_path: Any) -> None:
    assert told(tmp_path / "none.toml").endswith(
        "none.toml: cannot be read (No such file or directory); expected a plan file in TOML"
    )
    assert "cannot be read (Is a directory)" in told(tmp_path)
    (tmp_path / "file").write_text("")
    assert "cannot be read (Not a directory)" in told(tmp_path / "file" / "plan.toml")
    assert "is empty" in told(tmp_path / "file")


@pytest.mark.parametrize(
    ("raw", "line", "found"),
    [
        (b'[job]\ntitle = "caf\xe9"\n', 2, "byte 0xe9 is not UTF-8"),
        ("[job]\n".encode("utf-16"), 1, "byte 0xff is not UTF-8"),
        (b"\x00\x01\x02", 1, "is not TOML"),
        (bytes(range(256)), 1, "byte 0x80 is not UTF-8"),
    ],
)
def test_files_that_are_no_text(tmp_path: Any, raw: Any, line: Any, found: Any) -> None:
    path = tmp_path / "plan.toml"
    path.write_bytes(raw)
    text = told(path)
    line = raw[:128].count(b"\n") + 1 if raw == bytes(range(256)) else line
    assert f"plan.toml:{line}: {found}" in text
    assert text.isprintable()


def test_file_too_large_is_not_read_on(tmp_path: Any) -> None:
    path = tmp_path / "plan.toml"
    with open(path, "wb") as stream:
        stream.truncate(10**12)
    assert "is larger than 8 MB" in told(path)
