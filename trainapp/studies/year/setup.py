"""From a document to a train that can run through time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np

from trainapp.stages.ageing import Ageing
from trainapp.stages.working import PEAK
from trainapp.studies.year.clock import clock_of
from trainapp.studies.year.draws import Tap, demand_of
from trainapp.studies.year.layout import layout_of
from trainapp.studies.year.machine import Machine
from trainapp.studies.year.options import Options, YearError
from trainapp.studies.year.patterns import pattern_of
from trainapp.studies.year.response import Walker
from trainapp.studies.year.season import season_of
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import StageResult
from trainapp.train.plan import Plan, open_plan
from trainapp.train.pressure import held_back
from trainapp.train.zones import HOUSE


def machine_of(document: Document, options: Options, folder: Path | None = None) -> Machine:
    """Set a train up.

    Args:
        folder: where the document lies; a demand pattern of its own is looked for there.

    Raises:
        DocumentError: a document, or a pattern that it names, that cannot be used.
        YearError: an extra service that no stage of this train has.
    """
    plan = open_plan(document)
    usual = evaluate(plan, keep_working=False)
    ageings = {n: a for n in plan.order if n in usual.stages and (a := _ageing(plan, usual.stages[n])) is not None}
    _check_extras(ageings, options)

    def caps(flows: Mapping[str, float]) -> dict[str, float]:
        held = dict(flows)
        for zone in plan.zones:
            held |= held_back(plan, zone, {end: flow for end, flow in held.items() if end in zone.ends})
        return held

    house = plan.demands[HOUSE]
    peak = caps({HOUSE: float(house.flows[PEAK])})[HOUSE]
    pattern = pattern_of(document.demand.word("pattern"), peak, house.daily, folder)
    demand = demand_of(pattern, _taps(plan), caps)
    layout = layout_of(plan, demand, {n: a.washing.cleaning for n, a in ageings.items() if a.washing is not None})
    season = season_of(plan, options)
    warm = min((a.warm_after for a in ageings.values()), default=np.inf)
    clock = clock_of(demand, options.days, options.start_day, options.detail, min(warm, 1e9))
    machine = Machine(plan, usual, demand, layout, season, clock, ageings, Walker(plan, layout, usual, ageings), options.adverse)
    _start_up(machine)
    return machine


def _start_up(machine: Machine) -> None:
    """Set what is set once, by the water of a day with everything new: of the kinds of day by the one on which the most is drawn."""
    ageings, season = machine.ageings, machine.season
    temperature = season.temperatures[int(season.temperature_of[0])]
    new = {node: ageing.mode(np.zeros(len(ageing.stocks))) for node, ageing in ageings.items()}
    water = machine.walker.walk(season.raws[0], 0, temperature, new)
    seconds = max(map(machine.drawn_in, machine.demand.days.values()), key=lambda drawn: float(drawn.sum()))
    for node, ageing in ageings.items():
        ageing.set_by(water.entering[node], machine.layout.through[node] * seconds, machine.reading)


def _ageing(plan: Plan, result: StageResult) -> Ageing | None:
    stage, count = result.stage, result.stage.count
    inlet = result.inlet.part(slice(1)).copy()
    flows = np.maximum(result.flow, 1e-9)[:, None] / count
    return stage.ageing(inlet, replace(plan.duty, flows=flows, daily=result.daily / count))


def _taps(plan: Plan) -> dict[str, Tap]:
    outlets = plan.document.outlets
    return {
        end: Tap(demand.daily, outlets[end].value("peak"), outlets[end].flag("with_house"))
        for end, demand in plan.demands.items()
        if end != HOUSE
    }


def _check_extras(ageings: Mapping[str, Ageing], options: Options) -> None:
    for extra in options.upkeep.extra:
        known = {service.key for service in ageings[extra.stage].services} if extra.stage in ageings else set()
        if extra.service not in known:
            raise YearError(f'extra service: "{extra.stage}" has no service "{extra.service}"')
