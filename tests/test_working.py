"""Every number of `check --json` has its steps, and a step says what the number beside it says; out of range there is always a note.

Over all sites that ship, over trains of 5, 12 and 15 stages, and over every kind of stage on a water that gives each something to do.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

import pytest

from tests.formulas import NotAFormula, worked_out
from tests.train.trains import MAIN, WATER, WELL, chain, document, fifteen_stages, full_train, stage, twelve_stages
from trainapp import units
from trainapp.checks import findings
from trainapp.data import samples_path
from trainapp.reports.check_json import check_json
from trainapp.sources import sources
from trainapp.stages.leaving import SYMBOLS, UNSTATED
from trainapp.stages.registry import kinds
from trainapp.train.document import Document, load
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan
from trainapp.water.analytes import BY_KEY

Json = dict[str, Any]

#: Something for every stage.
RICH = {
    **WATER, "calcium": "80 mg/L", "magnesium": "25 mg/L", "potassium": "2 mg/L", "conductivity": "600 uS/cm", "colour": "20 CU",
    "tannin": "0.8 mg/L", "toc": "3 mg/L", "ph": "6.3", "hydrogen_sulfide": "0.4 mg/L", "carbon_dioxide": "60 mg/L",
    "suspended_solids": "3 mg/L", "manganese_dissolved": "0.1 mg/L", "nitrate": "6 mg/L as N", "nitrite": "0.1 mg/L as N",
    "arsenic": "0.02 mg/L", "free_chlorine": "0.5 mg/L", "total_chlorine": "0.9 mg/L", "iron_bacteria": "present", "silica": "12 mg/L",
    "radon": "500 pCi/L", "uranium": "0.01 mg/L", "fluoride": "0.4 mg/L",
}  # fmt: skip

#: Each kind in the ways that it is built.
WAYS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("sediment_cartridge", {}), ("sediment_cartridge", {"rating": "1 um", "rating_basis": "absolute"}), ("sediment_bed", {}),
    ("sediment_bed", {"media": "sand"}),
    ("iron_filter", {"media": "manganese_greensand", "oxidant": "chlorine"}),
    ("iron_filter", {"media": "manganese_greensand", "oxidant": "permanganate"}),
    ("iron_filter", {"media": "manganese_greensand", "oxidant": "permanganate", "regeneration": "batch"}),
    ("iron_filter", {"media": "coated_silicate", "oxidant": "air"}), ("iron_filter", {"media": "manganese_dioxide", "oxidant": "none"}),
    ("oxidant_feed", {"oxidant": "chlorine", "dose": "3 mg/L"}), ("oxidant_feed", {"oxidant": "permanganate", "dose": "3 mg/L"}),
    ("oxidant_feed", {"oxidant": "peroxide", "dose": "3 mg/L", "paced_by": "flow"}), ("contact_tank", {}), ("neutralizer", {}),
    ("neutralizer", {"media": "calcite_magnesia"}), ("neutralizer", {"flow": "up"}), ("softener", {}), ("softener", {"tanks": "2"}),
    ("softener", {"regenerant": "potassium_chloride"}), ("carbon_bed", {}), ("carbon_bed", {"carbon": "catalytic"}), ("tannin_resin", {}),
    ("uv_chamber", {}), ("flow_control", {"flow": "8 gpm"}), ("bypass", {"share": "20 %", "position": "open"}), ("tee", {}),
    ("storage_pump", {"set_pressure": "50 psi"}), ("pressure_regulator", {"set_pressure": "50 psi"}),
    ("declared", {"name": "kitchen unit", "removal": {"nitrate": "90 %", "arsenic": "95 %", "hardness": "80 %"}}),
)  # fmt: skip


def _alone(kind: str, settings: Mapping[str, Any]) -> Document:
    """A kind behind a chlorine feed, so that oxidants reach it."""
    feed = stage("feed", "oxidant_feed", oxidant="chlorine", dose="3 mg/L")
    return document([feed, stage("it", kind, **settings)], water=RICH)


def _merging() -> Document:
    """Two unlike lanes that meet at the house."""
    links = [*chain("supply", "a", "house"), *chain("supply", "b", "house")]
    return document([stage("a", "neutralizer"), stage("b", "softener")], links, water=RICH)


TRAINS: dict[str, Document] = {
    **{path.name.partition(".")[0]: load(path) for path in sorted(samples_path().glob("*.train.json"))},
    "five stages": full_train(), "twelve stages": twelve_stages(), "fifteen stages": fifteen_stages(), "merging": _merging(),
    **{f"{kind} {' '.join(map(str, settings.values()))}".strip(): _alone(kind, settings) for kind, settings in WAYS},
}  # fmt: skip


@cache
def answered(name: str) -> tuple[Evaluation, Json]:
    """A train's evaluation and its whole answer, as another program reads it."""
    evaluation = evaluate(open_plan(TRAINS[name]))
    return evaluation, json.loads(json.dumps(check_json(evaluation, findings(evaluation)), allow_nan=False))


