"""Speed of the carbonate system against PHREEQC at the same answers, as a ratio within one run. Exits with 1 where it misses.

python tests/benchmarks/chemistry.py
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.water.phreeqc import at, drawn_waters, phreeqc, solution
from trainapp.water.carbonate import CarbonateWater, from_ph

WATERS, SINGLE = 100_000, 1000
#: How many times faster a water must be.
WANTED = 50.0


def timed(*works: Callable[[], object], rounds: int = 7) -> list[float]:
    """Best of a few runs of each, seconds, taken in turns so that whatever else the machine does meets all of them."""
    times: list[list[float]] = [[] for _ in works]
    for _ in range(rounds):
        for work, spent in zip(works, times, strict=True):
            start = time.perf_counter()
            work()
            spent.append(time.perf_counter() - start)
    return [min(spent) for spent in times]


def main() -> int:
    """Time both, compare the answers, print the ratio."""
    ph, alkalinity, ions, temperature = drawn_waters(WATERS, 11)
    given = [(float(ph[i]), at(ions, i), float(temperature[i]), float(alkalinity[i])) for i in range(SINGLE)]

    def by_phreeqc() -> list[tuple[float, float]]:
        told = []
        for acidity, salts, celsius, buffer in given:
            one = solution(acidity, salts, celsius, alkalinity=buffer)
            told.append((one.total_element("C", "mol"), one.si("Calcite")))
            one.forget()
        return told

    def by_batch() -> CarbonateWater:
        return from_ph(ph, alkalinity, ions, temperature)

    phreeqc()
    single, batch = timed(by_phreeqc, by_batch)
    single, batch = single / SINGLE, batch / WATERS
    told, water = np.array(by_phreeqc()), by_batch()
    off = float(np.abs(water.calcite_index[:SINGLE] - told[:, 1]).max())
    ratio = single / batch
    print(f"PHREEQC {single * 1e6:.1f} us a water, batch of {WATERS} {batch * 1e6:.2f} us a water: {ratio:.0f} times faster")
    print(f"wanted: {WANTED:.0f} times")
    print(f"greatest difference of the saturation index {off:.4f} (allowed 0.03)")
    return 0 if ratio >= WANTED and off <= 0.03 else 1


if __name__ == "__main__":
    sys.exit(main())
