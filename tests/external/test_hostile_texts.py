"""Texts of a plan that could break a file or hide in it, end to end with the installed command.

XML 1.0 (2.4: markup is escaped, never text); HTML 13.2.5 (what ends a script); letters that the sheets' font lacks.
Each text stands in a plan of its own kind of place; what is built is read by parsers that know nothing of platemodel.
"""

from __future__ import annotations

import fcntl
import html.parser
import json
import re
import shutil
import subprocess
import sys
import tomllib
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import pypdf
import pytest
from built import Builder
from carried import opened_up, sheets_of

SVG = "{http://www.w3.org/2000/svg}"
BOX = "□"
SCRIPT = "<script>alert(1)</script>"

MARKUP = {
    "title": f"{SCRIPT} </title></svg>",
    "number": "&amp; &lt; &#65;",
    "revision": "]]>",
    "owner": "\"double\" 'single' `back`",
    "creator": "<!-- no comment",
    "approver": "$title ${values} %s {0}",
    "wall": "</script><img src=x onerror=alert(1)>",
    "wall2": "\\u003c \\n C:\\new & Sons",
    "shell": "<![CDATA[ shell",
    "opening": "' onclick='alert(2)",
    "bearing": "--> <b>girder</b>",
    "cross": 'spine "&quot;" ]]&gt;',
}
"""All can be written with the font's letters."""

FOREIGN = {
    "title": "木造住宅の土台 – Haus",
    "number": "№ 7 👷",
    "revision": "β",
    "owner": "שלום עולם",
    "creator": "محمد بن سلمان",
    "approver": "Zoë Å a\u0301 e\u0323\u0302",
    "wall": "北の壁 W",
    "wall2": "قوس V",
    "shell": "房子 S",
    "opening": "窗 O",
    "bearing": "🏗 girder",
    "cross": "梁 C",
}

LONG = {key: (f"{key} " + "Wide Name of Many Words " * 3)[:59] + "W" for key in MARKUP}
PLAIN = {key: f"plain {key}" for key in MARKUP}
TEXTS = {"plain": PLAIN, "markup": MARKUP, "foreign": FOREIGN, "long": LONG}


