"""What a train costs to evaluate and check: `python tests/benchmarks/train.py`. Exit status 1 where a gate is missed.

The unit of time is this machine's own: a fixed piece of plain Python work, timed in turns with the train. On the machine on which the
gates were set that unit takes UNIT_MS; the gates in milliseconds are stretched by how much slower or faster it runs now.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.train.trains import fifteen_stages, twelve_stages
from trainapp.checks import findings, limit_ranks
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import Plan, open_plan
from trainapp.water.stream import Stream

UNIT_MS = 3.7
GATES_MS = {12: 8.0, 15: 10.0}
BATCH, BATCH_GATE = 100_000, 200.0
CHUNK = 1_000


def unit() -> None:
    """Plain interpreter work: the yardstick."""
    total = 0.0
    for i in range(60_000):
        total += (i * 0.5) % 7.0
    np.ones(200) * total


def best(work: Callable[[], object], rounds: int = 15) -> float:
    """Least milliseconds of one call."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1e3 * min(times)


def one_train(plan: Plan) -> tuple[float, float]:
    """Milliseconds over the machine's pace: evaluation at three flows and all checks of a compiled train, and from its document on."""
    pace = best(unit) / UNIT_MS
    document = plan.document
    return best(lambda: findings(evaluate(plan))) / pace, best(lambda: findings(evaluate(open_plan(document)))) / pace


def drawn(plan: Plan, waters: int) -> Stream:
    """Many raw waters around the design sample."""
    spread = np.random.default_rng(1).uniform(0.7, 1.3, (1, 1, 1, waters))
    values = np.repeat(evaluate(plan, keep_working=False).points["supply"].water.values[..., :1], waters, axis=3)
    return Stream(values * np.where(np.isfinite(values), spread, 1.0), np.repeat(plan.raw.stream.known, waters, axis=1))


def batch_ratio(plan: Plan) -> float:
    """How much less a water of a large batch costs than one alone, both evaluated and judged: what a study of many waters saves."""
    single = best(lambda: findings(evaluate(plan)))
    chunk = drawn(plan, CHUNK)

    def judged() -> None:
        limit_ranks(evaluate(plan, chunk, keep_working=False))

    judged()
    times = []
    for _ in range(BATCH // CHUNK):
        start = time.perf_counter()
        judged()
        times.append(time.perf_counter() - start)
    # the least of many on either side: a slow spell of the machine is not the train's
    return single / (1e3 * min(times) / CHUNK)


def main() -> int:
    """Run all; 0 where every gate holds."""
    missed = 0
    for stages, document in ((12, twelve_stages()), (15, fifteen_stages())):
        spent, whole = one_train(open_plan(document))
        missed += spent > GATES_MS[stages]
        gate = f"gate {GATES_MS[stages]:.0f}"
        print(f"{stages} stages, evaluated and checked: {spent:.2f} ms at the reference pace ({gate}); from the document {whole:.2f} ms")
    ratio = batch_ratio(open_plan(twelve_stages("sediment_bed")))
    missed += ratio < BATCH_GATE
    print(f"{BATCH} waters through 12 stages: {ratio:.0f} times less per water than one at a time (gate {BATCH_GATE:.0f})")
    # calcite is solved water by water whatever the batch; how fast has a gate of its own in chemistry.py
    print(f"the same with a neutralizer among them: {batch_ratio(open_plan(twelve_stages())):.0f} times")
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main())
