"""What every end of a train draws, at trickle, average and peak."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from trainapp.dimensions import DAY
from trainapp.hydraulics.demand import DemandError, PeakDemand, peak_demand
from trainapp.stages.working import Array
from trainapp.train.document import Document
from trainapp.train.errors import DocumentError
from trainapp.train.zones import HOUSE
from trainapp.units import parse

#: A tap left dripping or an ice maker filling at night: the least flow at which water is judged (common practice, no source).
TRICKLE = parse("0.3 gpm", "flow")


@dataclass(frozen=True, slots=True)
class EndDemand:
    """One end of the train.

    Attributes:
        flows: m3/s at trickle, average and peak, shape (3,).
        daily: m3 a day.
        lift: m above the supply's gauge.
        pressure: Pa wanted there.
        drinking: whether someone drinks from it.
        alone: m3/s that it draws at a time of its own, 0 where it is drawn together with the house.
        by_table: the answer of the fixture table, None where the peak was given.
    """

    flows: Array
    daily: float
    lift: float
    pressure: float
    drinking: bool
    alone: float = 0.0
    by_table: PeakDemand | None = None


def demands_of(document: Document) -> dict[str, EndDemand]:
    """Every end's demand: the house first, then the outlets in the order of the document.

    An outlet that is not drawn together with the house has no part in its peak, but one of its own.

    Raises:
        DocumentError: fixtures that the table does not know.
    """
    answer = _by_table(document)
    peak = document.demand.value("peak") if answer is None else answer.flow
    house = EndDemand(
        flows=_flows(peak, document.daily_volume),
        daily=document.daily_volume,
        lift=document.supply.value("lift"),
        pressure=document.outlet_pressure(HOUSE),
        drinking=True,
        by_table=answer,
    )
    return {HOUSE: house, **{name: _outlet(document, name) for name in document.outlets}}


def _outlet(document: Document, name: str) -> EndDemand:
    outlet = document.outlets[name]
    peak, daily = outlet.value("peak"), outlet.value("daily")
    together = outlet.flag("with_house")
    flows = _flows(peak if together else 0.0, daily, trickle=min(TRICKLE, peak))
    alone = 0.0 if together else peak
    return EndDemand(flows, daily, outlet.value("lift"), document.outlet_pressure(name), outlet.flag("drinking"), alone)


def _flows(peak: float, daily: float, trickle: float = TRICKLE) -> Array:
    return np.array([min(trickle, peak), daily / DAY, peak])


def _by_table(document: Document) -> PeakDemand | None:
    """The peak from counted fixtures, None where it is given."""
    demand = document.demand
    if demand.given("peak"):
        return None
    use = document.site.word("use")
    try:
        return peak_demand(demand.fixture_counts, demand.word("table"), use)  # type: ignore[arg-type]
    except DemandError as error:
        raise DocumentError("demand.fixtures", str(error)) from None
