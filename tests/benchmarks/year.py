"""What a year of service costs: `python tests/benchmarks/year.py`. Exit status 1 where a gate is missed.

Times are at the reference pace of tests/benchmarks/train.py: a fixed piece of plain work is timed in turns with the run.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.train import UNIT_MS, best, unit
from tests.train.trains import fifteen_stages, full_train, twelve_stages
from trainapp.data import samples_path
from trainapp.studies.year import UPKEEP, Options, Upkeep, read_spike, run
from trainapp.train.document import Document, load

#: s for 365 days told apart by the minute.
GATE = 2.0
ROUNDS = 3


def seconds(train: Document, options: Options) -> float:
    """s of one run at the reference pace, the least of some."""
    found = []
    for _ in range(ROUNDS):
        pace = best(unit, 5) / UNIT_MS
        start = time.perf_counter()
        run(train, options)
        found.append((time.perf_counter() - start) / pace)
    return min(found)


def main() -> int:
    """Run all; 0 where every gate holds."""
    trains = {path.name.removesuffix(".train.json"): load(path) for path in sorted(samples_path().glob("*.train.json"))}
    trains |= {"5 stages, small well": full_train(), "12 stages": twelve_stages(), "15 stages": fifteen_stages()}
    missed = 0
    for name, train in trains.items():
        spent = [seconds(train, Options(upkeep=Upkeep(kept), spike=read_spike("turbidity=20 NTU"))) for kept in UPKEEP]
        missed += max(spent) > GATE
        told = ", ".join(f"{kept} {each:.2f} s" for kept, each in zip(UPKEEP, spent, strict=True))
        print(f"{name}: {told} (gate {GATE:.1f} s)")
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main())
