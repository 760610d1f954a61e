"""Needs that no train of the catalogue does anything for: looked for among waters alone, whatever pressure, room and money allow."""

from __future__ import annotations

from collections.abc import Sequence

from trainapp.studies.options.layouts import Layout
from trainapp.studies.options.outlook import over
from trainapp.studies.options.search import Search
from trainapp.studies.options.site import Need, adverse_end
from trainapp.water.stream import Stream

#: Waters that are followed behind each place: first one, then more for what the one did not reach.
_FOLLOWED = (1, 6)


def out_of_reach(search: Search) -> frozenset[str]:
    """Keys of needs that stay as they are behind every train, or beyond a limit of health, as far as the best waters of each layout show.

    Raises:
        SearchCancelled: someone gave it up.
    """
    site = search.site
    left = [need for need in site.needs if need.limit is not None]
    for followed in _FOLLOWED:
        for layout in search.layouts:
            if left:
                ends = _ends(search, layout, left, followed)
                left = [need for need in left if not any(_is_helped(search, layout, need, water) for water in ends)]
    return frozenset(need.rule.key for need in left)


def _is_helped(search: Search, layout: Layout, need: Need, water: Stream) -> bool:
    """Whether a water at the house is better by a need than the raw water is, and breaks no limit of its analyte."""
    fails = over(search.ends(layout, search.water(water)))
    return need not in search.site.left(water) and all(finding.analyte != need.rule.analyte for finding in fails)


def _ends(search: Search, layout: Layout, needs: Sequence[Need], followed: int) -> list[Stream]:
    """The best waters at the house of a layout, where its equipment bears what reaches it."""
    lamps, waters = layout.lamps, [layout.start]
    for place, slot in enumerate(layout.slots):
        found: dict[int, Stream] = {}
        lamp_follows = any(lamp > place for lamp in lamps)
        for water in waters:
            for choice in slot:
                outcome = search.outcome(layout, place, choice, search.water(water), lamp_follows)
                if next(over(outcome.verdict), None) is None:
                    found.setdefault(search.water(outcome.outlet), outcome.outlet)
        waters = sorted(found.values(), key=lambda water: _remains(water, needs))[:followed]
    return waters


def _remains(water: Stream, needs: Sequence[Need]) -> float:
    """How much of all needs together remains in a water, 0 to about 1 each."""
    return sum(_remains_of(need, adverse_end(need.rule, water)) for need in needs)


def _remains_of(need: Need, value: float) -> float:
    assert need.value is not None and need.limit is not None
    return 0.0 if need.is_met(value) else (value - need.limit) / (need.value - need.limit)


__all__ = ["out_of_reach"]
