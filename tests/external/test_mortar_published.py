"""Published quantities of cement and sand, each by the rule that its page uses."""

from __future__ import annotations

import pytest

from platemodel.site.bedding import JOINT
from platemodel.site.mortar import CLASSES, DRY_MORE, WEIGHT, by_yield, quantities, rules

# 1 m3 of wet mortar by dry parts 1.33 x wet and cement of 1440 kg/m3; the pages differ in the sand's density.
# 1:3 https://wecivilengineers.wordpress.com/2018/03/28/how-to-calculate-quantity-of-cement-sand-water-in-mortar-of-13/
# 1:4 https://wecivilengineers.blog/how-to-calculate-quantity-of-cement-sand-water-in-mortar-of-14/
# 1:6 the same site's page on 1:6, and https://civilengineeringrealities.com/2020/07/rate-analysis-for-mortar.html
BY_DRY_PARTS = [
    # parts, sand kg/m3, cement m3, cement kg, bags, of kg, sand m3, sand kg
    (3, 1920, "0.3325", "478.8", "9.576", 50, "0.9975", "1915.2"),
    (4, 1920, "0.266", "383.04", "7.661", 50, "1.064", "2042.88"),
    (6, 1600, "0.19", "273.6", "5.472", 50, "1.14", "1824"),
    (6, 1600, "0.19", "273.6", "10.944", 25, "1.14", "1824"),
    # by arithmetic from the same rule, no page
    (5, 1600, None, "319.2", "12.77", 25, "1.108", None),
]


def _as_printed(value: float, printed: str) -> str:
    """A figure with the decimals of the printed one."""
    return f"{value:.{len(printed.partition('.')[2])}f}"


@pytest.mark.parametrize(("parts", "density", "cement", "kg", "bags", "bag", "sand", "sand_kg"), BY_DRY_PARTS)
def test_a_cubic_metre_by_dry_parts(
    parts: int, density: float, cement: str | None, kg: str, bags: str, bag: float, sand: str, sand_kg: str | None
) -> None:
    found = quantities(1.0, parts, sand=density)
    printed = [(found.cement, cement), (found.cement_kg, kg), (found.bags(bag), bags), (found.sand, sand)]
    for value, figure in [*printed, (found.sand_kg, sand_kg)]:
        assert figure is None or _as_printed(value, figure) == figure


def test_a_cubic_metre_by_the_more_cautious_rule() -> None:
    # http://theconstructor.org/practical-guide/quantity-of-cement-sand-calculation-in-mortar/6925/: 6.58 bags of
    # 50 kg, a bag 0.0347 m3, which is 50 kg of 1440 kg/m3
    found = quantities(1.0, 6, DRY_MORE)
    assert f"{found.bags(50.0):.2f}" == "6.58"
    assert f"{50.0 / 1440.0:.4f}" == "0.0347"


def test_a_cubic_metre_by_absolute_volumes() -> None:
    # http://www.allinterview.com/showanswers/143338.html: a bag of 50 kg yields 0.178 m3
    found = by_yield(1.0, 6)
    assert found is not None
    need, water = found
    assert f"{need.bags(50.0):.2f}" == "5.62"
    assert f"{need.sand:.2f}" == "1.17"
    assert f"{water:.1f}" == "168.5"
    assert by_yield(1.0, 4) is None


def test_the_rules_differ_by_a_fifth() -> None:
    bags = sorted(kg / 50.0 for _, kg in rules(1.0, 6))
    assert [f"{it:.2f}" for it in bags] == ["5.47", "5.62", "6.58"]
    assert bags[-1] / bags[0] == pytest.approx(1.20, abs=0.005)


def test_a_bed_of_ten_metres() -> None:
    # 10 m x 100 mm x 10 mm = 0.0100 m3, by arithmetic; here as a plate is bedded
    from bedded import frame_of
    from plans import Spec

    from platemodel.site.bedding import bedding

    one = Spec(corners=((0, 0), (10_000, 0)), names=("only",), closed=False, stock=(12_000.0,))
    found = bedding(frame_of(one, {"only": ((0.0, 30.0), (10_000.0, 30.0))}, {"waste": 0.0}))
    assert found is not None
    assert f"{found.mortar.bed / 1000.0:.4f}" == "0.0100"
    assert found.mortar.bed == pytest.approx(10.0)


def test_mortar_classes() -> None:
    # Building Construction Handbook, 8th edition, https://issuhub.com/view/index?id=3777&pageIndex=370: cement and
    # sand 1:3 is M12, 1:3 to 1:4 M6, 1:5 to 1:6 M4. Trap: some web pages call 1:5.5 M4 and others M4 to 1:4, and
    # the Australian code uses M1 to M4 in another sense
    assert CLASSES == {3: "M12", 4: "M6", 5: "M4", 6: "M4"}


def test_figures_from_memory() -> None:
    # EN 1991-1-1 Table A.1 (from memory): cement mortar 19 to 23 kN/m3, at about 10 m/s2 1.9 to 2.3 kg a litre
    assert WEIGHT == (1.9, 2.3)
    # EN 1996-1-1:2005, 8.1.5 (from memory): bed joints of general-purpose mortar
    assert JOINT == (6.0, 15.0)
