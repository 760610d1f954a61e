"""How much faster small networks are solved here than by EPANET through wntr: `python tests/benchmarks/networks.py`.

Prints one ratio a network and law, both sides timed in this run; exit status 1 where one is under the gate. EPANET's model is built
once and not counted. Ours is counted with and without building it; the gate is on solving.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.hydraulics.networks import Pipe, branches, epanet_flows, epanet_model, ours, series
from trainapp.hydraulics.constants import PSI
from trainapp.hydraulics.network import solve

GATE = 20.0
ROUNDS, OURS, THEIRS = 7, 40, 4


def seconds(work: Callable[[], object], times: int) -> float:
    """Mean time of one call over `times` calls."""
    start = time.perf_counter()
    for _ in range(times):
        work()
    return (time.perf_counter() - start) / times


def compare(pipes: Sequence[Pipe], last: str, law: str, folder: Path) -> tuple[float, float, float]:
    """Median seconds of solving here, of building and solving here, and of EPANET; taken in turns, so that a slow spell hits all alike."""
    heads = {"S": 60.0 * PSI, last: 30.0 * PSI}
    model, network = epanet_model(pipes, heads, {}, law), ours(pipes, heads, {}, law)
    theirs, found = epanet_flows(model, folder), solve(network).flows
    worst = max(abs(found[key] / theirs[key] - 1.0) for key in theirs)
    if worst > 5e-3:
        raise SystemExit(f"the two solvers differ by {worst:.2%}: a ratio would mean nothing")
    rounds = [
        (
            seconds(lambda: solve(network), OURS),
            seconds(lambda: solve(ours(pipes, heads, {}, law)), OURS),
            seconds(lambda: epanet_flows(model, folder), THEIRS),
        )
        for _ in range(ROUNDS)
    ]
    solving, building, epanet = (statistics.median(column) for column in zip(*rounds, strict=True))
    return solving, building, epanet


def main() -> int:
    """Run all four cases; 0 where each reaches the gate."""
    slow = 0
    with tempfile.TemporaryDirectory() as folder:
        for name, build, last in (("12 in series", series, "n12"), ("3 branches", branches, "O")):
            for law, rough in (("H-W", 140.0), ("D-W", 1.5e-6)):
                solving, building, epanet = compare(build(rough), last, law, Path(folder))
                slow += epanet / solving < GATE
                print(
                    f"{name:13} {law}  EPANET / ours = {epanet / solving:5.1f} (gate {GATE:.0f}), built anew {epanet / building:5.1f};"
                    f" ours {1e3 * solving:.3f} ms, EPANET {1e3 * epanet:.2f} ms"
                )
    print("too slow" if slow else "fast enough")
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
