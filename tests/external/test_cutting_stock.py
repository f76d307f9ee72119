"""Cutting against published instances with known optima, and against a constraint solver."""

from __future__ import annotations

import random

import pytest
from ortools.sat.python import cp_model

from platemodel.frame.cutting import Cutting, Offer, cut

# Wikipedia, 'Cutting stock problem': rolls of 5600 mm, width: how many; 73 rolls are needed
PAPER = {
    1380: 22,
    1520: 25,
    1560: 12,
    1710: 14,
    1820: 18,
    1880: 18,
    1930: 20,
    2000: 10,
    2050: 12,
    2100: 14,
    2140: 16,
    2150: 18,
    2200: 20,
}

# Falkenauer (1996), u120_00 of the OR-Library: bins of 150, optimum 48; size: how many
U120_LINE = """
98x3 96x2 94 93x2 92 91x2 90 87 86 85x2 84x5 83x2 82x2 81 80x3 79x2 78x4 76 74x2 73x4 72 71 70x3 69x3 67 66 64 62x2
60x2 59 58x3 57x4 55x3 50 49x3 47 46x2 45x2 44x2 43x4 42x5 41x3 39x2 38x3 37 36x3 35 33x3 32x2 30x3 29 28 27x2 26 25x2
24 23x2 20"""
U120 = {int(word.split("x")[0]): int(word.split("x")[1]) if "x" in word else 1 for word in U120_LINE.split()}


def many(counts: dict[int, int]) -> list[float]:
    return [float(length) for length, count in counts.items() for _ in range(count)]


def sound(found: Cutting, items: list[float], offers: list[Offer], kerf: float = 0.0) -> None:
    """Every item is on one board and every board holds its items, said without the module's own words."""
    assert sorted(item for _, group in found.boards for item in group) == list(range(len(items)))
    for offer, group in found.boards:
        assert sum(items[i] for i in group) + kerf * (len(group) - 1) <= offers[offer].length + 1.01e-4
    assert found.cost == pytest.approx(sum(offers[offer].cost for offer, _ in found.boards))


def test_paper_mill() -> None:
    items, offers = many(PAPER), [Offer(5600.0, 1.0)]
    assert len(items) == 219
    found = cut(items, offers, 0.0)
    sound(found, items, offers)
    assert (found.cost, found.bound, found.proved, len(found.boards)) == (73.0, 73.0, True, 73)


def test_boards_of_17_feet() -> None:
    # a textbook's example of column generation, from memory: the linear program comes to 18.333
    items, offers = many({3: 25, 5: 20, 9: 15}), [Offer(17.0, 1.0)]
    found = cut(items, offers, 0.0)
    sound(found, items, offers)
    assert (found.cost, found.bound, found.proved) == (19.0, 19.0, True)


def test_uniform_bins_of_the_or_library() -> None:
    items, offers = many(U120), [Offer(150.0, 1.0)]
    assert len(items) == 120
    found = cut(items, offers, 0.0)
    sound(found, items, offers)
    assert (found.cost, found.bound, found.proved, found.first_fit) == (48.0, 48.0, True, 49.0)


@pytest.mark.parametrize(("bins", "seed"), [(20, 1), (20, 2), (20, 3), (40, 4), (40, 5)])
def test_triplets(bins: int, seed: int) -> None:
    # Falkenauer (1996): three items of 25.0 to 50.0 fill a bin of 100.0 exactly; seeds of our own
    chance = random.Random(seed)
    tenths: list[int] = []
    for _ in range(bins):
        first = chance.randint(380, 490)
        second = chance.randint(250, (1000 - first) // 2)
        tenths += [first, second, 1000 - first - second]
    items, offers = [tenth / 10 for tenth in tenths], [Offer(100.0, 1.0)]
    found = cut(items, offers, 0.0)
    sound(found, items, offers)
    assert found.first_fit is not None
    assert found.first_fit > bins
    assert (found.cost, found.bound, found.proved) == (bins, bins, True)


def least(items: list[int], offers: list[tuple[int, int, int | None]], kerf: int) -> tuple[int, int] | None:
    """Least cost and then fewest boards, by an assignment model without patterns; None where nothing fits."""
    model = cp_model.CpModel()
    boards: list[tuple[cp_model.IntVar, int]] = []
    on: list[list[cp_model.IntVar]] = [[] for _ in items]
    for length, cost, most in offers:
        before = None
        for _ in range(min(len(items), len(items) if most is None else most)):
            used = model.new_bool_var("")
            places = [model.new_bool_var("") for _ in items]
            for index, place in enumerate(places):
                on[index].append(place)
            model.add(
                sum((size + kerf) * place for size, place in zip(items, places, strict=True)) <= (length + kerf) * used
            )
            if before is not None:
                model.add_implication(used, before)
            before = used
            boards.append((used, cost))
    for places in on:
        model.add_exactly_one(places)
    model.minimize(sum((cost * 100 + 1) * used for used, cost in boards))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    # else it takes Ctrl-C for itself, and keeps it from the tests that come after
    solver.parameters.catch_sigint_signal = False
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL
    value = round(solver.objective_value)
    return value // 100, value % 100


@pytest.mark.parametrize("part", range(4))
def test_a_constraint_solver_finds_the_same_costs(part: int) -> None:
    refused = 0
    for seed in range(50 * part, 50 * part + 50):
        chance = random.Random(seed)
        lengths = chance.sample(range(2400, 6100, 300), chance.randint(1, 3))
        offers: list[tuple[int, int, int | None]] = [(n, n // (100 if seed % 2 else 300), None) for n in lengths]
        if seed % 3 == 0:
            offers.append((chance.randrange(1200, 5000, 50), 0, chance.randint(1, 2)))
        if seed % 7 == 0:
            offers = [(length, cost, chance.randint(1, 3)) for length, cost, _ in offers]
        longest = max(length for length, _, _ in offers)
        items = [chance.randint(400, min(longest, 3000)) for _ in range(chance.randint(3, 7))]
        kerf = chance.choice((0, 3, 5))
        expected = least(items, offers, kerf)
        given = [Offer(float(length), float(cost), most) for length, cost, most in offers]
        if expected is None:
            with pytest.raises(ValueError, match=r"cannot hold|shorter than"):
                cut([float(item) for item in items], given, float(kerf))
            refused += 1
            continue
        found = cut([float(item) for item in items], given, float(kerf))
        sound(found, [float(item) for item in items], given, float(kerf))
        assert found.proved, seed
        assert (found.cost, len(found.boards)) == expected, seed
    assert refused < 10