def close(a: float | None, b: float | None) -> bool:
    return a == pytest.approx(b, rel=1e-9, abs=1e-12) if a is not None and b is not None else a is b


def named(steps: list[Json]) -> dict[str, Json]:
    """Steps by the result that they name."""
    return {step["result"]: step for step in steps if "result" in step}


def ends(number: Json) -> tuple[float, float]:
    """Both ends of a value or of a step."""
    if "low" in number:
        return number["low"], number["high"]
    value = number["magnitude"] if "magnitude" in number else number["value"]
    return value, value


def says(step: Json | None, number: Json) -> bool:
    """Whether a step says what a number says, in the same unit."""
    if step is None or step["unit"] != number["unit"]:
        return False
    # what a test could only call more than has no upper end, whatever models go on with
    pairs = [(a, b) for a, b in zip(ends(step), ends(number), strict=True) if b is not None]
    return all(close(a, b) for a, b in pairs)


@pytest.mark.parametrize("name", TRAINS)
def test_stages_flows_pressures_and_capacity_have_their_steps(name: str) -> None:
    _, answer = answered(name)
    for shown in answer["stages"]:
        steps = named(shown["working"])
        for key in ("flow", "headloss_clean", "headloss_dirty"):
            assert says(steps.get(key), shown[key]), (shown["id"], key)
        for key, number in shown["results"].items():
            step = steps[key]
            assert close(step["value"], number["magnitude"]) and step["unit"] == number["unit"], (shown["id"], key)
    for point in answer["points"]:
        steps = named(point["working"])
        assert says(steps.get("flow"), point["flow"]), point["at"]
        for key, number in point["pressure"].items():
            assert says(steps.get(key), number), (point["at"], key)
    assert says(named(answer["capacity"]["working"]).get("flow"), answer["capacity"]["flow"])


def _changes(name: str) -> Iterator[tuple[str, str, Json, Json | None, str]]:
    """Each number of water that is not the one of the only point ahead: place, key, number, the step that names it, which list."""
    evaluation, answer = answered(name)
    points = {point["at"]: point for point in answer["points"]}
    stages = {shown["id"]: shown for shown in answer["stages"]}
    for at, point in points.items():
        feeders = [points[source] for source in evaluation.plan.graph.predecessors(at) if source in points]
        leaving = named(stages[at]["working"]) if at in stages else {}
        arriving = named(point["working"])
        # from a sample that was taken on, its results count, and what goes with them
        beside = {name: step for feeder in feeders if "measured" in feeder for name, step in named(feeder["working"]).items()}
        for kind in ("water", "worst"):
            for key, number in point[kind].items():
                if "state" in number:
                    continue
                flow = f"_{number['flow']}" if kind == "worst" else ""
                ahead = [feeder.get("measured", {}).get(key) or feeder[kind].get(key) for feeder in feeders]
                if feeders and any(was is None or not _same(was, number) for was in ahead):
                    step = leaving.get(f"{key}_out{flow}") or arriving.get(f"{key}_in{flow}") or beside.get(f"{key}_measured{flow}")
                    yield at, f"{key}{flow}", number, step, kind


def _same(was: Json, now: Json) -> bool:
    return was.get("flow") == now.get("flow") and all(close(a, b) for a, b in zip(ends(was), ends(now), strict=True))


