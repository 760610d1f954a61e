"""The backwash of a filter that cleans itself by the clock or when it is full."""

from __future__ import annotations

from trainapp.dimensions import DAY
from trainapp.stages._beds import MediaTank
from trainapp.stages.base import Cleaning, DuringCleaning, Duty


def backwash(
    tank: MediaTank, duty: Duty, every: float, minutes: float, rinse_minutes: float, during: DuringCleaning | None
) -> Cleaning:
    """A backwash at the model's flow, and a rinse to drain at the same flow.

    Args:
        every: s between two.
        minutes, rinse_minutes: of each part.
        during: what the house gets meanwhile.
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
        during=during or "raw_passes",
    )
