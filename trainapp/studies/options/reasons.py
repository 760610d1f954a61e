"""Why trains were left out, in sentences that someone who lays a train out can act on: the demand, and the most that the catalogue has."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainapp import units
from trainapp.spelling import inside
from trainapp.studies.options.choices import Choice
from trainapp.studies.options.layouts import Layout, drawn
from trainapp.studies.options.site import Site
from trainapp.studies.options.trains import Reason, Tally
from trainapp.train.zones import SUPPLY

_HELD, _OVER, _ROOM, _PRESSURE, _DARK = "flow-short", "over-rating", "room-fit", "low-pressure", "outside-rating"
_WIDE = "Too wide for the room"


def why(site: Site, layouts: Sequence[Layout], reason: Reason) -> str:
    """One clause, as it goes on after the name of the equipment and a colon."""
    place, code, title = reason
    there = [choice for layout in layouts for slot in layout.slots if slot[0].place == place for choice in slot]
    found = _why(site, code, title, there) if there else ""
    return found or inside(title)


def is_in_the_way(site: Site, layouts: Sequence[Layout], reason: Reason) -> bool:
    """Whether a reason keeps out more than what is too small, where the catalogue has what is large enough."""
    place, code, _ = reason
    there = [choice for layout in layouts for slot in layout.slots if slot[0].place == place for choice in slot]
    largest = {_HELD: max(_caps(there), default=0.0), _OVER: max(_ratings(there), default=0.0)}.get(code, 0.0)
    return largest < drawn(site)


def share_of(trains: int, tally: Tally) -> str:
    """How many of the trains of a search that is: "3 of 10 trains"."""
    if not tally.considered:
        return f"{trains:,} trains"
    tenths = round(10 * trains / tally.considered)
    return f"{tenths} of 10 trains" if 0 < tenths < 10 else "nearly all trains" if tenths else "fewer than 1 of 10 trains"


def _why(site: Site, code: str, title: str, there: Sequence[Choice]) -> str:
    peak = drawn(site)
    if code == _HELD:
        return _least(peak, max(_caps(there), default=0.0), site, "lets {} through")
    if code == _OVER:
        return _least(peak, max(_ratings(there), default=0.0), site, "is made for {}")
    if code == _ROOM:
        return _width(site) if title == _WIDE else _room(site, there)
    if code == _DARK and "dark" in title:
        return _dark(site, there)
    if code == _PRESSURE:
        wanted = units.show(site.bare.plan.goal_pressure, "pressure", site.system)
        used = units.show(peak, "flow", site.system)
        return f"with it less than the {wanted} that is wanted would be left at the house when {used} is drawn"
    return ""


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
    given, least = units.show(height, "distance", site.system), units.show_against_limit(lowest, height, "distance", site.system)
    return f"the room is {given} high, and the lowest of the catalogue takes {least}"


def _width(site: Site) -> str:
    width = site.document.room.get("width")
    return "" if width is None else f"side by side the stages are wider than the room of {units.show(width, 'distance', site.system)}"


__all__ = ["is_in_the_way", "share_of", "why"]
