"""The page asks for nothing, runs nothing that a plan brings, and is the same each time."""

from __future__ import annotations

import functools
import http.server
import re
import shutil
import threading
from pathlib import Path
from typing import Any

import pytest
from carried import SPACE, sheets_of, space_script
from playwright.sync_api import expect
from web_pages import ROOT, Opener, page_of, write_page

from platemodel.frame import Frame
from platemodel.sheets import drawn, fragment
from platemodel.web.carrying import packed

HOSTILE = "</script><script>hurt=1</script><img src=x onerror=hurt=2>"
"""57 characters, as long as a name may be."""

TITLE = f"{HOSTILE}{'<svg onload=hurt=3>'}<!--&amp;&quot;\\\"'" + "W" * 95
PLAN = f"""
[job]
title = "{TITLE}"
number = "{HOSTILE}"
revision = "<b>"
owner = "{HOSTILE}"
creator = "{HOSTILE}"
approver = "{HOSTILE}"

[plate]
width = 100
depth = 50

[stock]
lengths = [3600, 4200, 4800]

[[shell]]
name = "{HOSTILE}"
leaf = 100
corners = [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]
walls = ["{HOSTILE}", "a&lt;b", "'\\"><i>", "${{own}}"]

[[opening]]
name = "{HOSTILE}"
wall = "a&lt;b"
from = 1000
to = 1900

[[bearing]]
name = "{HOSTILE}"
wall = "a&lt;b"
at = 1500
width = 35
"""
ONE_PIECE = """
[job]
title = "One plate"
[plate]
width = 100
depth = 50
[stock]
lengths = [3600]
[[shell]]
name = "wall"
leaf = 100
closed = false
corners = [[0, 0], [3000, 0]]
"""


def test_texts_of_a_plan_are_shown_and_never_run(open_page: Opener, tmp_path: Path) -> None:
    opened = open_page(write_page(tmp_path / "job", PLAN, passed=False))
    title = TITLE.replace('\\"', '"')
    assert opened.js("document.querySelector('h1').textContent") == title
    assert opened.js("document.title") == f"{title} – wall plates"
    walls = opened.js("platemodel.pieces.flatMap((piece) => piece.walls)")
    assert {HOSTILE, "a&lt;b", "'\"><i>", "${own}"} == set(walls)
    texts = opened.js("[...document.querySelectorAll('#list .about')].map((one) => one.textContent)")
    assert all(any(wall in text for text in texts) for wall in walls)
    for mark in opened.js("platemodel.pieces.map((piece) => piece.mark)"):
        opened.js(f"platemodel.pick('{mark}')")
    assert opened.js("typeof hurt") == "undefined"
    assert opened.js("document.querySelectorAll('img, body i:not(.swatch), main b:not(.legend b)').length") == 0
    assert "NOT PROVED – DO NOT CUT" in opened.page.locator("#verdict").inner_text()
    assert "Do not cut" in opened.page.locator("#next").inner_text()


def test_a_script_that_is_not_the_pages_own_is_refused(open_page: Opener, built: Path, tmp_path: Path) -> None:
    text = built.read_text("utf-8").replace("</body>", "<script>hurt = 1</script><img src=x onerror='hurt = 2'></body>")
    # nor does one that is packed in the place of the 3D view's
    text = SPACE.sub(f'<template id="space-script">{packed("var hurt = 3, THREE = {};")}</template>', text)
    (tmp_path / "index.html").write_text(text, "utf-8")
    opened = open_page(tmp_path / "index.html")
    assert opened.js("typeof hurt") == "undefined"
    assert sum("Content Security Policy" in complaint for complaint in opened.complaints) >= 3
    assert "copy of the page is spoiled" in opened.page.locator(".no-space").inner_text()
    opened.complaints.clear()


@pytest.mark.parametrize("why", ["too old", "spoiled"])
def test_where_nothing_can_be_unpacked_the_page_says_so_and_the_rest_works(
    open_page: Opener, built: Path, tmp_path: Path, why: str
) -> None:
    path = built
    if why == "spoiled":
        # a letter of each packed text is another one, as the check sum tells
        path = tmp_path / "index.html"
        path.write_text(re.sub(r"(<template [^>]+>.{40})(.)", _other_letter, built.read_text("utf-8")), "utf-8")
    opened = open_page(path, before=PRINTED + ("delete window.DecompressionStream;" if why == "too old" else ""))
    page = opened.page
    words = "This browser is too old" if why == "too old" else "This copy of the page is spoiled"
    assert words in page.locator(".no-space").inner_text()
    expect(page.locator("#sheet-paper")).to_contain_text(words)
    assert "pack.pdf" in page.locator("#sheet-paper").inner_text()
    page.click("#print-all")
    page.locator('#list .pick[data-mark="D1"]').click()
    assert opened.picked == "D1"
    assert page.locator("#joints-scroll tbody tr").count() == len(opened.js("platemodel.joints"))
    assert page.locator("#plan-paper g.picked").count() >= 1
    page.locator("#step").fill("3")
    assert "Shown: 1 to 3" in page.locator("#sentence").inner_text()
    # paper is not spent on words
    assert opened.js("window.printed") is None


PRINTED = "window.print = () => { window.printed = true; };"


def _other_letter(found: re.Match[str]) -> str:
    return found[1] + ("A" if found[2] != "A" else "B")


