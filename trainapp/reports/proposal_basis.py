"""What a proposal was designed for: the demand, what was supposed instead of what the file says, and what was assumed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from trainapp import units
from trainapp.checks.context import analyte_inside
from trainapp.reports.proposal_offer import Drawn, Offer
from trainapp.spelling import spelt
from trainapp.stages.working import PEAK
from trainapp.studies.cost import PriceList
from trainapp.studies.options.what_if import salt_price
from trainapp.train.demands import demands_of
from trainapp.train.document import Document
from trainapp.train.zones import HOUSE
from trainapp.units import System


def basis(offer: Offer) -> tuple[str, ...]:
    """Every sentence on it, the demand first; each stands wherever the options do."""
    return tuple(filter(None, (designed_for(offer), supposed(offer), assumed(offer))))


def designed_for(offer: Offer) -> str:
    """The demand that every option was sought for."""
    return f"Designed for {', '.join(_demand(offer.site.document, offer.system).values())} wanted at the house."


def supposed(offer: Offer) -> str:
    """What was supposed instead of what the file and the price list say; "" where nothing was."""
    if offer.drawn is None:
        return ""
    told = [*_other_demand(offer.site.document, offer.drawn.document, offer.system), *_other_money(offer, offer.drawn)]
    return f"Supposed in What if, not as the file has it: {'; '.join(told)}." if told else ""


def assumed(offer: Offer) -> str:
    """What of the demand and of the water nobody gave; "" where all of it was."""
    told = [*_assumed_demand(offer.site.document), *_assumed_water(offer)]
    return spelt(f"Assumed, not told: {'; '.join(told)}.") if told else ""


# Demand ---------------------------------------------------------------------------------------------------------------------------


def _demand(document: Document, system: System) -> Mapping[str, str]:
    house = demands_of(document)[HOUSE]
    shown = {
        "people": f"{document.people:,} {'person' if document.people == 1 else 'people'}",
        "peak": f"{units.show(float(house.flows[PEAK]), 'flow', system)} peak",
        "daily": f"{units.show(house.daily, 'volume', system)} a day",
        "pressure": units.show(house.pressure, "pressure", system),
    }
    return {key: units.typeset(text) for key, text in shown.items()}


def _other_demand(now: Document, before: Document, system: System) -> Iterator[str]:
    shown, was = _demand(now, system), _demand(before, system)
    yield from (f"{text} instead of {was[key]}" for key, text in shown.items() if text != was[key])


def _other_money(offer: Offer, drawn: Drawn) -> Iterator[str]:
    """The span, the rate and the price of salt, as far as they are not the list's."""
    if offer.years != drawn.prices.years:
        yield f"{offer.years} years instead of {drawn.prices.years}"
    if offer.prices.discount != drawn.prices.discount:
        now, before = (f"{(prices.discount * 100).normalize():f}" for prices in (offer.prices, drawn.prices))
        yield units.typeset(f"later money worth {now} % less a year instead of {before} %")
    now, before = _salt(offer.prices), _salt(drawn.prices)
    if now != before:
        yield f"salt at {now} instead of {before}"


def _salt(prices: PriceList) -> str:
    found = salt_price(prices)
    return "none" if found is None else f"{found[0].normalize():f} {prices.currency} per {found[1]}"


# What was assumed -----------------------------------------------------------------------------------------------------------------


def _assumed_demand(document: Document) -> Iterator[str]:
    demand = document.demand
    if not demand.given("people") and not document.site.given("people"):
        yield "the number of people"
    table = demands_of(document)[HOUSE].by_table
    if table is not None:
        counted = "counted" if demand.given("fixtures") else "usual"
        yield f"the peak, from {counted} fixtures by {table.title}"
    if not demand.given("daily"):
        yield "the day's use, by the number of people"
    if not document.goals.given("outlet_pressure"):
        yield "the pressure wanted at the house"


def _assumed_water(offer: Offer) -> Sequence[str]:
    """Analytes that a model of some choice reads and no sample holds."""
    read: frozenset[str] = frozenset().union(*(column.measured.evaluation.plan.assumed for column in offer.columns))
    missing = sorted(analyte_inside(key) for key in read if key not in offer.site.bare.plan.raw.sheet)
    return [f"{' and '.join(filter(None, (', '.join(missing[:-1]), missing[-1])))} in the water"] if missing else []


__all__ = ["assumed", "basis", "designed_for", "supposed"]