def _toml(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _plan(texts: dict[str, str]) -> str:
    t = {key: _toml(text) for key, text in texts.items()}
    return f"""
[job]
title = {t["title"]}
number = {t["number"]}
revision = {t["revision"]}
owner = {t["owner"]}
creator = {t["creator"]}
approver = {t["approver"]}

[plate]
width = 100
depth = 50

[stock]
lengths = [4800, 6000]

[[shell]]
name = {t["shell"]}
leaf = 100
corners = [[0, 0], [5000, 0], [5000, 4000], [0, 4000]]
walls = [{t["wall"]}, {t["wall2"]}, "back", "left"]

[[cross]]
name = {t["cross"]}
leaf = 100
from = {{ wall = {t["wall"]}, at = 2500 }}
to = {{ wall = "back", at = 2500 }}

[[opening]]
name = {t["opening"]}
wall = {t["wall"]}
from = 800
to = 1800

[[bearing]]
name = {t["bearing"]}
wall = {t["wall"]}
at = 4000
width = 50
"""


@dataclass(frozen=True)
class Run:
    texts: dict[str, str]
    plan: Path
    folder: Path
    said: str

    def svgs(self) -> dict[str, ElementTree.Element]:
        return {path.stem: ElementTree.parse(path).getroot() for path in sorted(self.folder.glob("sheets/*.svg"))}

    def svg_texts(self) -> list[str]:
        return [item.text or "" for root in self.svgs().values() for item in root.iter(f"{SVG}text")]

    def line(self, key: str) -> int:
        """The line of the plan on which a key first stands."""
        lines = self.plan.read_text("utf-8").splitlines()
        return next(number for number, line in enumerate(lines, start=1) if line == key or line.startswith(f"{key} ="))


class Runs:
    """Each set of texts built when it is asked for, once, whichever test process asks first."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.done: dict[str, Run] = {}

    def __getitem__(self, name: str) -> Run:
        if name not in self.done:
            self.done[name] = _built(self.folder / f"hostile-{name}", TEXTS[name])
        return self.done[name]


@pytest.fixture(scope="module")
def runs(builder: Builder) -> Runs:
    return Runs(builder.folder)


def _built(folder: Path, texts: dict[str, str]) -> Run:
    """A plan with texts, built with the command as it is installed beside the interpreter."""
    command = Path(sys.executable).with_name("platemodel")
    assert command.exists(), "the command platemodel is not installed beside this interpreter"
    plan, said = folder / "plan.toml", folder / "said.txt"
    folder.mkdir(exist_ok=True)
    with open(folder / "lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not said.exists():
            plan.write_text(_plan(texts), "utf-8")
            assert tomllib.loads(plan.read_text("utf-8"))["job"]["title"] == texts["title"]
            arguments = [command, "build", "plan.toml", "-o", "out"]
            done = subprocess.run(arguments, cwd=folder, capture_output=True, timeout=120, check=False)
            words = done.stdout.decode("utf-8") + done.stderr.decode("utf-8")
            assert done.returncode == 0, words
            said.write_text(words, "utf-8")
    return Run(texts, plan, folder / "out", said.read_text("utf-8"))


class _Elements(html.parser.HTMLParser):
    """Counts the elements of a page and what each may run, and gathers the text of its scripts and the rest."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: Counter[str] = Counter()
        self.handlers: Counter[str] = Counter()
        self.inside: list[str] = []
        self.data = ""
        self.shown = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements[tag] += 1
        self.handlers.update(name for name, _ in attrs if name.startswith("on"))
        if tag == "script":
            self.inside.append("values" if ("id", "values") in attrs else "script")

    def handle_endtag(self, tag: str) -> None:
        if tag == "script":
            self.inside.pop()

    def handle_data(self, data: str) -> None:
        if self.inside and self.inside[-1] == "values":
            self.data += data
        elif not self.inside:
            self.shown += data


def _page(run: Run) -> _Elements:
    found = _Elements()
    text = (run.folder / "index.html").read_text("utf-8")
    assert sheets_of(text).keys() == run.svgs().keys()
    found.feed(opened_up(text))
    found.close()
    assert not found.inside
    return found


HOSTILE = [name for name in TEXTS if name != "plain"]


@pytest.mark.parametrize("name", TEXTS)
def test_sheets_are_xml_of_drawing_elements_only(name: str, runs: Runs) -> None:
    svgs = runs[name].svgs()
    assert svgs
    for root in svgs.values():
        kinds = {item.tag.removeprefix(SVG) for item in root.iter()}
        assert kinds <= {"svg", "title", "style", "rect", "polyline", "polygon", "path", "text", "g"}
        assert not [key for item in root.iter() for key in item.attrib if key.startswith("on") or "href" in key]


@pytest.mark.parametrize("name", HOSTILE)
def test_the_page_has_no_script_handler_or_picture_but_its_own(name: str, runs: Runs) -> None:
    plain, page = _page(runs["plain"]), _page(runs[name])
    for kind in ("script", "img", "iframe", "object", "style", "link", "meta", "title", "b", "base", "form"):
        assert page.elements[kind] == plain.elements[kind], kind
    assert page.handlers == plain.handlers == Counter()
    assert plain.elements["script"] > 0


def test_a_script_written_into_the_page_would_be_counted(runs: Runs) -> None:
    text = (runs["plain"].folder / "index.html").read_text("utf-8")
    spoiled = _Elements()
    spoiled.feed(text.replace("plain title", SCRIPT, 1) + SCRIPT)
    assert spoiled.elements["script"] > _page(runs["plain"]).elements["script"]


@pytest.mark.parametrize("name", TEXTS)
def test_the_page_holds_the_real_texts(name: str, runs: Runs) -> None:
    page, texts = _page(runs[name]), runs[name].texts
    held = page.shown + "\n" + "\n".join(_strings(json.loads(page.data)))
    for key in ("title", "wall", "wall2", "cross"):
        assert texts[key] in held, key


def _strings(value: object) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [text for pair in value.items() for item in pair for text in _strings(item)]
    if isinstance(value, list):
        return [text for item in value for text in _strings(item)]
    return []


@pytest.mark.parametrize("name", ["plain", "markup"])
def test_sheets_and_pack_show_the_texts_letter_by_letter(name: str, runs: Runs) -> None:
    run = runs[name]
    shown = " ".join(run.svg_texts())
    tool = shutil.which("pdftotext")
    assert tool is not None, "pdftotext of poppler-utils is missing: install it to read the pack with a second reader"
    done = subprocess.run(
        [tool, "-raw", str(run.folder / "pack.pdf"), "-"], check=True, capture_output=True, timeout=60
    )
    packed = " ".join(done.stdout.decode("utf-8").split())
    for key in ("title", "number", "revision", "owner", "creator", "approver"):
        # a field that is short of room stands on two lines or is cut short: its beginning is there
        begin = run.texts[key][:14].strip()
        assert begin in shown, key
        assert " ".join(begin.split()) in packed, key
    titles = {(root.findtext(f"{SVG}title") or "") for root in run.svgs().values()}
    assert all(run.texts["title"] in title for title in titles)


@pytest.mark.parametrize("name", TEXTS)
def test_the_documents_title_is_the_real_one(name: str, runs: Runs) -> None:
    run = runs[name]
    metadata = pypdf.PdfReader(run.folder / "pack.pdf").metadata
    assert metadata is not None
    assert run.texts["title"] in str(metadata.title)


def test_letters_the_font_lacks_are_boxes_on_paper(runs: Runs) -> None:
    run = runs["foreign"]
    shown = "".join(run.svg_texts())
    text = "".join(page.extract_text() for page in pypdf.PdfReader(run.folder / "pack.pdf").pages)
    for places in (shown, text):
        assert BOX * 3 in places
        # none is lost or left to a font that a reader's machine may not have
        for letter in "木住👷窗梁房北🏗":
            assert letter not in places
    assert BOX not in "".join(runs["plain"].svg_texts())


def test_an_advice_names_file_line_and_key_of_each_text_with_boxes(runs: Runs) -> None:
    run = runs["foreign"]
    advices = [line for line in run.said.splitlines() if line.startswith("advice:") and BOX in line]
    for key, lacking in (("title", "木"), ("number", "👷")):
        (line,) = [line for line in advices if f"plan.toml:{run.line(key)}: job.{key}" in line]
        assert f"'{lacking}'" in line
    # names of walls are told of at their shell
    (line,) = [line for line in advices if "'北'" in line]
    (number,) = [int(match[1]) for match in re.finditer(r"plan\.toml:(\d+): shell\[0\]", line)]
    assert run.line("[[shell]]") <= number <= run.line("walls")
    for name in ("plain", "markup", "long"):
        assert BOX not in runs[name].said


@pytest.mark.parametrize("key", FOREIGN)
def test_a_text_that_stands_with_boxes_on_a_sheet_is_told_of(key: str, runs: Runs) -> None:
    run, plain = runs["foreign"], runs["plain"]
    lacking = [letter for letter in run.texts[key] if ord(letter) > 0x2E80 and letter.isprintable()]
    if not lacking or not any(plain.texts[key] in text for text in plain.svg_texts()):
        # it can be shown, or stands on no sheet
        return
    advices = [line for line in run.said.splitlines() if line.startswith("advice:") and BOX in line]
    assert any(f"'{lacking[0]}'" in line for line in advices), key


def test_long_names_stay_on_their_sheets(runs: Runs) -> None:
    for root in runs["long"].svgs().values():
        wide = float(root.attrib["width"].removesuffix("mm"))
        for item in root.iter(f"{SVG}text"):
            if "transform" in item.attrib:
                continue
            before = {"start": 0.0, "middle": 0.5, "end": 1.0}[item.attrib.get("text-anchor", "start")]
            left = float(item.attrib["x"]) - before * float(item.attrib["textLength"])
            # inside the frame line
            assert left >= 20.0 - 0.01, item.text
            assert left + float(item.attrib["textLength"]) <= wide - 10.0 + 0.01, item.text
