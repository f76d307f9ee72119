"""On the wall: the long sections, a reading typed on site, the tables, and whatever part of it is missing."""

from __future__ import annotations

import copy
import io
import json
import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser
from pypdf import PdfReader
from wall_plans import house, laser_plan, site_of, staff_plan, write_wall_page
from web_pages import NO_SPACE, Opened, Opener, reload, watched

from platemodel.export.report import report
from platemodel.frame import Frame
from platemodel.site.bedding import bed
from platemodel.web.page import index_page
from platemodel.web.wall import wall_values

FLAT = True
PHONE: dict[str, Any] = {"size": (360, 740), "has_touch": True, "is_mobile": True}
SECTION = "#wall-paper svg"


@pytest.fixture(scope="session")
def frame() -> Frame:
    return house(staff_plan())


@pytest.fixture(scope="session")
def site(frame: Frame) -> dict[str, Any]:
    return site_of(frame)


@pytest.fixture(scope="session")
def by_staff(frame: Frame, site: dict[str, Any], tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_wall_page(tmp_path_factory.mktemp("staff"), frame, site)


@pytest.fixture(scope="session")
def by_laser(tmp_path_factory: pytest.TempPathFactory) -> Path:
    frame = house(laser_plan())
    return write_wall_page(tmp_path_factory.mktemp("laser"), frame, site_of(frame))


@pytest.fixture(scope="session")
def wall_page(browser: Browser, by_staff: Path) -> Opened:
    found = watched(browser.new_page(viewport={"width": 1280, "height": 1300}, reduced_motion="reduce"))
    found.page.add_init_script(NO_SPACE)
    found.page.goto(by_staff.as_uri())
    found.begun()
    return found


@pytest.fixture
def wall(wall_page: Opened) -> Iterator[Opened]:
    """The wall's part as it is when the page has just been opened; it is shared, to spare loading it."""
    wall_page.js(
        """() => {
          platemodel.pick("A1");
          document.getElementById("wall-first").click();
          platemodel.wall.forgetAll();
          for (const fold of document.querySelectorAll('#wall .fold[aria-expanded="true"]')) fold.click();
          document.activeElement.blur();
        }"""
    )
    at_place(wall_page, "front", 0)
    yield wall_page
    assert wall_page.complaints == []


def place(site: dict[str, Any], wall: str, at: float) -> dict[str, Any]:
    return next(one for one in site["bed"]["places"] if one["wall"] == wall and abs(one["at"] - at) < 1)


def at_place(opened: Opened, wall: str, at: float) -> None:
    """Pick the place of a wall that is nearest."""
    found = opened.js(
        f"""(() => {{
          for (let k = 0; k < 500; k += 1) {{
            platemodel.wall.pickStation({json.dumps(wall)}, k);
            if (Math.abs(platemodel.wall.pickedStation().at - {at}) < 1) return k;
          }}
          return -1;
        }})()"""
    )
    assert found >= 0


def said(opened: Opened, typed: str) -> str:
    opened.page.locator("#wall-reading").fill(typed)
    return opened.page.locator("#wall-said").inner_text()


def test_the_section_is_there_only_where_the_report_has_a_site(
    frame: Frame, site: dict[str, Any], tmp_path: Path
) -> None:
    plain = report(frame, [], None) | {"passed": True}
    empties: tuple[dict[str, Any], ...] = ({}, {"site": None}, {"site": {}}, {"site": {"bed": None, "survey": {}}})
    for empty in empties:
        assert wall_values(frame, plain | empty) is None
    plain.pop("site", None)
    assert 'id="wall"' not in index_page(frame, plain, {}, [])
    assert 'id="wall"' in index_page(frame, plain | {"site": site}, {}, [])


def test_a_page_without_a_site_works_as_before(open_page: Opener, frame: Frame, tmp_path: Path) -> None:
    opened = open_page(write_wall_page(tmp_path / "none", frame, None))
    assert opened.page.locator("#wall").count() == 0
    opened.js("platemodel.pick('B1'); window.dispatchEvent(new Event('beforeprint'))")
    assert opened.picked == "B1"


def test_a_picked_place_tells_what_the_report_says(wall: Opened, site: dict[str, Any]) -> None:
    words = wall.page.locator("#wall")
    # 1.5 + 100 is the line of sight, 100.104 the underside: 101.5 - 100.104 - 0.050
    assert "Top of every plate reads\n1.346 m" in words.inner_text()
    at_place(wall, "front", 4000)
    assert place(site, "front", 4000)["bed"] == pytest.approx(16.0)
    body = wall.page.locator("#wall .place").inner_text()
    assert body.startswith("front, 4000 mm from its first corner")
    for line in ("Wall top\n100.088 m level", "Bed\n16 mm ✓ within 10 to 20 mm.", "Staff on the wall\n1.412 m as read"):
        assert line in body
    assert "Staff on top of the plate must read\n1.346 m" in body
    at_place(wall, "front", 7000)
    body = wall.page.locator("#wall .place").inner_text()
    assert "Lintel\nwindow" in body
    assert "less suction here" in body
    assert "between the readings" in body


def test_every_place_of_every_wall_can_be_picked_and_is_the_reports(wall: Opened, site: dict[str, Any]) -> None:
    names = wall.page.get_by_label("Wall", exact=True).locator("option").all_inner_texts()
    assert sorted(names) == ["back", "front", "left", "right"]
    seen = set()
    for name in names:
        stations = wall.js(
            f"""(() => {{
              const found = [];
              const heads = [...document.querySelectorAll("#wall .place dt")];
              const by = heads.findIndex((one) => one.textContent === "Bed");
              for (let k = 0; k < 200; k += 1) {{
                platemodel.wall.pickStation({json.dumps(name)}, k);
                const {{ wall, at, bed, reading, top, marks, lies_on }} = platemodel.wall.pickedStation();
                if (found.length && found[found.length - 1].k !== k - 1) break;
                if (found.length && found[found.length - 1].at === at) break;
                const shown = [...document.querySelectorAll("#wall .place dd")][by];
                found.push({{ k, wall, at, bed, reading, top, marks, lies_on, shown: shown.textContent }});
              }}
              return found;
            }})()"""
        )
        assert [one["at"] for one in stations] == sorted(one["at"] for one in stations)
        for one in stations:
            for mark in one["marks"]:
                truth = next(
                    it
                    for it in site["bed"]["places"]
                    if it["mark"] == mark and it["wall"] == name and abs(it["at"] - one["at"]) <= 0.5
                )
                assert one["bed"] == pytest.approx(truth["bed"], abs=0.5)
                seen.add((mark, name, truth["at"]))
            # a dash where all the plates there lie on others
            here = [it for it in site["bed"]["places"] if it["wall"] == name and abs(it["at"] - one["at"]) <= 0.5]
            assert bool(one["lies_on"]) == all(it["lies_on"] for it in here)
            assert one["shown"].startswith("– no mortar: ") == bool(one["lies_on"])
    assert any(it["lies_on"] for it in site["bed"]["places"])
    assert seen == {(it["mark"], it["wall"], it["at"]) for it in site["bed"]["places"]}


def test_heights_are_drawn_to_the_scale_that_is_stated(wall: Opened, site: dict[str, Any]) -> None:
    at_place(wall, "front", 4000)
    circles = wall.js(
        f"""[...document.querySelectorAll("{SECTION} circle.station:not(.picked)")]
          .map((one) => [Number(one.getAttribute("cx")), Number(one.getAttribute("cy"))])"""
    )
    here = {round(it["at"], 1): it["bed"] for it in site["bed"]["places"] if it["wall"] == "front"}
    # the first at the wall's first corner, the last at its end, 9000 mm on
    (x0, _), (x1, _) = circles[0], circles[-1]
    across = (x1 - x0) / 9000
    rows = [(bed_there, y) for at, bed_there in here.items() for x, y in circles if abs(x - x0 - at * across) < 0.2]
    (low, y_low), (high, y_high) = min(rows), max(rows)
    up = (y_high - y_low) / (high - low)
    assert len(rows) >= 10
    assert [y_low + (bed_there - low) * up for bed_there, _ in rows] == pytest.approx([y for _, y in rows], abs=0.3)
    times = re.search(r"drawn (\d+) times", wall.page.locator("#wall-times").inner_text())
    assert times is not None
    assert float(times[1]) == pytest.approx(up / across, rel=0.02)


def test_a_typed_reading_makes_the_bed_that_the_program_makes(wall: Opened) -> None:
    chance = random.Random(6)
    rows = []
    for _ in range(1500):
        text = f"{chance.choice(['', '-'])}{chance.randrange(5)}{chance.choice('.,')}{chance.randrange(10**4):04}"
        rows.append((text, round(chance.uniform(-5000, 5000), 6), chance.choice([38.0, 50.0, 72.5, 100.0])))
    page = wall.page.evaluate(
        """(rows) => rows.map(([text, must, depth]) =>
          platemodel.wall.bedOf(platemodel.wall.parseReading(text, false).mm, must, depth))""",
        rows,
    )
    # the same to the last bit
    assert page == [bed(float(f"{text.replace(',', '.')}e3"), must, depth) for text, must, depth in rows]


def test_the_reading_of_each_place_gives_its_bed(wall: Opened, site: dict[str, Any]) -> None:
    for wall_name, at in (("front", 100), ("front", 4000), ("back", 8900), ("right", 3000), ("left", 3000)):
        at_place(wall, wall_name, at)
        truth = place(site, wall_name, at)
        assert said(wall, f"{truth['reading'] / 1000:.4f}").startswith(f"Bed here: {truth['bed']:g} mm ✓")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("1.411", "Bed here: 15 mm ✓ within 10 to 20 mm."),
        ("1,411", "Bed here: 15 mm ✓ within 10 to 20 mm."),
        (" 1411mm", "Bed here: 15 mm ✓ within 10 to 20 mm."),
        ("1.406", "Bed here: 10 mm ✓ within 10 to 20 mm."),
        ("1.4059", "Bed here: 9.9 mm ▼ UNDER THE LEAST, 10 mm, by 0.1 mm."),
        ("1.40599", "Bed here: 9.99 mm ▼ UNDER THE LEAST, 10 mm, by 0.01 mm."),
        ("1.416", "Bed here: 20 mm ✓ within 10 to 20 mm."),
        ("1.421", "Bed here: 25 mm ▲ OVER THE MOST, 20 mm, by 5 mm: pack with slate in the mortar."),
        (
            "1.438",
            "Bed here: 42 mm ▲ OVER THE MOST, 20 mm, by 22 mm: lay a course cut to fit first, then bed on it.",
        ),
        ("1.396", "Bed here: 0 mm ▼ UNDER THE LEAST, 10 mm, by 10 mm."),
        ("1.393", "Bed here: −3 mm ✗ TOO HIGH: the wall stands 3 mm up into the plate."),
    ],
)
def test_the_bed_is_judged_in_words(wall: Opened, typed: str, words: str) -> None:
    at_place(wall, "front", 4000)
    assert said(wall, typed).startswith(words)


