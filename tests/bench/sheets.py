"""Measure what sheets, pack and page add to a build: python tests/bench/sheets.py [runs].

The main demo, and a plan of more than a hundred types. Each figure is the median of builds with all
parts less that of builds with solids and lists alone, run in turn. Nothing here passes or fails.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

from run import ROOT, Timed, alternate
from terrace import sheds


def main(runs: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        many = folder / "sheds.toml"
        many.write_text(sheds(26))
        for words, plan in (("main demo", ROOT / "examples" / "bungalow.toml"), ("many types", many)):
            command = [sys.executable, "-m", "platemodel", "build", str(plan), "-o"]
            whole = Timed([*command, str(folder / f"all-{plan.stem}")])
            bare = Timed([*command, str(folder / f"bare-{plan.stem}"), "--only", "solids,lists"])
            alternate(runs, whole, bare)
            report = json.loads((folder / f"all-{plan.stem}" / "report.json").read_text("utf-8"))
            sheets = len(list((folder / f"all-{plan.stem}" / "sheets").glob("*.svg")))
            added = whole.median - bare.median
            print(
                f"{words}, {len(report['types'])} types, {sheets} sheets: {whole.median:.2f} s, "
                f"without pack, sheets and page {bare.median:.2f} s; they add {added:.2f} s, "
                f"{1000 * added / sheets:.1f} ms a sheet"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
