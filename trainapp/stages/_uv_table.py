"""The dose table for validated reactors, read in steps: never between two tabulated doses, and never as a credit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from trainapp.stages.working import Array, Working, pick

#: Cysts first, viruses always beside them.
ORGANISMS: Mapping[str, str] = {"cryptosporidium": "Cryptosporidium", "giardia": "Giardia", "virus": "viruses"}
_HEADING = "dose-table value for a validated reactor, not a credit for this device"


def log_at(dose: float, doses: Sequence[float], logs: Sequence[float]) -> float:
    """The greatest tabulated log whose dose is reached, 0 below the first; `doses` rise with `logs`."""
    reached = [log for needed, log in zip(doses, logs, strict=True) if dose >= needed * (1.0 - 1e-9)]
    return float(max(reached, default=0.0))


def log_steps(w: Working, dose: Array, table: Mapping[str, Any]) -> None:
    """Record the tabulated log of each organism at the dose of the peak."""
    least = pick(dose)
    for key, name in ORGANISMS.items():
        value = log_at(least, table[key], table["log"])
        w.step(
            f"lg {name}",
            f"{name}: {_HEADING}",
            value,
            unit="log",
            formula="greatest tabulated dose ≤ D",
            source=str(table["source"]),
            result=f"log_{key}",
        )
