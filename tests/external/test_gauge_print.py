"""The gauge sheet as it is printed: played as PDF, rasterised by poppler's pdftoppm, and measured in pixels.

An inch is 25.4 mm (international yard and pound agreement of 1959); paper sizes are of ISO 216.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from platemodel.frame import decide
from platemodel.plan import parse_plan
from platemodel.sheets.gauge_sheet import gauge_sheets
from platemodel.sheets.pdf import pdf

DPI = 600
INCH = 25.4
OFF = 0.1
"""What a gauge may be off, mm."""
PAPER = {"A4": (297.0, 210.0), "A3": (420.0, 297.0)}

PLAN = """
[job]
title = "Gauges"
sheet = "{size}"

[plate]
width = 100
depth = 50

[lap]
splice = 150

[[shell]]
leaf = 100
corners = [[0, 0], [9600, 0], [9600, 6600], [0, 6600]]
"""
LAPS = (101.0, 151.0)
"""The plate's width and the splice's overlap, each with the clearance of 1."""


def _raster(size: str, folder: Path) -> np.ndarray:
    """The first gauge sheet as printed, True where there is ink."""
    tool = shutil.which("pdftoppm")
    assert tool is not None, "pdftoppm of poppler-utils is missing: install it to measure the gauges as printed"
    pages = gauge_sheets(decide(parse_plan(PLAN.format(size=size))))
    (folder / "gauge.pdf").write_bytes(pdf([("gauges", pages[0])], "gauges", None, "gauges"))
    subprocess.run(
        [tool, "-r", str(DPI), "-gray", "-singlefile", str(folder / "gauge.pdf"), str(folder / "gauge")],
        check=True,
        timeout=60,
    )
    raw = (folder / "gauge.pgm").read_bytes()
    kind, width, height, most = raw.split(maxsplit=4)[:4]
    assert (kind, most) == (b"P5", b"255")
    count = int(width) * int(height)
    ink: np.ndarray = np.frombuffer(raw[-count:], np.uint8).reshape(int(height), int(width)) < 128
    return ink


def _mm(pixels: float) -> float:
    return pixels * INCH / DPI


def _long_lines(ink: np.ndarray, least: float) -> list[tuple[float, float, float]]:
    """Level lines at least so long, mm: height of the middle, and where the ink begins and ends."""
    most = round(least / INCH * DPI)
    # only rows with ink enough are looked at closely
    found: list[tuple[int, int, int]] = []
    for row in np.flatnonzero(ink.sum(axis=1) >= most):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], ink[row].astype(np.int8), [0]))))
        for begin, end in zip(edges[::2], edges[1::2], strict=True):
            if end - begin >= most:
                found.append((int(row), int(begin), int(end)))
    lines: list[list[tuple[int, int, int]]] = []
    for row, begin, end in found:
        near = [line for line in lines if row - line[-1][0] == 1 and abs(begin - line[-1][1]) < 4]
        if near and abs(end - near[0][-1][2]) < 4:
            near[0].append((row, begin, end))
        else:
            lines.append([(row, begin, end)])
    return [
        (
            _mm((line[0][0] + line[-1][0] + 1) / 2),
            _mm(min(begin for _, begin, _ in line)),
            _mm(max(end for _, _, end in line)),
        )
        for line in lines
    ]


@pytest.mark.parametrize("size", ["A4", "A3"])
def test_bars_and_gauges_measure_what_they_say(size: str, tmp_path: Path) -> None:
    ink = _raster(size, tmp_path)
    wide, high = PAPER[size]
    assert abs(_mm(ink.shape[1]) - wide) < OFF
    assert abs(_mm(ink.shape[0]) - high) < OFF
    lines = _long_lines(ink, 90.0)
    for wanted in (100.0, 4 * INCH, *LAPS):
        # the edges of a figure are the middles of its lines: the ink reaches half a line further at both ends
        pen = 0.25
        lengths = [end - begin - pen for _, begin, end in lines if abs(end - begin - pen - wanted) < 0.3]
        # the upper and the lower edge of each figure
        assert len(lengths) == 2, (wanted, lines)
        assert all(abs(length - wanted) < OFF for length in lengths), (wanted, lengths)


def test_the_half_depth_is_the_middle_of_the_depth_gauge(tmp_path: Path) -> None:
    ink = _raster("A4", tmp_path)
    # the depth gauge is the widest thing between 55 and 65 mm wide; its half edge 30 mm, its lower edge too
    lines = [line for line in _long_lines(ink, 28.0) if line[2] - line[1] < 65.0]
    (top,) = [line for line in lines if 59.0 < line[2] - line[1] < 61.0 and line[1] < 25.0]
    steps = [line for line in lines if 29.0 < line[2] - line[1] < 31.0 and top[0] < line[0] < top[0] + 52.0]
    assert [round(line[0] - top[0], 1) for line in sorted(steps)] == [
        pytest.approx(25.0, abs=OFF),
        pytest.approx(50.0, abs=OFF),
    ]
