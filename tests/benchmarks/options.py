"""What a search for options costs: `python tests/benchmarks/options.py`. Exit status 1 where a gate is missed.

Seconds of processor time at the reference pace of tests/benchmarks/train.py. A search covers every train of its layouts; most fall with a
part that they share. Beside what is covered stands how many rows were weighed one by one.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.train import UNIT_MS, best, unit
from trainapp.data import samples_path
from trainapp.studies.cost import default_prices
from trainapp.studies.options import Proposal, Proposer
from trainapp.train.document import load

#: Trains covered a second; s of a first answer, and of another with other prices.
GATE, FIRST_GATE, AGAIN_GATE = 20_000, 12.0, 5.0


def timed(proposer: Proposer, **asked: object) -> tuple[Proposal, float]:
    """An answer and its s at the reference pace."""
    pace = best(unit, 5) / UNIT_MS
    start = time.process_time()
    proposal = proposer.propose(**asked)  # type: ignore[arg-type]
    return proposal, (time.process_time() - start) / pace


def main() -> int:
    """Run all; 0 where every gate holds."""
    missed = 0
    for path in sorted(samples_path().glob("*.train.json")):
        proposer = Proposer(load(path))
        proposal, first = timed(proposer)
        _, again = timed(proposer, prices=default_prices(), years=15)
        covered = proposal.tally.considered
        # a small site is answered at once: a rate means something where there is much to cover
        is_slow = first > 1.0 and covered / first < GATE
        missed += is_slow or first > FIRST_GATE or again > AGAIN_GATE
        print(
            f"{path.name.removesuffix('.train.json')}: {len(proposal.options)} of {covered:,} trains in {first:.1f} s, "
            f"{covered / first:,.0f} a second (gate {GATE:,}), {proposal.tally.weighed:,} weighed alone; again {again:.1f} s"
        )
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main())