def test_the_page_asks_for_nothing_but_itself(open_page: Opener, built: Path) -> None:
    opened = open_page()
    opened.page.click("#on")
    opened.page.wait_for_timeout(100)
    assert [url for url in opened.asked if not url.startswith("data:")] == [built.as_uri()]


def test_files_that_stand_beside_the_page_are_found(open_page: Opener, built: Path) -> None:
    opened = open_page()
    opened.page.click("#files summary")
    opened.page.locator("#files-words", has_text="in the same folder").wait_for(timeout=5000)
    assert opened.asked[-1] == (built.parent / "sheets" / "plan.svg").as_uri()
    assert opened.page.locator("#files a").get_attribute("href") == "./sheets/plan.svg"


def test_a_page_sent_alone_says_that_its_files_are_not_there(open_page: Opener, built: Path, tmp_path: Path) -> None:
    opened = open_page(Path(shutil.copy(built, tmp_path / "index.html")))
    opened.page.click("#files summary")
    opened.page.locator("#files-words", has_text="sent alone").wait_for(timeout=5000)
    # the browser itself notes that the picture is not there
    assert all("ERR_FILE_NOT_FOUND" in complaint for complaint in opened.complaints)
    opened.complaints.clear()


MANY = [(f"pieces/T{number}.step", "a solid") for number in (1, 10, 11, 2, 3)] + [
    (f"sheets/T{number}.svg", "a sheet") for number in (1, 10, 2, 20, 21, 3, 4)
]


class Served:
    """A folder served over http as long as a test lasts."""

    def __init__(self, folder: Path) -> None:
        class Quiet(http.server.SimpleHTTPRequestHandler):
            def log_message(self, *_: Any) -> None:
                pass

        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=str(folder)))
        self.address = f"http://127.0.0.1:{self.server.server_address[1]}/index.html"

    def __enter__(self) -> Served:
        threading.Thread(target=self.server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True).start()
        return self

    def __exit__(self, *_: object) -> None:
        self.server.shutdown()
        self.server.server_close()


@pytest.mark.parametrize(("alone", "words"), [(True, "sent alone"), (False, "in the same folder")])
def test_a_page_served_over_http_says_whether_its_files_are_there(
    open_page: Opener, built: Path, tmp_path: Path, alone: bool, words: str
) -> None:
    folder = tmp_path if alone else built.parent
    if alone:
        shutil.copy(built, folder / "index.html")
    opened = open_page()
    with Served(folder) as served:
        opened.page.goto(served.address)
        opened.page.click("#files summary")
        opened.page.locator("#files-words", has_text=words).wait_for(timeout=5000)
    assert bool(opened.complaints) == alone
    assert all("404" in complaint for complaint in opened.complaints)
    opened.complaints.clear()


def test_many_files_are_folded_by_folder_with_t2_before_t10(
    open_page: Opener, bungalow: Frame, bungalow_report: dict[str, Any], tmp_path: Path
) -> None:
    path = tmp_path / "index.html"
    path.write_text(page_of(bungalow, bungalow_report, [("report.json", "all results"), *MANY]), "utf-8")
    opened = open_page(path)
    page = opened.page
    page.click("#files > summary")
    page.locator("#files-words", has_text="sent alone").wait_for(timeout=5000)
    opened.complaints.clear()
    assert page.locator("#files details summary").all_inner_texts() == ["pieces/ – 5 files", "sheets/ – 7 files"]
    names = page.locator("#files a").evaluate_all("all => all.map((one) => one.textContent)")
    assert names[:4] == ["report.json", "pieces/T1.step", "pieces/T2.step", "pieces/T3.step"]
    assert names[-2:] == ["sheets/T20.svg", "sheets/T21.svg"]
    assert not page.locator("#files a", has_text="T10.svg").is_visible()
    page.locator("#files details summary").last.click()
    assert page.locator("#files a", has_text="T10.svg").is_visible()


def test_a_frame_of_one_piece_is_usable(open_page: Opener, tmp_path: Path) -> None:
    opened = open_page(write_page(tmp_path / "job", ONE_PIECE))
    assert opened.page.locator("#said").inner_text() == "A1: 1st of 1, next by your ticks, type T1, no lap."
    assert "no lap" in opened.page.locator("#joints").inner_text()
    opened.press_piece("A1")
    opened.page.click("#on")
    assert opened.picked == "A1"


def test_the_page_is_the_same_each_time_and_not_large(
    bungalow: Frame, bungalow_report: dict[str, Any], built: Path
) -> None:
    text = built.read_text("utf-8")
    assert page_of(bungalow, bungalow_report) == text
    assert len(text.encode()) < 1_500_000
    assert sheets_of(text) == {name: fragment(page) for name, page in drawn(bungalow).items()}
    assert space_script(text).startswith((ROOT / "platemodel/web/three.min.js").read_text("utf-8").strip())
    assert "http-equiv" in text
    assert "three.js authors" in text
    assert "Bitstream" in text


def test_a_page_that_failed_names_what_failed(bungalow: Frame, bungalow_report: dict[str, Any]) -> None:
    joints = [
        joint | ({"passed": False, "clash": 12.5, "failed": ["clash"]} if joint["id"] == "A1-B1" else {})
        for joint in bungalow_report["joints"]
    ]
    text = page_of(bungalow, bungalow_report | {"passed": False, "joints": joints})
    assert "<strong>NOT PROVED – DO NOT CUT</strong> Failed: laps A1-B1</p>" in text
    assert "NOT PROVED – DO NOT CUT" not in page_of(bungalow, bungalow_report)
