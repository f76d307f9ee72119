"""What frame.ifc and the DXF drawings add to a build: milliseconds a piece, each in a process of its own.

    python tests/bench/exports.py

Loading what writes them is counted in; the least of three runs is told, in processor time.
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
    begin = time.process_time()
    if sys.argv[1] == "ifc":
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
        for kind in ("ifc", "dxf"):
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