def test_an_inverted_reading_and_one_far_off_are_asked_about(wall: Opened) -> None:
    at_place(wall, "front", 4000)
    # -0.250 - 1.346 - 0.050 = -1.646
    words = said(wall, "−0.250")
    assert words.startswith("Bed here: −1646 mm ✗ TOO HIGH")
    assert "1662 mm from what was read here before: read again" in words
    assert "read again" not in said(wall, "1.420")


@pytest.mark.parametrize("typed", ["abc", "1.4.1", "1,412.5", "1 412", "-", ".", "1e3", "1.412 ft", "NaN", "Infinity"])
def test_nonsense_is_refused_plainly(wall: Opened, typed: str) -> None:
    assert said(wall, typed) == "✗ Not a reading. Type metres, as 1.412 or 1,412."
    assert wall.page.locator("#wall-reading").get_attribute("aria-invalid") == "true"
    assert said(wall, "") == "The new bed comes here as you type."
    assert wall.page.locator("#wall-reading").get_attribute("aria-invalid") == "false"


def test_the_bed_of_the_first_reading_is_struck_out_by_another(wall: Opened) -> None:
    at_place(wall, "front", 4000)
    first = wall.page.locator("#wall .outdated .first-bed")
    for typed, struck in (("1.412", 0), ("1.420", 1), ("abc", 0), ("1.420", 1), ("", 0)):
        said(wall, typed)
        assert first.count() == struck
    assert wall.page.get_by_role("link", name="On the wall").get_attribute("href") == "#wall"


