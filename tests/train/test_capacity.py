"""The most that a train gives and what the supply holds: what is meant, where it comes from, and how it is told."""

from __future__ import annotations

import contextlib
from typing import Any

import pytest

from tests.formulas import NotAFormula, worked_out
from tests.train.trains import MAIN, WELL, document, stage
from trainapp.checks import findings, verdict
from trainapp.dimensions import GPM, PSI
from trainapp.reports.capacity_words import capacity_told
from trainapp.reports.check_text import check_lines
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.told import gives_in_first
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

FINE = stage("fine", "sediment_cartridge", rating="5 um")


def _evaluated(*stages: dict[str, Any], **more: Any) -> Evaluation:
    return evaluate(open_plan(document(stages or [FINE], **more)))


def test_a_tank_gives_no_more_for_long_than_fills_it() -> None:
    """However much its pump is taken to hold its pressure at."""
    tank = stage("tank", "storage_pump", volume="300 gal", fill_flow="3 gpm", set_pressure="55 psi")
    capacity = _evaluated(tank).capacity
    assert (capacity.limited_by, capacity.at, capacity.lasting) == ("supply", "tank", True)
    assert capacity.flow / GPM == pytest.approx(3.0)


def test_a_tank_behind_a_poor_well_gives_what_the_well_yields() -> None:
    tank = stage("tank", "storage_pump", volume="300 gal", fill_flow="3 gpm", set_pressure="55 psi")
    capacity = _evaluated(tank, supply={**WELL, "yield": "1 gpm"}).capacity
    assert capacity.lasting and capacity.flow / GPM == pytest.approx(1.0)


def test_a_peak_over_the_yield_is_told_to_live_on_the_casing() -> None:
    """Beside the note, and no verdict: for minutes the peak is there."""
    evaluation = _evaluated(supply={**WELL, "yield": "3 gpm", "tank_volume": "119 gal"})
    told = capacity_told(evaluation, "us")
    assert told.startswith("Without a pause the train gives at most 3.0 gpm, what the well yields")
    assert told.endswith("what the peak of 7.0 gpm takes beyond that comes from what stands in the casing.")
    notes = [f for f in findings(evaluation) if f.code == "flow-short"]
    assert [f.severity for f in notes] == ["note"]


def test_what_gives_in_is_told_as_a_sentence() -> None:
    rated = capacity_told(_evaluated({**stage("s", "softener"), "service_flow": "2 gpm", "peak_flow": "2 gpm"}), "us")
    assert rated == "The train gives at most 2.0 gpm: then the softener is at its rating."
    ends = capacity_told(_evaluated(supply={**WELL, "yield": "40 gpm"}, goals={"outlet_pressure": "1 psi"}), "us")
    assert "by supply" not in ends and "the supply, by" not in ends
    text = "\n".join(check_lines(evaluation := _evaluated(), findings(evaluation), "us"))
    assert "gives in first" not in text and "The train gives at most" in text.replace("\n", " ")


@pytest.mark.parametrize("peak", ["14 gpm", "19 gpm"])
def test_an_overdrawn_pump_is_one_finding(peak: str) -> None:
    """Its curve, the yield and the house without pressure have one cause."""
    curve = [["0 gpm", "75 psi"], ["6 gpm", "70 psi"], ["12 gpm", "55 psi"]]
    evaluation = _evaluated(supply={**WELL, "pump_curve": curve}, peak=peak)
    found = [f for f in findings(evaluation) if f.code in ("flow-short", "outside-model", "low-pressure")]
    assert [(f.code, f.severity, f.stage) for f in found] == [("flow-short", "fail", "supply")]
    assert "house" in found[0].also_at and verdict(found) == "fail"


@pytest.mark.parametrize(
    ("supply", "clean", "lowest"),
    [
        ({**WELL, "pump_curve": [["0 gpm", "75 psi"], ["6 gpm", "70 psi"], ["12 gpm", "55 psi"]]}, 60.0, 40.0),
        ({**WELL, "pump_curve": [["0 gpm", "65 psi"], ["6 gpm", "52 psi"], ["12 gpm", "30 psi"]]}, 52.0 - 22.0 / 6.0, 40.0),
        ({**WELL, "control": "constant", "set_pressure": "50 psi"}, 50.0, 50.0),
        (MAIN, 62.0 - 12.0 * (7.0 / 20.0) ** 2, 62.0 - 12.0 * (7.0 / 20.0) ** 2),
    ],
)  # fmt: skip
def test_the_steps_of_a_supply_give_its_pressure(supply: dict[str, Any], clean: float, lowest: float) -> None:
    """By hand, 7 gpm: a switched pump holds the lesser of its curve (67.5 psi in the first) and its cut-out."""
    steps = _evaluated(supply=supply).points["supply"].working.steps
    known: dict[str, float] = {}
    again: dict[str, float] = {}
    for step in steps:
        with contextlib.suppress(NotAFormula):
            again[step.result] = worked_out(step.formula, known)
        known[step.symbol] = step.value
    shown = {step.result: step.value for step in steps if step.result}
    for name, wanted in (("clean", clean), ("lowest", lowest)):
        assert shown[name] / PSI == pytest.approx(wanted) and again[name] / PSI == pytest.approx(wanted), name


THIN = {"material": "pex", "size": "1/2 in", "length": "60 ft"}


@pytest.mark.parametrize(
    ("stages", "more", "state", "words"),
    [
        ([FINE], {"supply": MAIN}, (True, False), "fine, when dirty, at"),
        ([FINE], {}, (True, True), "fine, dirty and at cut-in, at"),
        ([], {"plumbing": THIN}, (False, True), "supply, at cut-in, at"),
        ([], {"plumbing": THIN, "supply": MAIN}, (False, False), "supply at"),
    ],
)
def test_what_gives_in_first_is_said_with_its_state(stages: list[Any], more: dict[str, Any], state: tuple[bool, bool], words: str) -> None:
    """A cartridge clogs and pipes do not; a switched pump has a cut-in and a main has none."""
    evaluation = evaluate(open_plan(document(stages, peak="19 gpm", **more)))
    capacity = evaluation.capacity
    assert capacity.limited_by == "pressure" and (capacity.dirty, capacity.cut_in) == state
    assert f"Gives in first: {words}" in gives_in_first(evaluation, {}, "us")
    assert ("dirty" in capacity_told(evaluation, "us")) == state[0]


def test_the_bench_says_of_a_yield_that_it_lasts() -> None:
    """On the slider and in the line above it: the supply does not give in at its yield."""
    evaluation = _evaluated(supply={**WELL, "yield": "3 gpm", "tank_volume": "119 gal"})
    model = bench_model(evaluation, findings(evaluation), "us")
    assert model.try_flow is not None
    assert [tick.word for tick in model.try_flow.ticks if tick.key == "capacity"] == ["without a pause"]
    assert "Without a pause 3.0 of 7.0 gpm, what the well yields." in model.verdict.rest.replace("\u202f", " ")
