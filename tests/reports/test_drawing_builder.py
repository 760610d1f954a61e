"""From real evaluations to what the bench shows: numbers, texts, places, and nothing that reads better than it is."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from tests.reports.drawing_checks import crossings, meetings, outside, text_boxes
from tests.reports.test_job_sheet_pipes import lanes
from tests.train.trains import document, stage, twelve_stages
from trainapp.checks import findings
from trainapp.checks.finding import Finding
from trainapp.data import samples_path
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.display import Group
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.model import BenchModel, Cell
from trainapp.reports.drawing.tags import by_spot
from trainapp.reports.drawing.view import layout
from trainapp.train.document import Document, load
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

SAMPLES = sorted(path.name.removesuffix(".train.json") for path in samples_path().glob("*.train.json"))
NUMBER = re.compile(r"[<>≤≥−]?\d+(?:\.\d+)?")


@cache
def evaluated(name: str) -> tuple[Evaluation, tuple[Finding, ...]]:
    evaluation = evaluate(open_plan(load(samples_path() / f"{name}.train.json")))
    return evaluation, tuple(findings(evaluation))


def model_of(name: str, system: str = "us") -> BenchModel:
    return bench_model(*evaluated(name), system=system)  # type: ignore[arg-type]


def changed(name: str, change: Callable[[dict[str, object]], None]) -> tuple[Evaluation, BenchModel]:
    """A sample with something changed."""
    import json

    tree = json.loads((samples_path() / f"{name}.train.json").read_text(encoding="utf-8"))
    change(tree)
    evaluation = evaluate(open_plan(Document.of(tree)))
    return evaluation, bench_model(evaluation, findings(evaluation))


def cells(model: BenchModel) -> list[tuple[str, str, Cell]]:
    return [(row.key, node, cell) for row in model.rows for node, cell in row.cells.items()]


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("name", SAMPLES)
def test_every_sample_is_drawn_cleanly(name: str, system: str) -> None:
    for size in ((956.0, 732.0), (1400.0, 1012.0)):
        made = layout(model_of(name, system), Options(*size), measure_dejavu)
        assert meetings(made.display, measure_dejavu) == []
        assert crossings(made.display, measure_dejavu) == []
        assert outside(made.display, measure_dejavu) == []


@pytest.mark.parametrize("size", [(640.0, 400.0), (956.0, 714.0), (1400.0, 1012.0)], ids=["tiny", "small", "large"])
def test_no_finding_of_a_crowded_train_is_lost(size: tuple[float, float]) -> None:
    """Every place that a fail or caution speaks of has its capsule, on twelve stages in the smallest window, too."""
    evaluation = evaluate(open_plan(twelve_stages()))
    model = bench_model(evaluation, findings(evaluation))
    spots = by_spot([finding for finding in model.findings if finding.severity != "note"])
    made = layout(model, Options(*size), measure_dejavu)
    drawn = [shape.tag[1] for shape in made.layer("bench").shapes if isinstance(shape, Group) and shape.tag[:1] == ("finding",)]
    assert sorted(drawn) == sorted(there[0].number for there in spots.values())
    assert meetings(made.display, measure_dejavu) == []


@pytest.mark.parametrize("name", SAMPLES)
def test_a_value_never_reads_better_than_it_is(name: str) -> None:
    """Neither equal to a limit it breaks nor across it; what is within does not read as beyond it."""
    for system in ("us", "metric"):
        for key, node, cell in cells(model_of(name, system)):
            if not cell.limit or cell.status == "unknown":
                continue
            numbers = [NUMBER.fullmatch(text) for text in cell.values]
            for found in numbers:
                if found is None or found[0][0] in "<>":
                    continue
                value, limit = float(found[0].replace("−", "-")), float(cell.limit[1:])
                beyond = value > limit if cell.limit[0] == "≤" else value < limit
                assert beyond == (cell.status == "over"), (name, key, node, cell)


@pytest.mark.parametrize("name", SAMPLES)
def test_findings_keep_their_order_severity_and_words(name: str) -> None:
    evaluation, found = evaluated(name)
    model = model_of(name)
    assert [f.number for f in model.findings] == list(range(1, len(found) + 1))
    assert [f.severity for f in model.findings] == [f.severity for f in found]
    for shown in model.findings:
        assert shown.title and shown.message
        for kind, *where in shown.spots:
            if kind in ("stage", "inlet", "above"):
                assert where[0] in evaluation.plan.stages
            elif kind == "link":
                assert tuple(where) in evaluation.links


@pytest.mark.parametrize("name", SAMPLES)
def test_what_a_finding_says_of_an_inlet_stands_in_its_cell(name: str) -> None:
    """An inlet limit that is broken is over in the ledger, one that cannot be told is marked so."""
    model = model_of(name)
    rows = {row.key: row.cells for row in model.rows}
    for finding in evaluated(name)[1]:
        if finding.code == "inlet-limit" and finding.analyte in rows:
            status = rows[finding.analyte][finding.stage].status
            assert status in ("over", "unknown"), (name, finding.title)


def test_a_value_of_another_flow_than_the_peak_says_so() -> None:
    tree = lanes()
    tree["stages"][-1:] = [
        {"id": "store", "kind": "storage_pump", "settings": {"fill_flow": "6 gpm"}},
        {"id": "uv", "kind": "uv_chamber", "settings": {"rated_flow": "15 gpm"}},
    ]
    tree["links"][-3:] = [{"from": a, "to": b} for a, b in (("join", "store"), ("blend", "store"), ("store", "uv"), ("uv", "house"))]
    evaluation = evaluate(open_plan(Document.of(tree)))
    model = bench_model(evaluation, findings(evaluation))
    hardness = next(row for row in model.rows if row.key == "hardness")
    assert hardness.cells["uv"].when == "by day" and hardness.cells["house"].when == ""
    assert hardness.cells["uv"].values[0] != hardness.cells["house"].values[0]
    texts = [text.text for text, _ in text_boxes(layout(model, Options(1100.0, 872.0), measure_dejavu).display, measure_dejavu)]
    assert "over at 4 by day" in texts and "at the peak" in texts and "as it arrives" not in texts


@pytest.mark.parametrize("name", SAMPLES)
def test_stages_are_numbered_in_flow_order(name: str) -> None:
    model = model_of(name)
    numbers = [int(re.sub(r"\D", "", stage.number)) for stage in model.stages if stage.number]
    assert numbers == sorted(numbers) and numbers[0] == 1


def test_lanes_outlets_and_units_of_the_tea_room() -> None:
    model = model_of("marzipan-moth-tea-room")
    numbers = {stage.id: stage.number for stage in model.stages}
    assert numbers == {"screen": "1", "softener-left": "2a", "softener-right": "2b", "fine": "3", "uv": "4"}
    assert {end.id: end.label for end in model.ends} == {"house": "to the house", "yard": "yard, raw"}
    fine = model.stage("fine")
    assert fine is not None and fine.count == 2 and fine.size.startswith("2 units, 20 × 4.5\u202fin")
    assert {column.node: column.mixed for column in model.columns}["fine"]
    assert [column.node for column in model.columns if column.raw] == ["screen"]
    assert model.supply.size == "60\u202fpsi"


def test_metric_is_its_own_rounding() -> None:
    us, metric = model_of("lone-alder-farm"), model_of("lone-alder-farm", "metric")
    hardness = [next(row for row in m.rows if row.key == "hardness") for m in (us, metric)]
    assert [row.unit for row in hardness] == ["gpg", "mg/L"]
    assert [row.cells["screen"].values[0] for row in hardness] == ["18", "308"]
    assert (us.flow_unit, metric.flow_unit) == ("gpm", "L/min")
    assert metric.pressure is not None and metric.pressure.unit == "bar"
    assert metric.flow_text(us.links[0].flow) == f"{us.links[0].flow * 60000:.1f}"


def test_pressures_are_those_of_the_evaluation() -> None:
    evaluation, _ = evaluated("lone-alder-farm")
    pressure = model_of("lone-alder-farm").pressure
    assert pressure is not None
    psi = 6894.757293
    house = evaluation.points["house"].pressure
    assert pressure.entering["house"].dirty == pytest.approx(house.dirty / psi, rel=1e-6)
    uv = evaluation.stages["uv"]
    fall = pressure.entering["uv"].clean - pressure.leaving["uv"].clean
    assert fall == pytest.approx(uv.headloss_clean / psi, rel=1e-6)


@pytest.mark.parametrize("name", SAMPLES)
def test_marks_at_the_end_follow_the_finding(name: str) -> None:
    pressure, found = model_of(name).pressure, evaluated(name)[1]
    assert pressure is not None and pressure.wanted is not None
    short = {f.severity for f in found if f.stage == "house" and f.code in ("low-pressure", "flow-short")}
    assert set(pressure.marks.values()) <= short
    house = pressure.entering["house"]
    if short:
        assert {key for key in ("clean", "dirty", "lowest") if getattr(house, key) < pressure.wanted - 0.01} == set(pressure.marks)


def test_germs_are_never_said_to_be_gone() -> None:
    for name in SAMPLES:
        for key, node, cell in cells(model_of(name)):
            if key not in ("total_coliform", "e_coli") or node != "house":
                continue
            evaluation, _ = evaluated(name)
            result = evaluation.plan.raw.sheet.get(key)
            if result is not None and result.low > 0:
                assert cell.status in ("over", "unknown") and cell.values[0] != "absent", name


def test_a_warning_stands_before_everything() -> None:
    for name in SAMPLES:
        verdict, found = model_of(name).verdict, evaluated(name)[1]
        germs = any(f.code == "health" and f.analyte == "e_coli" for f in found)
        assert verdict.warning.startswith("Do not drink this water now") == germs
        fails = sum(f.severity == "fail" for f in found)
        assert verdict.headline.startswith(f"{fails} fail") == bool(fails)
        assert "Only tests after start-up show whether water is fit to drink." in verdict.rest
        assert verdict.not_judged and verdict.safety


def test_not_measured_is_not_zero() -> None:
    model = model_of("marzipan-moth-tea-room")
    lead = next(row for row in model.rows if row.key == "lead")
    assert lead.cells["house"].values == ("<0.001",)
    coliform = changed("marzipan-moth-tea-room", lambda tree: tree["samples"][0]["results"].pop("total_coliform"))[1]  # type: ignore[index]
    row = next(row for row in coliform.rows if row.key == "total_coliform")
    assert row.cells["house"].status == "missing"


def test_a_loose_stage_stands_on_the_floor_without_a_number() -> None:
    def loosen(tree: dict[str, object]) -> None:
        tree["stages"].append({"id": "spare", "kind": "carbon_bed", "settings": {}})  # type: ignore[attr-defined]

    _, model = changed("lone-alder-farm", loosen)
    spare = model.stage("spare")
    assert spare is not None and spare.number == "" and model.stages[-1].id == "spare"
    made = layout(model, Options(1400, 1012), measure_dejavu)
    assert made.route.loose == ("spare",)
    assert made.display.find(("stage", "spare")) is not None
    assert not any(column.node == "spare" for column in model.columns)


def test_a_bypass_is_named_with_its_share_and_a_way_round_the_chamber_is_marked() -> None:
    def add(tree: dict[str, object]) -> None:
        tree["stages"].append({"id": "round", "kind": "bypass", "settings": {"share": "0.2", "position": "open"}})  # type: ignore[attr-defined]
        tree["links"] += [{"from": "fine", "to": "round"}, {"from": "round", "to": "house"}]  # type: ignore[operator]

    _, model = changed("lone-alder-farm", add)
    assert any(re.fullmatch(r"bypass \d+\u202f%", link.share) for link in model.links)
    assert {link.key for link in model.links if link.unprotected} == {("fine", "round"), ("round", "house")}
    coliform = next(row for row in model.rows if row.key == "total_coliform")
    assert coliform.cells["house"].status == "over"
    made = layout(model, Options(1400, 1012), measure_dejavu)
    assert meetings(made.display, measure_dejavu) == []
    stage = model.stage("round")
    assert stage is not None and (stage.number, stage.name) == ("", "Bypass")


def test_a_closed_bypass_is_drawn_without_flow() -> None:
    def add(tree: dict[str, object]) -> None:
        tree["stages"].append({"id": "round", "kind": "bypass", "settings": {"share": "0.2", "position": "closed"}})  # type: ignore[attr-defined]
        tree["links"] += [{"from": "screen", "to": "round"}, {"from": "round", "to": "softener"}]  # type: ignore[operator]

    _, model = changed("lone-alder-farm", add)
    link = next(link for link in model.links if link.target == "round")
    assert (link.flow, link.share) == (0.0, "bypass, closed")
    made = layout(model, Options(1400, 1012), measure_dejavu)
    assert made.display.find(("stage", "round")) is not None
    assert meetings(made.display, measure_dejavu) == []


def test_capacity_stands_on_the_slider_where_it_gives_in() -> None:
    evaluation, _ = evaluated("lone-alder-farm")
    model = model_of("lone-alder-farm")
    slider, weakest = model.try_flow, model.stage(evaluation.capacity.at)
    assert slider is not None and weakest is not None
    ticks = {tick.key: tick for tick in slider.ticks}
    assert ticks["capacity"].word == f"{weakest.number} gives in"
    assert ticks["capacity"].value == pytest.approx(evaluation.capacity.flow / 6.30902e-5, rel=1e-5)
    assert ticks["twice"].value == pytest.approx(2 * ticks["peak"].value)


def test_every_tooltip_of_a_limit_names_its_source() -> None:
    for name in SAMPLES:
        for key, node, cell in cells(model_of(name)):
            if cell.limit:
                assert re.search(
                    r"\((published|secondary|common practice|from memory|computed|invented)\)$", cell.tooltip.splitlines()[0]
                ), (key, node)


def test_samples_are_there() -> None:
    assert len(SAMPLES) >= 4 and Path(samples_path()).is_dir()


@pytest.mark.parametrize(("kind", "shown"), [
    ("softener", "10\u202fin, 1.5\u202fft³"), ("iron_filter", "12\u202fin, bed 36\u202fin"), ("carbon_bed", "10\u202fin, bed 36\u202fin"),
    ("tannin_resin", "10\u202fin"), ("contact_tank", "120\u202fgal"), ("storage_pump", "gal"),
])  # fmt: skip
def test_a_tank_that_somebody_measured_says_how_high_it_stands(kind: str, shown: str) -> None:
    """An installer needs it; where nobody gave it there is nothing to say, for the model's own guess is no measure."""
    sizes = []
    for more in ({}, {"height": "61.5 in"}):
        evaluation = evaluate(open_plan(document([stage("it", kind, **more)])))
        sizes.append(bench_model(evaluation, findings(evaluation)).stages[0].size)
    assert "high" not in sizes[0] and shown in sizes[0]
    assert sizes[1] == f"{sizes[0]}, 61.5\u202fin high"