@pytest.mark.parametrize("name", TRAINS)
def test_every_water_value_that_a_stage_changed_has_its_step(name: str) -> None:
    for at, key, number, step, kind in _changes(name):
        assert step is not None, (at, key)
        if kind == "worst":
            assert close(step["value"], number["magnitude"]) and step["unit"] == number["unit"], (at, key)
        else:
            assert says(step, number), (at, key, number, step)


def test_the_trains_change_enough_for_this_to_mean_something() -> None:
    changes = [(key, kind) for name in TRAINS for _, key, _, _, kind in _changes(name)]
    seen = {(BY_KEY[key.removesuffix("_average").removesuffix("_trickle")].key, kind) for key, kind in changes}
    assert {"hardness", "iron", "manganese", "ph", "uvt", "turbidity", "sodium", "tds", "alkalinity"} <= {key for key, _ in seen}
    assert {"hardness", "ph"} <= {key for key, kind in seen if kind == "worst"}
    assert {shown["kind"] for name in TRAINS for shown in answered(name)[1]["stages"]} == set(kinds())


@pytest.mark.parametrize("name", TRAINS)
def test_steps_are_whole(name: str) -> None:
    """A meaning each, a unit that exists, a source of the table, a formula where the step is a result, a law for what leaves."""
    evaluation, _ = answered(name)
    workings = [result.working for result in evaluation.stages.values()]
    workings += [point.working for point in evaluation.points.values()] + [evaluation.capacity.working]
    for working in workings:
        for step in working.steps:
            assert step.symbol and step.meaning, step
            assert step.dimension in units.DIMENSIONS, step
            assert not step.source or step.source in sources(), step
            assert step.formula != UNSTATED[0], step
            if step.result.endswith("_out") and step.result.removesuffix("_out") in BY_KEY:
                assert step.formula, step


def test_every_symbol_stands_for_one_analyte() -> None:
    assert set(SYMBOLS) <= set(BY_KEY)
    assert len(set(SYMBOLS.values())) == len(SYMBOLS)


def test_both_ends_of_an_uncertain_step_are_told() -> None:
    _, answer = answered("sediment_cartridge")
    steps = named(answer["stages"][1]["working"])
    assert steps["turbidity_out"]["low"] < steps["turbidity_out"]["high"] == steps["turbidity_out"]["value"]
    assert "low" not in steps["beta"]


# Out of range ---------------------------------------------------------------------------------------------------------------


def _notes(doc: Document) -> str:
    evaluation = evaluate(open_plan(doc))
    answer = check_json(evaluation, findings(evaluation))
    steps = [step for part in (*answer["stages"], *answer["points"]) for step in part["working"]]
    return " | ".join(step["note"] for step in steps if "note" in step)


