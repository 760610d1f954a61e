"""Why trains were left out, in sentences that someone who lays a train out can act on: the demand, and the most that the catalogue has."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainapp import units
from trainapp.spelling import inside
from trainapp.studies.options.choices import Choice
from trainapp.studies.options.layouts import Layout, drawn
from trainapp.studies.options.local import LEFT_CODE
from trainapp.studies.options.site import Site
from trainapp.studies.options.trains import Reason, Tally
from trainapp.train.overrides import limits_in_force
from trainapp.train.zones import HOUSE, SUPPLY

_HELD, _OVER, _ROOM, _PRESSURE, _DARK = "flow-short", "over-rating", "room-fit", "low-pressure", "outside-rating"
_RESIN = "iron-on-resin"
_WIDE = "Too wide for the room"


def about(site: Site, reason: Reason) -> str:
    """What a reason is about, as a sentence begins: the label of the equipment, or the supply where that leaves too little for any."""
    place, code, _ = reason
    if code == LEFT_CODE:
        return "Trains"
    if code == _PRESSURE and _is_supply_weak(site):
        return "Supply"
    known = site.rules.places.get(place) or site.rules.heads.get(place)
    label = known.label if known is not None else place
    return f"{label[:1].upper()}{label[1:]}"


def _is_supply_weak(site: Site) -> bool:
    """Whether the supply leaves so little at the house that hardly any equipment could stand before it."""
    return site.bare.points[HOUSE].pressure.clean - site.bare.plan.goal_pressure < site.rules.scant_pressure


def why(site: Site, layouts: Sequence[Layout], reason: Reason) -> str:
    """One clause, as it goes on after the name of the equipment and a colon."""
    place, code, title = reason
    there = _choices_at(layouts, place)
    found = _why(site, layouts, code, title, there) if there else ""
    return found or inside(title)


def _choices_at(layouts: Sequence[Layout], place: str) -> list[Choice]:
    """All that may stand at a place, in any layout."""
    return [choice for layout in layouts for slot in layout.slots if slot[0].place == place for choice in slot]


def is_in_the_way(site: Site, layouts: Sequence[Layout], reason: Reason) -> bool:
    """Whether a reason keeps out more than what is too small, where the catalogue has what is large enough."""
    place, code, _ = reason
    there = _choices_at(layouts, place)
    largest = {_HELD: max(_caps(there), default=0.0), _OVER: max(_ratings(there), default=0.0)}.get(code, 0.0)
    return largest < drawn(site)


def share_of(trains: int, tally: Tally) -> str:
    """How many of the trains of a search that is: "3 of 10 trains"."""
    if not tally.considered:
        return f"{trains:,} trains"
    tenths = round(10 * trains / tally.considered)
    return f"{tenths} of 10 trains" if 0 < tenths < 10 else "nearly all trains" if tenths else "fewer than 1 of 10 trains"


def _why(site: Site, layouts: Sequence[Layout], code: str, title: str, there: Sequence[Choice]) -> str:
    peak = drawn(site)
    if code == _HELD:
        return _least(peak, max(_caps(there), default=0.0), site, "lets {} through")
    if code == _OVER:
        return _least(peak, max(_ratings(there), default=0.0), site, "is made for {}")
    if code == _ROOM:
        return _width(site, there) if title == _WIDE else _room(site, there)
    if code == _DARK and "dark" in title:
        return _dark(site, there)
    if code == _PRESSURE:
        return _pressure(site, peak)
    if code == _RESIN:
        return _resin(site, layouts)
    return ""


def _pressure(site: Site, peak: float) -> str:
    """What is wanted at the house beside what the supply leaves there without any equipment."""
    wanted = units.show(site.bare.plan.goal_pressure, "pressure", site.system)
    used, left = units.show(peak, "flow", site.system), site.bare.points[HOUSE].pressure.clean
    bare = units.show(left, "pressure", site.system) if left > 0 else "none"
    if not _is_supply_weak(site):
        return (
            f"with it less than the {wanted} that is wanted would be left at the house when {used} is drawn; "
            f"without any equipment {bare} is left"
        )
    lift = site.bare.plan.demands[HOUSE].lift
    rises = f", which stands {units.show(lift, 'distance', site.system)} higher," if lift > 0 else ""
    return f"without any equipment {bare} is left at the house{rises} when {used} is drawn, and {wanted} is wanted"


def _resin(site: Site, layouts: Sequence[Layout]) -> str:
    """The iron of the raw water beside what iron filters take, where no equipment ahead of a resin takes enough of it."""
    readings = site.context.readings
    if "iron" not in readings.names:
        return ""
    most = max((bound for choice in _choices_at(layouts, "iron") if (bound := _most_iron(choice)) is not None), default=None)
    raw = _mg(readings.most(SUPPLY, "iron"), site)
    taken = "" if most is None else f", an iron filter of the catalogue takes {_mg(most, site)} at the most"
    return f"the raw water holds {raw} of iron{taken}, and what is ahead leaves more than the resin bears"


def _most_iron(choice: Choice) -> float | None:
    """mg/L of iron that a filter is used for at the most."""
    bounds = [limit.maximum for limit in limits_in_force(choice.stage) if limit.analyte == "iron" and limit.maximum is not None]
    return min(bounds, default=None)


def _mg(value: float, site: Site) -> str:
    return units.show(value, "concentration", site.system, analyte="iron")


def _least(peak: float, most: float, site: Site, does: str) -> str:
    """What the largest of the catalogue does beside the peak."""
    if most <= 0:
        return ""
    wanted = units.show(peak, "flow", site.system)
    can = does.format(units.show_against_limit(most, peak, "flow", site.system))
    if most < peak:
        return f"the peak is {wanted} and the largest of the catalogue {can}"
    return f"those for less than the peak of {wanted} are left out; the largest of the catalogue {can}"


def _caps(there: Sequence[Choice]) -> Iterator[float]:
    """m3/s that each lets through, all units."""
    return (choice.stage.flow_cap * choice.stage.count for choice in there if choice.stage.flow_cap is not None)


def _ratings(there: Sequence[Choice]) -> Iterator[float]:
    """m3/s that each is made for, all units."""
    for choice in there:
        rating = choice.stage.rating()
        top = rating.peak if rating.peak is not None else rating.service
        if top is not None:
            yield top * choice.stage.count


def _dark(site: Site, there: Sequence[Choice]) -> str:
    """The water as it comes beside what the chamber for the darkest water is rated for."""
    rated = [float(choice.stage.settings.number("rated_uvt")) for choice in there if "rated_uvt" in choice.stage.spec.settings]
    readings = site.context.readings
    if not rated or "uvt" not in readings.names:
        return ""
    raw, least = (units.show(value, "uvt", site.system) for value in (readings.least(SUPPLY, "uvt"), min(rated)))
    return f"the raw water has a UVT of {raw}, and the chamber of the catalogue for the darkest water is rated for {least}"


def _room(site: Site, there: Sequence[Choice]) -> str:
    height, lowest = site.document.room.get("height"), min(choice.top for choice in there)
    if height is None or not any(choice.is_too_tall(height) for choice in there):
        return ""
    if lowest <= height:
        given, least = (units.show(value, "distance", site.system) for value in (height, lowest))
        return f"those that take more than the room's height of {given} are left out; the lowest of the catalogue takes {least}"
    given, least = units.show(height, "distance", site.system), units.show_against_limit(lowest, height, "distance", site.system)
    return f"the room is {given} high, and the lowest of the catalogue takes {least}"


def _width(site: Site, there: Sequence[Choice]) -> str:
    """Too wide, where there is a width to be wider than; else other equipment is what falls short."""
    width = site.document.room.get("width")
    if width is None or not any(choice.bodies for choice in there):
        return "in trains with it more falls short than in others"
    return f"side by side the stages are wider than the room of {units.show(width, 'distance', site.system)}, or more falls short"


__all__ = ["about", "is_in_the_way", "share_of", "why"]