def test_millimetres_where_metres_are_asked_are_refused(wall: Opened) -> None:
    assert said(wall, "1412").startswith("✗ Off a staff of 5 m. Type metres, as 1.412")


def test_a_laser_is_read_in_millimetres(open_page: Opener, by_laser: Path) -> None:
    opened = open_page(by_laser)
    assert "Top of every plate reads\n22 mm down from the laser’s line" in opened.page.locator("#wall").inner_text()
    at_place(opened, "front", 4000)
    body = opened.page.locator("#wall .place").inner_text()
    assert "Laser, down to the wall\n88 mm as read" in body
    assert "Laser, down to the plate’s top\n22 mm" in body
    # 87.5 - 22 - 50
    assert said(opened, "87,5").startswith("Bed here: 15.5 mm ✓")
    assert said(opened, "0.0875 m").startswith("Bed here: 15.5 mm ✓")
    assert said(opened, "71").startswith("Bed here: −1 mm ✗ TOO HIGH")
    assert said(opened, "9000").startswith("✗ Out of reach")


def test_an_instrument_that_was_moved_is_set_up_by_a_place_it_reads(wall: Opened) -> None:
    page = wall.page
    at_place(wall, "front", 4000)
    # nothing is typed yet, so nothing is done
    assert page.locator("#wall-anew").get_attribute("aria-disabled") == "true"
    page.locator("#wall-anew").dispatch_event("click")
    assert "1.346" in page.locator("#wall .place .must").inner_text()
    said(wall, "1.512")
    page.click("#wall-anew")
    moved = "The instrument stands 100 mm higher than at first. Top of every plate now reads 1.446 m"
    assert page.locator("#wall-moved").inner_text().startswith(moved)
    assert page.locator("#wall .place .must").inner_text() == "1.446 m"
    assert said(wall, "1.512").startswith("Bed here: 16 mm ✓")
    at_place(wall, "right", 3000)
    assert "Staff on the wall\n1.515 m" in page.locator("#wall .place").inner_text()
    assert said(wall, "1.515").startswith("Bed here: 19 mm ✓")
    page.click("#wall-first")
    assert page.locator("#wall .place .must").inner_text() == "1.346 m"