SOFT = stage("softener", "softener")
HOT = {**WELL, "temperature": ["45 degC", "50 degC"]}
TANK = stage("tank", "storage_pump", set_pressure="50 psi")
BRACKISH = {**RICH, "ph": "6.6", "sodium": "3000 mg/L", "chloride": "4600 mg/L", "tds": "8200 mg/L"}
MANY = {"lavatory": 1000, "toilet": 1000, "bath_shower": 1000, "kitchen_sink": 1000}
FIXTURES = {"demand": {"fixtures": MANY, "table": "ipc_tank", "daily": "9000 gal"}}
#: What is in range, the same beyond a range, and what the note says of it.
BEYOND: dict[str, tuple[Document, Document, str]] = {
    "a pipe neither laminar nor turbulent": (document([SOFT]), document([SOFT], peak="1 gpm"), "neither laminar nor turbulent"),
    "a pump's curve": (
        document([SOFT]), document([SOFT], supply={**WELL, "pump_curve": [["0 gpm", "92 psi"], ["6.8 gpm", "78 psi"]]}), "pump's curve",
    ),
    "a main's test": (
        document([SOFT], supply=MAIN), document([SOFT], supply={**MAIN, "at_flow": "6 gpm"}), "the one that the main was tested at",
    ),
    "a maker's curve": (
        document([stage("softener", "softener", head_loss=[["0 gpm", "0 psi"], ["8 gpm", "9 psi"]])]),
        document([stage("softener", "softener", head_loss=[["0 gpm", "0 psi"], ["5 gpm", "4 psi"]])]), "last point of the maker's curve",
    ),
    "Ergun's data": (
        document([stage("bed", "neutralizer", tank_diameter="10 in")]),
        document([stage("bed", "neutralizer", tank_diameter="1 in", grain="10 mm")], peak="7 gpm"), "where Ergun's data end",
    ),
    "the salt dose's curve": (document([SOFT]), document([stage("s", "softener", salt_dose="20 lb/ft3")]), "3 to 15 lb/ft3"),
    "the rate of oxygen": (
        document([stage("tank", "contact_tank")], water={**RICH, "ph": "6.6"}),
        document([stage("tank", "contact_tank")], water={**RICH, "ph": "5.6"}), "below pH 6 the published rate is drawn on",
    ),
    "oxygen in warm water": (document([TANK]), document([TANK], supply=HOT), "holds to 40"),
    "pH of alkaline water": (
        document([stage("iron", "iron_filter", oxidant="chlorine")]),
        document([stage("iron", "iron_filter", oxidant="chlorine")], water={**WATER, "ph": "8.6"}), "carbonate counts too",
    ),
    "carbonate in brackish water": (
        document([stage("n", "neutralizer")], water=RICH), document([stage("n", "neutralizer")], water=BRACKISH), "ionic strength of 0.1",
    ),
    "a demand table": (
        document([SOFT]), Document.of({**document([SOFT]).tree, **FIXTURES}), "fixture units lie beyond",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", BEYOND)
def test_outside_a_stated_range_there_is_a_note(what: str) -> None:
    inside, outside, words = BEYOND[what]
    assert words not in _notes(inside)
    assert words in _notes(outside)


# Formulas -------------------------------------------------------------------------------------------------------------------

#: Steps whose formula does not give their value as it stands, and why.
_PER_DAY = "it counts in days, its value in seconds"
_OWN_UNIT = "its unit is of its own"
ELSEWHERE = {
    ("sediment_bed", "t"): _PER_DAY, ("softener", "t_C"): _PER_DAY, ("tannin_resin", "t_C"): _PER_DAY, ("iron_filter", "t_F"): _PER_DAY,
    ("sediment_cartridge", "t_E"): _PER_DAY, ("iron_filter", "t_R"): _PER_DAY, ("softener", "U"): "it counts grains in mg/L and m3",
    ("softener", "η"): _OWN_UNIT, ("softener", "V_R/C"): _OWN_UNIT,
}  # fmt: skip


def _again(working: Any) -> Iterator[tuple[str, float, float]]:
    """Symbol, value and value worked out again of each step that names only what stands above it, once each."""
    known: dict[str, float] = {}
    for step in working.steps:
        if step.formula and not step.meaning.endswith(("trickle", "average")) and step.symbol not in known:
            with contextlib.suppress(NotAFormula):
                yield step.symbol, step.value, worked_out(step.formula, known)
        # a symbol that comes again stands for what it last stood for
        known[step.symbol] = step.value


def test_formulas_give_the_values_beside_them() -> None:
    """To the digits that a formula prints; adverse reading, peak."""
    seen: set[tuple[str, str]] = set()
    for name in TRAINS:
        evaluation, _ = answered(name)
        for node, result in evaluation.stages.items():
            kind = result.stage.spec.kind
            for symbol, value, again in _again(result.working):
                seen.add((kind, symbol))
                assert (kind, symbol) in ELSEWHERE or again == pytest.approx(value, rel=2e-3, abs=1e-9), (name, node, symbol)
    assert len(seen) >= 40, seen
    assert ELSEWHERE.keys() <= seen, ELSEWHERE.keys() - seen


def test_what_is_no_formula_is_not_read() -> None:
    assert worked_out("2 a + b/(1 − x)", {"a": 3.0, "b": 4.0, "x": 0.5}) == 14.0
    assert worked_out("min(a, b) · 10^(−x)", {"a": 3.0, "b": 4.0, "x": 1.0}) == pytest.approx(0.3)
    for words in ("sum of the ends", "a · 3 gpm", "Σ x_i N_i", "a +", ""):
        with pytest.raises(NotAFormula):
            worked_out(words, {"a": 1.0})
