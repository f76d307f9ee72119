"""What frame.step, frame.ifc and the DXF drawings add to a build: milliseconds a piece, each in a process of its own.

    python tests/bench/exports.py

The least of three runs is told, in processor time. Loading what writes IFC and DXF is counted in; the CAD kernel is
loaded before, as the proof needs it too. Of STEP it is all of the writing of frame.step, its solids made and its
properties and attributes with it: what these add alone, some 0.1 ms a piece, is less than one run differs from another.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

RUNS = 3

ONE = """
import sys, time
from pathlib import Path
from tempfile import TemporaryDirectory
from platemodel.frame import decide
from platemodel.plan import parse_plan
frame = decide(parse_plan(sys.stdin.read()))
with TemporaryDirectory() as folder:
    if sys.argv[1] == "step":
        from platemodel.export.step import write_frame_step
    begin = time.process_time()
    if sys.argv[1] == "step":
        write_frame_step(frame, Path(folder))
    elif sys.argv[1] == "ifc":
        from platemodel.export.ifc import write_ifc
        write_ifc(frame, Path(folder) / "frame.ifc", True)
    else:
        from platemodel.export.dxf_drawings import write_dxfs
        write_dxfs(frame, Path(folder), True)
    print(1000 * (time.process_time() - begin), len(frame.pieces))
"""


def main() -> None:
    """Print a row a plan and kind of file."""
    from terrace import terrace

    bungalow = (Path(__file__).parents[2] / "examples" / "bungalow.toml").read_text("utf-8")
    for text in (bungalow, terrace(12)):
        for kind in ("step", "ifc", "dxf"):
            done = [
                subprocess.run(
                    [sys.executable, "-c", ONE, kind], input=text, capture_output=True, text=True, check=True
                )
                for _ in range(RUNS)
            ]
            spent, pieces = min(tuple(float(part) for part in run.stdout.split()) for run in done)
            print(f"{pieces:4.0f} pieces, {kind}: {spent:6.1f} ms, {spent / pieces:5.2f} ms a piece")


if __name__ == "__main__":
    main()