def test_a_touch_picks_the_nearest_place(open_page: Opener, by_staff: Path) -> None:
    opened = open_page(by_staff, **PHONE)
    page = opened.page
    paper = page.locator("#wall-paper")
    paper.scroll_into_view_if_needed()
    box = paper.bounding_box()
    assert box is not None
    page.touchscreen.tap(box["x"] + box["width"] * 0.53, box["y"] + 90)
    there = opened.js("platemodel.wall.pickedStation()")
    assert there["wall"] == "front"
    assert there["at"] == pytest.approx(4800, abs=400)
    assert opened.picked in there["marks"]
    assert page.locator("#wall .place h3").inner_text().startswith(f"front, {there['at']:.0f} mm")


def test_keys_go_from_place_to_place(wall: Opened) -> None:
    page = wall.page
    page.get_by_label("Wall", exact=True).select_option("back")
    page.locator("#wall-paper").focus()
    page.keyboard.press("Home")
    seen = [wall.js("platemodel.wall.pickedStation().at")]
    for key in ("ArrowRight", "ArrowUp", "ArrowLeft", "End"):
        page.keyboard.press(key)
        seen.append(wall.js("platemodel.wall.pickedStation().at"))
    assert seen[0] == 0
    assert seen[0] < seen[1] == seen[3] < seen[2] < seen[4] == 9000
    page.get_by_role("button", name="Place before").click()
    assert wall.js("platemodel.wall.pickedStation().at") < 9000
    page.locator("#wall-reading").focus()
    page.keyboard.type("1,42")
    assert "mm" in page.locator("#wall-said").inner_text()
    page.get_by_label("Place on the wall").select_option(index=0)
    assert wall.js("platemodel.wall.pickedStation().at") == 0
    # a reading is of the place it was typed for
    assert page.locator("#wall-reading").input_value() == ""


