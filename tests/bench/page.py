"""How soon the page of a long terrace shows its frame, and how smoothly it turns; nothing is asserted.

Run as ``python tests/bench/page.py [bays]``; 103 bays are some 400 pieces.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright
from terrace import terrace

from platemodel.export.report import report
from platemodel.frame import decide
from platemodel.plan import read_plan
from platemodel.sheets import drawn
from platemodel.web import index_page

SOFTWARE = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"]
TURNING = """async () => {
  const spent = [];
  let last = performance.now();
  for (let frame = 0; frame < 90; frame += 1) {
    platemodel.orbit(0.03, 0);
    await new Promise((done) => requestAnimationFrame(done));
    spent.push(performance.now() - last);
    last = performance.now();
  }
  return spent.slice(10);
}"""
FIRST = "performance.getEntriesByName('first picture')[0].startTime"


def main(bays: int) -> None:
    """Make the page, open it three times, and print what was measured."""
    with tempfile.TemporaryDirectory() as folder:
        plan = Path(folder) / "plan.toml"
        plan.write_text(terrace(bays), "utf-8")
        frame = decide(read_plan(plan))
        page = Path(folder) / "index.html"
        text = index_page(frame, report(frame, [], None), drawn(frame), [])
        page.write_text(text, "utf-8")
        print(f"{len(frame.pieces)} pieces, page of {len(text.encode()) / 1e6:.2f} MB")
        with sync_playwright() as driver:
            path = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
            browser = driver.chromium.launch(executable_path=path, args=SOFTWARE)
            for _ in range(3):
                tab = browser.new_page(viewport={"width": 1280, "height": 900})
                tab.goto(page.as_uri())
                first, spent = tab.evaluate(FIRST), tab.evaluate(TURNING)
                print(f"first picture {first:.0f} ms, turning: median frame {statistics.median(spent):.1f} ms")
                tab.close()
            browser.close()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 103)
