"""The cover: figures of the frame, the proof in words, advice, cautions; nothing collides however long it is."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from pathlib import Path

import pytest
from making import proved
from pages import assert_sound, clear_of_title_block, on, plan_texts, text_box, words

from platemodel.frame import Frame
from platemodel.sheets.cover import cover_sheet
from platemodel.sheets.page import DOTTED, Line, Page, Text
from platemodel.site.rules import Verdict, judge
from platemodel.solid.values import Check, Findings, LapFigures, Proof

PLANS = plan_texts()


def good(frame: Frame) -> Proof:
    """A proof in which everything is as it should be."""
    lap = LapFigures(0.0, 1.0, 1e4, 5000.0, 1e4, 5000.0, 0.5, 1e-6, 0.01)
    checks = (Check("frame.step: tops not flush, mm", 0.0, 1e-6),)
    laps = (lap,) * len(frame.joints)
    return Proof(Findings("kernel one", laps, checks), Findings("kernel two", laps, ()), 12)


def text_of(frame: Frame, proof: Proof | None, verdicts: Sequence[Verdict] = ()) -> str:
    return words(cover_sheet(frame, proof, verdicts, [("plan", 1, 2), ("T1", 3, 3)]))


@pytest.mark.parametrize(("name", "size"), [(name, size) for name in PLANS for size in ("A4", "A3")])
def test_nothing_collides_and_the_figures_are_the_frame_s(name: str, size: str) -> None:
    frame = on(PLANS[name], size)
    names = ["plan", *(kind.name for kind in frame.types)]
    contents = [(name, count, count) for count, name in enumerate(names, start=1)]
    pages = cover_sheet(frame, good(frame), judge(frame), contents)
    _sound(pages)
    text = words(pages)
    pieces, types = len(frame.pieces), len(frame.types)
    assert f"Pieces: {pieces} piece{'s' if pieces != 1 else ''} of {types} type{'s' if types != 1 else ''}, " in text
    assert f"Laps: {len(frame.joints)}" in text
    assert f"Boards: {len(frame.boards)} (" in text
    heaviest = max(frame.pieces, key=lambda piece: piece.mass)
    assert f"Heaviest piece: {heaviest.mark}, {heaviest.mass:.1f} kg" in text
    listed = " · ".join(f"{name} {len(pages) + count}" for name, count, _ in contents)
    assert listed in text
    assert "NOT PROVED" not in text
    for word in ("Saws:", "Wet cement", "Work at height", "licensed practice", "guideline, not a limit"):
        assert word in text


def _sound(pages: Sequence[Page]) -> None:
    for page in pages:
        assert_sound(page)
        clear_of_title_block(page)


@pytest.mark.parametrize("size", ["A4", "A3"])
@pytest.mark.parametrize("letter", ["W", "i "])
def test_long_titles_names_and_sixty_advices_fit(size: str, letter: str) -> None:
    title = (letter * 200)[:200].strip()
    frame = on(PLANS["long names"].replace("Made by a test", title), size)
    verdicts = [
        Verdict(f"rule {number % 7} of a plate", "advice", "common practice", False, f"place {number} {'x' * 60}")
        for number in range(60)
    ]
    pages = cover_sheet(frame, good(frame), verdicts, [(f"T{number}", number, number) for number in range(1, 300)])
    _sound(pages)
    text = words(pages)
    assert "Rules that do not hold: 7, in 60 places" in text
    # every place is named, on whichever page its words come to stand
    assert text.count("x" * 60) == 60
    assert f"T299 {299 + len(pages)}" in text


def test_many_places_of_a_rule_are_capped() -> None:
    frame = on(PLANS["garden-room"], "A4")
    verdicts = [Verdict("a rule", "advice", "common practice", False, f"place {number} ") for number in range(25)]
    text = text_of(frame, good(frame), verdicts)
    assert all(f"place {number} " in text for number in range(20))
    assert "place 20 " not in text
    assert "and 5 more in report.json" in text


def test_what_failed_is_said_in_words_and_never_called_proved(tmp_path: Path) -> None:
    frame = on(PLANS["garden-room"], "A4")
    right = proved(frame, tmp_path)
    text = text_of(frame, right)
    assert " Proved " in text
    # programs' names mean nothing on site; where to find the figures does
    assert right.exact.kernel not in text
    assert right.mesh.kernel not in text
    assert "Figures: report.json." in text
    assert "lowered straight down" in text
    assert f"No piece runs into another: {right.pairs_tested} pairs" in text
    wrong = dataclasses.replace(right.mesh.laps[1], clash=777.0, fill=0.5)
    laps = (right.mesh.laps[0], wrong, *right.mesh.laps[2:])
    check = Check("frame.step: tops not flush, mm", 0.25, 1e-6)
    exact = dataclasses.replace(right.exact, checks=(*right.exact.checks, check))
    failed = dataclasses.replace(right, exact=exact, mesh=dataclasses.replace(right.mesh, laps=laps))
    text = text_of(frame, failed)
    assert f"{right.exact.kernel} and {right.mesh.kernel}" in text
    assert "Not proved" in text
    assert " Proved " not in text
    assert "NOT PROVED, DO NOT CUT" in text
    assert "2 failed" in text
    assert "tops not flush, mm: 0.25, at most 1e-06 wanted" in text
    joint = frame.joints[1]
    assert f"lap {joint.id}, {frame.pieces[joint.under].mark} under {frame.pieces[joint.over].mark}" in text
    assert "clash, fill" in text
    assert "lowered straight down" not in text


def test_what_all_places_of_a_rule_end_in_is_said_once() -> None:
    frame = on(PLANS["garden-room"], "A4")
    verdicts = [
        Verdict("a rule", "advice", "common practice", False, f"{mark} {length} mm, no bearings")
        for mark, length in (("A1", 2500), ("B1", 1400), ("C1", 2400))
    ]
    text = text_of(frame, good(frame), verdicts)
    assert "Not so: A1 2500 mm; B1 1400 mm; C1 2400 mm (each: no bearings)." in text
    assert "Not so: A1 2500 mm, no bearings." in text_of(frame, good(frame), verdicts[:1])


def test_rules_that_do_not_hold_are_signed_for_too() -> None:
    frame = on(PLANS["garden-room"], "A4")
    failed = [Verdict("a rule", "advice", "common practice", False, "here")]
    assert "measured; plan and rules agreed" in text_of(frame, good(frame), failed)
    assert "measured; plan agreed" in text_of(frame, good(frame), [])


@pytest.mark.parametrize("size", ["A4", "A3"])
def test_lines_to_sign_on_keep_off_their_words_and_the_frame(size: str) -> None:
    page = cover_sheet(on(PLANS["canted-bay"], size), None, [], [])[0]
    block = page.height - 34.0
    left_of_block = page.width - 10.0 - 180.0
    lines = [mark for mark in page.marks if isinstance(mark, Line) and mark.pen == DOTTED]
    lines = [line for line in lines if line.points[-1][0] < left_of_block]
    texts = [
        mark for mark in page.marks if isinstance(mark, Text) and mark.at[1] > block and mark.at[0] < left_of_block
    ]
    assert len(lines) == 3
    assert len(texts) == 4
    for text in texts:
        _, top, right, bottom = text_box(text)
        assert right < left_of_block - 1.0
        assert block + 1.0 < top < bottom < page.height - 11.5
        for line in lines:
            (begin, y), _ = line.points
            assert right < begin - 1.0 or y < top - 1.0 or y > bottom + 1.0
            assert line.points[-1][0] - begin > 20.0


@pytest.mark.parametrize("name", ["canted-bay", "bungalow", "two-shells"])
def test_every_piece_has_its_mark_on_the_picture(name: str) -> None:
    frame = on(PLANS[name], "A4")
    page = cover_sheet(frame, None, [], [])[0]
    shown = [mark.text for mark in page.marks if isinstance(mark, Text)]
    assert {piece.mark for piece in frame.pieces} <= set(shown)
    assert "every piece by its mark" in words([page])


def test_marks_without_room_are_named() -> None:
    frame = on(PLANS["short pieces"], "A4")
    page = cover_sheet(frame, None, [], [])[0]
    shown = {mark.text for mark in page.marks if isinstance(mark, Text)}
    missing = [piece.mark for piece in frame.laying if piece.mark not in shown]
    text = words([page])
    assert all(mark in text for mark in missing[:12])
    assert ("no room here for" in text) == bool(missing)


def test_no_proof_is_not_a_proof() -> None:
    text = text_of(on(PLANS["garden-room"], "A4"), None)
    assert "NOT PROVED: no proof was made" in text


def test_rules_that_must_hold_come_first() -> None:
    frame = on(PLANS["garden-room"], "A4")
    verdicts = [
        Verdict("soft", "advice", "common practice", False, "here"),
        Verdict("hard", "must", "common practice", False, "there"),
        Verdict("kept", "advice", "common practice", True, ""),
    ]
    text = text_of(frame, good(frame), verdicts)
    assert "Rules that do not hold: 2" in text
    assert text.index("MUST: hard") < text.index("soft (")
    assert "kept" not in text
    assert "All 1 rules" not in text
    assert "All rules that were judged hold" in text_of(frame, good(frame), verdicts[2:])


def test_many_rules_are_capped_too() -> None:
    frame = on(PLANS["garden-room"], "A4")
    verdicts = [Verdict(f"rule {number}", "advice", "common practice", False, "here") for number in range(50)]
    pages = cover_sheet(frame, good(frame), verdicts, [])
    _sound(pages)
    assert words(pages).count("Not so: here.") == 40
    assert "and 10 more in report.json" in words(pages)


def test_many_failures_are_capped_too() -> None:
    frame = on(PLANS["terrace"], "A4")
    right = good(frame)
    checks = tuple(Check(f"check {number}", 1.0, 0.0) for number in range(40))
    failed = dataclasses.replace(right, exact=dataclasses.replace(right.exact, checks=checks))
    pages = cover_sheet(frame, failed, judge(frame), [])
    _sound(pages)
    assert "40 failed" in words(pages)
    assert "and 28 more in report.json" in words(pages)


@pytest.mark.parametrize(
    ("mass", "said"),
    [
        (6.9, None),
        # HSE INDG143 and L23, guideline figures for men and women (from memory)
        (7.1, "above the lower figure at head height"),
        (16.1, "above the lower figure at elbow height"),
        (25.1, "above all of them"),
    ],
)
def test_the_heaviest_piece_is_put_beside_the_guideline(mass: float, said: str | None) -> None:
    frame = on(PLANS["one"], "A4")
    frame = dataclasses.replace(frame, pieces=(dataclasses.replace(frame.pieces[0], mass=mass),))
    text = text_of(frame, good(frame))
    assert "to elbow height 25 / 16 kg, to the shoulder 20 / 13, to the head 10 / 7" in text
    if said is None:
        assert "is above" not in text
    else:
        assert f"{frame.pieces[0].mark} is {said}" in text
    # a short piece is not called long
    assert "Long pieces" not in text
