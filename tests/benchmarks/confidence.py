"""What drawing costs: `python tests/benchmarks/confidence.py`. Exit status 1 where a gate is missed.

Seconds of processor time at the reference pace of tests/benchmarks/train.py. One thread draws here, two do in the program.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.train import UNIT_MS, best, unit
from tests.train.trains import twelve_stages
from trainapp.data import samples_path
from trainapp.studies.confidence import confidence, default_spreads
from trainapp.studies.confidence.drawn import Drawn
from trainapp.studies.confidence.factors import Factors
from trainapp.studies.confidence.sobol import points
from trainapp.train.document import Document, load
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

#: Draws of the gate, those that are timed for it, draws in one go; s that the former may take, the second where calcite is solved too.
DRAWS, TIMED, PART = 100_000, 20_000, 4_000
GATES = (2.0, 5.0)
#: s that a whole answer of 2,048 draws with its indices may take.
ANSWER_GATE = 4.0


def seconds(work: Callable[[], object], rounds: int = 3) -> float:
    """s of processor time at the reference pace, the least of some."""
    found = []
    for _ in range(rounds):
        pace = best(unit, 5) / UNIT_MS
        start = time.process_time()
        work()
        found.append((time.process_time() - start) / pace)
    return min(found)


def draws(train: Document) -> float:
    """s of DRAWS cases, from their numbers to their verdicts."""
    design = evaluate(open_plan(train))
    drawn = Drawn(design)
    factors = Factors(design.plan, default_spreads(), frozenset(row.limit.analyte for row in drawn.rows))

    def run() -> None:
        z = factors.deviations(points(TIMED, len(factors.names), 1))
        for start in range(0, TIMED, PART):
            part = z[start : start + PART]
            drawn.judge(factors.water(part), factors.peak(part), factors.daily(part))

    return seconds(run) * DRAWS / TIMED


def main() -> int:
    """Run all; 0 where every gate holds."""
    missed = 0
    trains = {"12 stages": twelve_stages("sediment_bed"), "12 stages, a neutralizer among them": twelve_stages()}
    for (name, train), gate in zip(trains.items(), GATES, strict=True):
        spent = draws(train)
        missed += spent > gate
        print(f"{name}: {DRAWS:,} draws in {spent:.1f} s (gate {gate:.0f} s)")
    for path in sorted(samples_path().glob("*.train.json")):
        train = load(path)
        spent = seconds(lambda train=train: confidence(train), 1)  # type: ignore[misc]
        missed += spent > ANSWER_GATE
        print(f"{path.name.removesuffix('.train.json')}: an answer in {spent:.2f} s (gate {ANSWER_GATE:.0f} s)")
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main())