def test_what_is_picked_elsewhere_is_shown_and_the_other_way_round(wall: Opened) -> None:
    page = wall.page
    wall.js("platemodel.pick('C1')")
    there = wall.js("platemodel.wall.pickedStation()")
    assert "C1" in there["marks"]
    assert set(page.locator(f"{SECTION} .plate.picked").evaluate_all("all => all.map((one) => one.dataset.of)")) == {
        "C1"
    }
    assert page.locator("#wall-plates tr.picked button").inner_text() == "C1"
    page.locator('#wall-plates button[data-mark="B1"]').click()
    assert wall.picked == "B1"
    at_place(wall, "front", 2000)
    (mark,) = wall.js("platemodel.wall.pickedStation().marks")
    assert wall.picked == mark
    assert page.locator('#list [aria-pressed="true"] .mark').text_content() == mark
    # where two are lapped the one that was picked stays picked
    lapped = next(k for k in range(30) if len(wall.js(f"({STATION})({k})")) == 2)
    marks = wall.js(f"({STATION})({lapped})")
    wall.js(f"platemodel.pick('{marks[1]}')")
    wall.js(f"({STATION})({lapped})")
    assert wall.picked == marks[1]


STATION = "(k) => { platemodel.wall.pickStation('front', k); return platemodel.wall.pickedStation().marks; }"


def test_marked_bedded_and_typed_are_kept_and_lost_with_other_figures(
    open_page: Opener, frame: Frame, site: dict[str, Any], tmp_path: Path
) -> None:
    path = write_wall_page(tmp_path / "job", frame, site)
    opened = open_page(path)
    page = opened.page
    page.get_by_label("A1 marked").check()
    page.get_by_label("A1 bedded").check()
    page.get_by_label("B1 bedded").check()
    page.get_by_label("B1 marked").check()
    assert page.locator("#wall-progress").inner_text().startswith("Marked 2 of 6, bedded 2 of 6.")
    at_place(opened, "front", 4000)
    assert said(opened, "1.512").startswith("Bed here: 116 mm ▲")
    page.click("#wall-anew")
    assert said(opened, "1.510").startswith("Bed here: 14 mm ✓")
    at_place(opened, "right", 3000)
    assert said(opened, "1.51x").startswith("✗ Not a reading")
    assert page.locator("#wall-kept").inner_text().startswith("Readings typed: 1; kept in this browser only")
    reload(page, lambda: page.get_by_label("B1 bedded").is_checked())
    assert page.get_by_label("A1 marked").is_checked()
    # the reading is there again, with the set-up that it was read at
    at_place(opened, "right", 3000)
    assert page.locator("#wall-reading").input_value() == ""
    at_place(opened, "front", 4000)
    assert page.locator("#wall-reading").input_value() == "1.510"
    assert page.locator("#wall-said").inner_text().startswith("Bed here: 14 mm ✓")
    page.click("#wall-first")
    assert page.locator("#wall-reading").input_value() == ""
    assert page.locator("#wall-said").inner_text().startswith("At another set-up 1.510 was read here. Bed here: 14 mm")
    changed = copy.deepcopy(site)
    changed["setting_out"]["plates"][1]["marks"][0]["setback"] += 1
    for one in changed["bed"]["places"]:
        if one["mark"] == "A1":
            one["bed"] += 1
    write_wall_page(tmp_path / "job", frame, changed)
    reload(page, lambda: page.get_by_label("B1 bedded").is_checked())
    assert page.get_by_label("A1 marked").is_checked()
    assert page.get_by_label("B1 bedded").is_checked()
    assert not page.get_by_label("A1 bedded").is_checked()
    assert not page.get_by_label("B1 marked").is_checked()
    assert "changed since ticked bedded" in page.locator('#wall-plates tr[data-of="A1"]').inner_text()
    at_place(opened, "front", 4000)
    assert page.locator("#wall-reading").input_value() == ""
    assert page.locator("#wall-said").inner_text() == "The new bed comes here as you type."
    assert "1 typed before the plan’s bed was changed: not shown." in page.locator("#wall-kept").inner_text()


