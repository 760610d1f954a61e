"""The backwash of a filter that cleans itself by the clock or when it is full."""

from __future__ import annotations

from typing import Literal

from trainapp.dimensions import DAY
from trainapp.stages._beds import MediaTank, constants
from trainapp.stages.base import Cleaning, Duty, Stage

_HOUR = 3600.0


def hour_of(stage: Stage, name: Literal["backwash", "regeneration"]) -> float:
    """Local hour at which a stage begins to clean itself: as set, else as such clocks usually are."""
    given = stage.settings.get("clean_at")
    return float(constants()[f"{name}_at"] if given is None else given) / _HOUR


def backwash(stage: Stage, tank: MediaTank, duty: Duty, every: float, minutes: float, rinse_minutes: float) -> Cleaning:
    """A backwash at the model's flow, and a rinse to drain at the same flow.

    Args:
        every: s between two.
        minutes, rinse_minutes: of each part.
    """
    flow = tank.wash_flow(duty.warm)
    return Cleaning(
        name="backwash",
        flow=flow,
        flow_cold=tank.wash_flow(duty.cold),
        published=tank.published_flow(),
        minutes=minutes,
        total_minutes=minutes + rinse_minutes,
        volume=flow * (minutes + rinse_minutes) * 60.0,
        every_days=every / DAY,
        during=stage.during_cleaning or "raw_passes",
        hour=hour_of(stage, "backwash"),
    )
