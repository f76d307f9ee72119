"""What a build says of the order, in its report, its list, its sheets, its pack and its page.

Mean densities: EN 338:2016, table 1 (from memory).
"""

from __future__ import annotations

import csv
from collections import Counter

import pypdf
import pytest
from built import Built
from svg_sheets import read
from test_timber import EN_338_2016


def test_the_report_s_order_is_that_of_its_boards(built: Built) -> None:
    order = built.report["buying"]
    wanted = Counter((built.pieces[board["pieces"][0]]["width"], board["length"]) for board in built.report["boards"])
    found = Counter[tuple[float, float]]()
    for row in (*order["boards"], *order["yard"]):
        found[row["width"], row["length"]] += row["count"]
    assert found == wanted
    grade = built.plan["plate"].get("grade", "C16")
    for row in order["boards"]:
        assert row["total"] == row["count"] + row["spare"]
        cubic_metres = row["total"] * row["length"] * row["width"] * built.depth * 1e-9
        assert row["volume_m3"] == pytest.approx(cubic_metres, abs=1e-8)
        assert row["mass_kg"] == pytest.approx(cubic_metres * EN_338_2016[grade], abs=1e-8)
    for key in ("count", "spare", "total", "metres", "volume_m3", "mass_kg"):
        assert order["sum"][key] == pytest.approx(sum(row[key] for row in order["boards"]), abs=1e-7)


def test_waste_is_boards_less_pieces(built: Built) -> None:
    used = net = 0.0
    for board in built.report["boards"]:
        width = built.pieces[board["pieces"][0]]["width"]
        used += board["length"] * width
        net += sum(built.pieces[mark]["length"] for mark in board["pieces"]) * width
    assert built.report["buying"]["waste_percent"] == pytest.approx(100 * (used - net) / used, abs=1e-7)


def test_no_purchase_is_below_its_bound(built: Built) -> None:
    widths = {piece["width"] for piece in built.report["pieces"]}
    assert {purchase["width"] for purchase in built.report["cutting"]} == widths
    for purchase in built.report["cutting"]:
        assert purchase["cost"] >= purchase["bound"] - 1e-6
        assert purchase["gap_percent"] >= 0.0
        if purchase["proved"]:
            assert purchase["cost"] == pytest.approx(purchase["bound"], rel=1e-6)
        if purchase["first_fit"] is not None:
            assert purchase["cost"] <= purchase["first_fit"] + 1e-6


def test_offcuts_kept_are_the_long_ones(built: Built) -> None:
    keep = built.plan.get("stock", {}).get("keep", 600)
    kept = built.report["buying"]["offcuts_kept"]
    assert sum(offcut["count"] for offcut in kept) == sum(board["offcut"] >= keep for board in built.report["boards"])
    assert all(offcut["length"] >= keep - 1.0 for offcut in kept)


def test_the_list_is_the_report_s_order(built: Built) -> None:
    with open(built.folder / "buying-list.csv", encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [
        (float(row["width_mm"]), float(row["length_mm"]), int(row["count"]), int(row["spare"])) for row in rows
    ] == [(row["width"], row["length"], row["count"], row["spare"]) for row in built.report["buying"]["boards"]]
    total = built.report["buying"]["sum"]
    assert sum(float(row["metres"]) for row in rows) == pytest.approx(total["metres"], abs=0.006 * len(rows))
    assert sum(float(row["mass_kg"]) for row in rows) == pytest.approx(total["mass_kg"], abs=0.06 * len(rows))
    assert sum(float(row["volume_m3"]) for row in rows) == pytest.approx(total["volume_m3"], abs=6e-5 * len(rows))


def test_the_order_is_a_sheet_in_the_pack_and_on_the_page(sheeted: Built) -> None:
    path = sheeted.folder / "sheets" / "buying.svg"
    said = [words.text for words in read(path).words]
    assert "ORDER" in said
    for row in sheeted.report["buying"]["boards"]:
        assert f"{row['length']:g}" in said
        assert str(row["total"]) in said
    pack = pypdf.PdfReader(sheeted.folder / "pack.pdf")
    assert any(str(getattr(item, "title", "")) == "Buying list" for item in pack.outline)
    assert any("ORDER" in page.extract_text() for page in pack.pages)
    page = (sheeted.folder / "index.html").read_text("utf-8")
    assert "sheets/buying.svg" in page