def test_tables_say_what_is_to_be_taken_again_and_what_is_flagged(wall: Opened, site: dict[str, Any]) -> None:
    page = wall.page
    for fold in page.locator("#wall .fold").all():
        assert not page.locator(f"#{fold.get_attribute('aria-controls')}").is_visible()
        fold.click()
        assert fold.get_attribute("aria-expanded") == "true"
    heads = " | ".join(page.locator("#wall .fold").all_inner_texts())
    assert "⚠\ufe0e 1 to take again" in heads
    flagged = [one for item in site["fixing"]["landings"] for one in item["landed"] if one["flags"]]
    assert f"Trusses, beams and joists: 10 – ⚠\ufe0e {len(flagged)} flagged" in heads
    assert f"Straps: {site['fixing']['straps']['new']} to fix" in heads
    survey = page.get_by_role("region", name="Readings of the survey").locator("tbody tr").all_inner_texts()
    assert survey[0].split("\t")[:3] == ["1: left/front – front/right", "−0.6", ""]
    assert survey[1].split("\t")[:4] == [
        "2: left/front – right/back",
        "−20.4",
        "⚠\ufe0e take again, left out until then",
        "10837",
    ]
    assert "take again reading 2" in page.locator("#wall-survey .warn").inner_text()
    # walls that the report tells by number are told by name
    assert "front; back" in page.get_by_role("region", name="Survey: out of parallel").inner_text()
    trusses = page.locator("#wall-trusses tbody tr")
    assert trusses.count() == 10
    assert "over the opening 'window': lintel by the engineer" in page.locator("#wall-trusses .care").first.inner_text()
    plate = page.locator("#wall-setting-out .marked-plate").first
    assert "front: tape from corner A along the outer face" in plate.inner_text()
    assert [text.split("\t")[:4] for text in plate.locator("tbody tr").all_inner_texts()] == [
        ["1", "12", "1", "99"],
        ["2", "1012", "0", "100"],
        ["3", "2012", "−1", "101"],
    ]
    plate.get_by_role("button", name="Pick A2").click()
    assert wall.picked == "A2"
    assert page.locator("#wall-setting-out li", has_text="hold the back wall").count() == 1
    assert page.locator("#wall-setting-out ol li").all_inner_texts() == [
        "datum wall first",
        "then square",
        "then parallel",
    ]
    assert f"Mortar: {site['bed']['mortar']['litres']:.0f} litres" in heads


@pytest.mark.parametrize("missing", ["survey", "setting_out", "bed", "fixing"])
def test_a_part_that_is_missing_is_left_out(
    open_page: Opener, frame: Frame, site: dict[str, Any], tmp_path: Path, missing: str
) -> None:
    rest = {key: value for key, value in site.items() if key != missing}
    opened = open_page(write_wall_page(tmp_path / "job", frame, rest))
    words = opened.page.locator("#wall").inner_text()
    here = {"survey": "Survey:", "setting_out": "Setting out:", "bed": "Reading here", "fixing": "Straps:"}
    assert [key for key, head in here.items() if head not in words] == [missing]
    opened.js("platemodel.pick('C1')")
    assert opened.page.locator("#wall-plates tr.picked button").inner_text() == "C1"


def test_a_poor_site_is_shown_as_far_as_it_goes(
    open_page: Opener, frame: Frame, site: dict[str, Any], tmp_path: Path
) -> None:
    keys = ("underside", "depth", "line", "by", "top_of_plate_reads", "bed", "places")
    poor: dict[str, Any] = {
        "survey": {"note": "<b>odd</b>", "deep": {"deeper": [{"a": 1, "b": [1, 2]}, {"c": True}]}, "none": None},
        "setting_out": [{"mark": "A1", "setback": 3}],
        "bed": {key: site["bed"][key] for key in keys},
        "fixing": {"landings": [{"wall": "left"}], "straps": {}, "curing": {"kg": 10}},
    }
    opened = open_page(write_wall_page(tmp_path / "job", frame, poor))
    at_place(opened, "front", 4000)
    assert said(opened, "1.412").startswith("Bed here: 16 mm")
    for fold in opened.page.locator("#wall .fold").all():
        fold.click()
    assert "<b>odd</b>" in opened.page.locator("#wall").inner_text()
    without = {"bed": {**poor["bed"], "places": []}}
    opened = open_page(write_wall_page(tmp_path / "empty", frame, without))
    assert opened.page.locator("#wall-plates").is_visible()


