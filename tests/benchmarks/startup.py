"""What `trainapp check` costs as a process, against importing what it cannot do without: `python tests/benchmarks/startup.py`.

Exit status 1 where the ratio of this run passes the gate.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
GATE = 2.5
ROUNDS = 9
BASE = (sys.executable, "-c", "import numpy, networkx, pydantic")
CHECK = (sys.executable, "-m", "trainapp", "check", str(ROOT / "samples" / "lone-alder-farm.train.json"))


def seconds(command: Sequence[str], compiled: str) -> float:
    """Wall time of one process, its modules compiled once and kept in a folder, as an installed program's are."""
    surroundings = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    surroundings["PYTHONPYCACHEPREFIX"] = compiled
    start = time.perf_counter()
    done = subprocess.run(command, cwd=ROOT, env=surroundings, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, check=False)
    spent = time.perf_counter() - start
    if done.returncode not in (0, 1) or done.stderr:
        raise SystemExit(f"the command failed, so its time means nothing: {done.stderr[-300:]}")
    return spent


def main() -> int:
    """Take both in turns; 0 where the gate holds."""
    with tempfile.TemporaryDirectory() as compiled:
        seconds(BASE, compiled), seconds(CHECK, compiled)
        rounds = [(seconds(BASE, compiled), seconds(CHECK, compiled)) for _ in range(ROUNDS)]
    base, check = (statistics.median(column) for column in zip(*rounds, strict=True))
    print(f"imports alone {base:.3f} s, trainapp check {check:.3f} s: {check / base:.2f} times (gate {GATE})")
    return int(check > GATE * base)


if __name__ == "__main__":
    sys.exit(main())
