"""A pipe that runs backwards invents no matter in any walk of a train (mass balance)."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.train.trains import WATER, chain, document, stage
from trainapp.checks.context import Context
from trainapp.checks.sodium import _added, _gives
from trainapp.studies.confidence.drawn import Drawn
from trainapp.studies.year import Options
from trainapp.studies.year.setup import machine_of
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan
from trainapp.water.stream import Stream

#: What no resin and no cartridge takes or gives.
CONSERVED = ("sulfate", "chloride")


def backwards(resin: str = "0.75 ft3", peak: str = "7 gpm", **water: str | None) -> Document:
    """A tight lane whose outlet also leads into a free lane ahead of its bed: pressure drives that bridge back."""
    stages = [
        stage("free", "sediment_cartridge", rating="50 um"), stage("tight", "softener", resin_volume=resin, tank_diameter="8 in"),
        stage("late", "softener", resin_volume=resin, tank_diameter="8 in"), stage("end", "sediment_cartridge", rating="50 um"),
    ]  # fmt: skip
    links = [*chain("supply", "free", "late", "end", "house"), *chain("supply", "tight", "late"), {"from": "tight", "to": "end"}]
    sheet = {key: value for key, value in {**WATER, **water}.items() if value is not None}
    return document(stages, links, water=sheet, peak=peak)


def _within(waters: dict[str, Stream], analyte: str, low: float, high: float) -> bool:
    rows = [water.row(analyte) for water in waters.values()]
    return all(low * (1 - 1e-9) <= row.min() and row.max() <= high * (1 + 1e-9) for row in rows)


def _confident(train: Document) -> dict[str, Stream]:
    design = evaluate(open_plan(train))
    water = design.points["supply"].water.part(slice(1))
    run = Drawn(design)._run(water, np.ones(1), np.ones(1))
    return {node: point.water for node, point in run.points.items()}


def _in_a_year(train: Document) -> dict[str, Stream]:
    machine = machine_of(train, Options(days=1, cuts=()))
    water = machine.usual.points["supply"].water.part(slice(1))
    return dict(machine.walker.walk(water, 0, 10.0, dict.fromkeys(machine.ageings, 0)).leaving)


@settings(max_examples=6, deadline=None)
@given(st.sampled_from(CONSERVED), st.floats(1.0, 400.0), st.sampled_from(["0.75 ft3", "1.5 ft3"]), st.sampled_from(["4 gpm", "9 gpm"]))
def test_nothing_conserved_leaves_the_range_of_its_source(analyte: str, amount: float, resin: str, peak: str) -> None:
    train = backwards(resin, peak, **{analyte: f"{amount!r} mg/L"})
    assert evaluate(open_plan(train)).links["tight", "late"].flow.min() < 0.0
    for waters in (_confident(train), _in_a_year(train)):
        assert _within(waters, analyte, amount, amount)


def test_sodium_that_softeners_add_is_mixed_by_what_flows_forward() -> None:
    evaluation = evaluate(open_plan(backwards(sodium=None)))
    context = Context(evaluation)
    added = _added(evaluation, context)
    assert added["late"] == _gives(context, "late")
    assert 0.0 < added["house"] <= max(added["late"], added["tight"])