def test_walls_named_like_markup_are_only_words(open_page: Opener, tmp_path: Path) -> None:
    name = "</script><img src=x onerror=hurt=1>"
    text = staff_plan().replace('"front"', f'"{name}"').replace('"window"', '"<svg onload=hurt=2>"')
    frame = house(text)
    opened = open_page(write_wall_page(tmp_path / "job", frame, site_of(frame)))
    at_place(opened, name, 7000)
    opened.js("window.dispatchEvent(new Event('beforeprint'))")
    assert name in opened.page.locator("#wall .place h3").inner_text()
    assert "<svg onload=hurt=2>" in opened.page.locator("#wall .place").inner_text()
    assert opened.js("typeof hurt") == "undefined"


@pytest.mark.parametrize(("size", "theme"), [((360, 740), "light"), ((1200, 800), "dark")])
def test_no_serious_fault_of_access(open_page: Opener, by_staff: Path, theme: str, size: tuple[int, int]) -> None:
    page = open_page(by_staff, size=size, color_scheme=theme, reduced_motion="reduce").page
    for fold in page.locator("#wall .fold").all():
        fold.click()
    for typed in ("1.412", "1.39", "nonsense") if theme == "light" else ("1.39",):
        page.locator("#wall-reading").fill(typed)
        found = Axe().run(page, context="#wall").response["violations"]
        assert [(fault["id"], fault["nodes"][0]["html"]) for fault in found] == []


def test_a_phone_shows_the_wall_without_scrolling_sideways(open_page: Opener, by_staff: Path) -> None:
    opened = open_page(by_staff, **PHONE)
    page = opened.page
    for fold in page.locator("#wall .fold").all():
        fold.tap()
    assert opened.js("document.documentElement.scrollWidth") == 360
    small = opened.js(
        """[...document.querySelectorAll("#wall button, #wall select, #wall input[type=text], #wall label.tick")]
          .map((one) => [one.textContent || one.id, one.getBoundingClientRect()])
          .filter(([, box]) => box.width < 43.9 || box.height < 43.9)
          .map(([words]) => words)"""
    )
    assert small == []
    # what a row is of stays in sight while the rest is dragged
    area = page.locator("#wall-setting-out .scroll").first
    area.evaluate("one => { one.scrollLeft = 400; }")
    stays = area.locator("tbody th").nth(1)
    left = stays.evaluate(
        "one => one.getBoundingClientRect().left - one.closest('.scroll').getBoundingClientRect().left"
    )
    assert abs(left) < 1


def test_nothing_jumps_as_places_are_gone_through_and_readings_typed(open_page: Opener, by_staff: Path) -> None:
    for options in (PHONE, {"size": (1200, 800)}):
        opened = open_page(by_staff, **options)
        page = opened.page
        page.locator("#wall").scroll_into_view_if_needed()
        plates = "document.querySelector('#wall-plates').getBoundingClientRect().top + scrollY"
        at_place(opened, "front", 4000)
        page.wait_for_timeout(100)
        before = opened.js(plates)
        for typed in ("1", "1.4", "1.412", "abc", "1412", "1.438", "1.39", "1.393", ""):
            page.locator("#wall-reading").fill(typed)
            assert opened.js(plates) == before
        shift = opened.js(
            "new Promise((done) => new PerformanceObserver((list) => done(list.getEntries()"
            ".filter((one) => !one.hadRecentInput).reduce((sum, one) => sum + one.value, 0)))"
            ".observe({ type: 'layout-shift', buffered: true }) || setTimeout(() => done(0), 200))"
        )
        assert shift < 0.02


def test_paper_has_every_wall_and_all_tables_and_no_field(open_page: Opener, by_staff: Path) -> None:
    page = open_page(by_staff).page
    page.emulate_media(media="print")
    for gone in ("#wall-reading", "#wall-paper", "#wall .place"):
        assert not page.locator(gone).is_visible()
    for seen in ("#wall-straps table", "#wall-setting-out table", "#wall .must >> nth=0"):
        assert page.locator(seen).first.is_visible()
    pages = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    text = " ".join(" ".join(one.extract_text() for one in pages).split())
    for name in ("front", "right", "back", "left"):
        assert re.search(rf"{name}: heights \d+ times as large as lengths", text)
    for words in ("Local building codes and the engineer come", "1.346 m", "girder", "take again"):
        assert words in text
    assert page.locator("#wall-all svg").count() == 0
