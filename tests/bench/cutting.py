"""How long cutting takes and how near it comes to its bound; nothing is asserted.

Run as ``python tests/bench/cutting.py``. Pieces of 600 to 6000 mm in whole millimetres, a kerf of 3 mm.
"""

from __future__ import annotations

import random
import time

from platemodel.frame.cutting import Offer, cut

OFFERS = tuple(Offer(length, length) for length in (3600.0, 4200.0, 4800.0, 5400.0, 6000.0))


def main() -> None:
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


if __name__ == "__main__":
    main()
