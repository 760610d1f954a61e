"""Which items of the catalogue do for one place of a train: its water, its flows, its room and what is left to wash them with."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from trainapp.dimensions import DAY
from trainapp.stages import registry
from trainapp.stages.base import Duty, Remark, Stage
from trainapp.stages.working import AVERAGE, PEAK, Array, Working
from trainapp.train.capacity import backwash_flow
from trainapp.train.catalogue import Catalogue, size_keys
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import Plan
from trainapp.train.zones import Link
from trainapp.water.plausible import fill, plausible_of
from trainapp.water.stream import Stream

#: What a setting of an item may be asked to be.
Choice = str | float
_SLACK = 1 + 1e-6


@dataclass(frozen=True, slots=True)
class Spot:
    """A place for a stage.

    Attributes:
        plan: the train around it.
        water: what reaches it in the design sample, and what is usual where nothing is known; shape (rows, 2, flows, 1).
        flows: m3/s through it at trickle, average, peak; shape (3,).
        wash: m3/s that are left to wash with at a pressure in Pa.
    """

    plan: Plan
    water: Stream
    flows: Array
    wash: Callable[[float], float]

    @property
    def peak(self) -> float:
        """m3/s at the peak."""
        return float(self.flows[PEAK])


def spot_in(evaluation: Evaluation, link: Link) -> Spot:
    """The place in the middle of a pipe of an evaluated train."""
    plan, water = evaluation.plan, evaluation.points[link[0]].water
    first = water.part(slice(1)).copy()
    fill(first, [usual for usual in plausible_of(plan.source) if np.isnan(first.get(usual.analyte)).any()])
    # items of a kind are washed at one pressure: the network is asked once
    return Spot(plan, first, evaluation.links[link].flow, cache(lambda pressure: backwash_flow(plan, link[1], pressure)))


def fitting(catalogue: Catalogue, kind: str, spot: Spot, same: Mapping[str, Choice], most: int = 2, units: int = 1) -> tuple[str, ...]:
    """Items of a kind that do best for a place, the smallest that does for it first.

    Args:
        same: settings that an item must have, in internal units.
        most: how many at the most; behind the first come larger ones that do as well.
        units: how many of them stand side by side.
    """
    ranked = _ranked(catalogue, kind, spot, same, most, units)
    least = min((missing for missing, _ in ranked), default=0)
    return tuple(name for missing, name in ranked if missing == least)[:most]


def best(catalogue: Catalogue, kind: str, spot: Spot, same: Mapping[str, Choice]) -> tuple[str, int] | None:
    """The item that does best for a place and how many of it stand side by side: two where two do better than one, else one."""
    found = []
    for units in (1, 2):
        ranked = _ranked(catalogue, kind, spot, same, 1, units)
        if ranked:
            missing, name = min(ranked, key=lambda pair: pair[0])
            found.append((missing, units, name))
            if missing == 0:
                break
    if not found:
        return None
    _, units, name = min(found)
    return name, units


def _ranked(catalogue: Catalogue, kind: str, spot: Spot, same: Mapping[str, Choice], enough: int, units: int) -> list[tuple[int, str]]:
    """Items by size with what stands against each, up to where enough have nothing against them."""
    sizes = size_keys(kind)
    names = list(having(catalogue, kind, same))
    names.sort(key=lambda name: [float(catalogue.settings(name).get(key) or 0.0) for key in sizes])
    ranked: list[tuple[int, str]] = []
    for name in names:
        ranked.append((shortcomings(stage_of(catalogue, name), spot, units), name))
        if sum(1 for missing, _ in ranked if missing == 0) >= enough:
            break
    return ranked


def having(catalogue: Catalogue, kind: str, same: Mapping[str, Choice]) -> Iterator[str]:
    """Items of a kind with these settings (internal units), in the order of the catalogue."""
    for name in catalogue.of_kind(kind):
        settings = catalogue.settings(name)
        if all(_equal(settings.get(key), value) for key, value in same.items()):
            yield name


def _equal(here: object, wanted: Choice) -> bool:
    if isinstance(wanted, float) and isinstance(here, float):
        return math.isclose(here, wanted, rel_tol=1e-6)
    return here == wanted


def stage_of(catalogue: Catalogue, item: str) -> Stage:
    """The stage that an item makes."""
    kind = registry.kind(catalogue.rows[item].kind)
    assert kind is not None  # a catalogue holds known kinds alone
    return kind(item, catalogue.settings(item))


def shortcomings(stage: Stage, spot: Spot, units: int = 1) -> int:
    """How much stands against a stage at a place; 0 where nothing does."""
    flows = spot.flows / units
    return _by_flow(stage, flows) + _by_room(stage, spot.plan) + _by_water(stage, spot, flows)


def _by_flow(stage: Stage, flows: Array) -> int:
    rating, peak = stage.rating(), float(flows[PEAK])
    top = rating.peak if rating.peak is not None else rating.service
    short = 2 * (top is not None and peak > top * _SLACK)
    if rating.service is not None:
        short += (peak > rating.service * _SLACK) + (float(flows[AVERAGE]) > rating.service * _SLACK)
    return short + 2 * (stage.flow_cap is not None and peak > stage.flow_cap * _SLACK)


def _by_room(stage: Stage, plan: Plan) -> int:
    height, figure = plan.document.room.get("height"), stage.figure()
    too_tall = height is not None and figure.shape != "inline" and figure.base + figure.height + figure.clear_above > height * _SLACK
    return int(too_tall)


def _by_water(stage: Stage, spot: Spot, flows: Array) -> int:
    """What the stage itself has to say of this water, and whether enough water is left to wash it."""
    duty = duty_at(spot.plan, flows)
    remarks: list[Remark] = []
    stage.treat(spot.water, duty, Working(True), remarks)
    short = sum({"fail": 3, "caution": 2}.get(remark.severity, 0) for remark in remarks)
    clean = stage.cleaning(spot.water, duty)
    if clean is not None:
        least = min(clean.flow, clean.published[0]) if clean.published else clean.flow
        given = spot.wash(clean.pressure) * _SLACK
        short += 3 * (given < least) + (given < clean.flow)
    return short


def duty_at(plan: Plan, flows: Array) -> Duty:
    """What a stage with these flows through it (m3/s, shape (3,)) has to do in a train."""
    return replace(plan.duty, flows=np.maximum(flows, 1e-9)[:, None], daily=float(flows[AVERAGE]) * DAY)
