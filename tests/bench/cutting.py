"""How long cutting takes and how near it comes to its bound; nothing is asserted.

Run as ``python tests/bench/cutting.py``. Pieces of 600 to 6000 mm in whole millimetres, a kerf of 3 mm; then the
published instances of ``tests/external``, without a kerf and with one of 3 mm.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

from platemodel.frame.cutting import Offer, cut

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "external"))
from test_cutting_stock import PAPER, U120
from test_published_cuttings import PUBLISHED, Published

OFFERS = tuple(Offer(length, length) for length in (3600.0, 4200.0, 4800.0, 5400.0, 6000.0))


def words(counts: dict[int, int]) -> str:
    return " ".join(f"{size}x{count}" for size, count in counts.items())


EARLIER = (
    Published("paper mill", "Wikipedia", 5600.0, 73, words(PAPER)),
    Published("17 feet", "a textbook", 17.0, 19, "9x15 5x20 3x25"),
    Published("u120_00", "Falkenauer (1996), OR-Library", 150.0, 48, words(U120)),
)


def main() -> None:
    """Cut pieces of our own and published ones."""
    own()
    published()


def own() -> None:
    """Cut 13, 100 and 1,000 pieces three times over, and print processor time and cost."""
    for number in (13, 100, 1000):
        for seed in (1, 2, 3):
            chance = random.Random(seed)
            items = [float(chance.randint(600, 6000)) for _ in range(number)]
            began = time.process_time()
            found = cut(items, OFFERS, 3.0)
            spent = time.process_time() - began
            print(
                f"{number} pieces, seed {seed}: {spent:.2f} s, cost {found.cost:.0f}, bound {found.bound:.0f}, "
                f"gap {100 * (found.cost / found.bound - 1):.2f} %, first fit {found.first_fit:.0f}, "
                f"{len(found.boards)} boards, {found.method}{', ' * bool(found.note)}{found.note}",
                flush=True,
            )


def published() -> None:
    """Print a table of published instances: processor time includes checking what was found."""
    print(f"\n{'instance':<12} {'items':>5} {'optimum':>7} {'kerf':>4} {'found':>5} {'bound':>5} {'proved':<6} seconds")
    for entry in EARLIER + PUBLISHED:
        for kerf, run in ((0, entry.cut), (3, entry.cut_with_kerf)):
            began = time.process_time()
            found = run()
            spent = time.process_time() - began
            print(
                f"{entry.name:<12} {len(entry.items()):>5} {entry.optimum:>7} {kerf:>4} {found.cost:>5.0f} "
                f"{found.bound:>5.0f} {'yes' if found.proved else 'no':<6} {spent:>7.2f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
