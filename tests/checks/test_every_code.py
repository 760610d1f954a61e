"""Every code of the contract and every code that a check or a stage can speak fires, at every severity that it is meant to have."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import trainapp.checks
import trainapp.stages
from tests.checks.build import CLEAN, FINE, GOOD_WELL, chain, found, reopened, stage, train, uv
from tests.checks.test_backflow import backwards
from tests.train.trains import MAIN
from trainapp.checks.reports import _TITLES
from trainapp.data import samples_path
from trainapp.train.document import Document, load
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

#: Contract, section 3: codes that other programs rely on.
CONTRACT = (
    "inlet-limit", "outlet-goal", "low-pressure", "high-pressure", "velocity", "over-rating", "outside-rating", "uv-class", "flow-short",
    "backwash-short", "dose-short", "order", "capacity-short", "unprotected-path", "raw-while-cleaning", "no-flow-control", "uv-plastic",
    "no-effect", "room-fit", "sample-gap", "sample-doubt", "health", "regulated",
)  # fmt: skip

GERMS = {"total_coliform": "12 /100mL"}
RUST = {"iron": "3 mg/L", "iron_dissolved": "2.9 mg/L"}
HARD = {"hardness": "400 mg/L", "alkalinity": "300 mg/L"}
SOFT = stage("softener", "softener")
GREENSAND = {"media": "manganese_greensand", "oxidant": "chlorine"}
WEAK_PUMP = {**GOOD_WELL, "yield": "2 gpm", "pump_curve": [["0 gpm", "90 psi"], ["7 gpm", "50 psi"]]}
POOR_WELL = {**GOOD_WELL, "yield": "1 gpm"}
PLASTIC = {"material": "pex", "size": "1-1/4 in", "length": "3 ft"}
BROWN = {"tannin": "2 mg/L", "toc": "7 mg/L", "uvt": "60 %/cm", "uvt_filtered": "61 %/cm"}
LOOSE = {"iron": {"max": "9 mg/L"}}
PRIVATE_MAIN = {**MAIN, "static": "140 psi", "residual": "120 psi"}
TANK = {"set_pressure": "50 psi"}
LANES = [*chain("supply", "softener", "house"), *chain("supply", "by", "house")]


def _feed(**settings: Any) -> dict[str, Any]:
    return stage("feed", "oxidant_feed", **settings)


def _iron(**settings: Any) -> dict[str, Any]:
    return stage("iron", "iron_filter", **{**GREENSAND, **settings})


def _accepted() -> Evaluation:
    """An acceptance of less iron than there is."""
    entry = {"code": "outlet-goal", "stage": "house", "analyte": "iron", "value": "0.1 mg/L", "reason": "old", "by": "N. N."}
    return reopened(train([FINE], {"iron": "0.4 mg/L", "iron_dissolved": "0.4 mg/L"}), accepted=[entry])


def _item_differs() -> Evaluation:
    """The farm well, whose fine cartridge was another one when it was saved."""
    tree = dict(load(samples_path("lone-alder-farm.train.json")).tree)
    row = tree["items"]["cartridge-5-20x4"]
    other = {**row, "settings": {**row["settings"], "length": "10 in"}}
    return evaluate(open_plan(Document.of({**tree, "items": {**tree["items"], "cartridge-5-20x4": other}})))


def _dry_outlet() -> Evaluation:
    return train([FINE, uv()], links=chain("supply", "fine", "uv", "house"), outlets={"yard": {"peak": "1 gpm", "drinking": False}})


def _loose() -> Evaluation:
    return train([FINE, uv(), SOFT], links=chain("supply", "fine", "uv", "house"))


def _side_tap(**outlet: Any) -> Evaluation:
    links = [*chain("supply", "fine", "uv", "house"), *chain("supply", "tap")]
    return train([FINE, uv()], GERMS, links=links, outlets={"tap": {"peak": "1 gpm", **outlet}})


Make = Callable[[], Evaluation]
#: (code, severity) to a train that shows it.
CASES: dict[tuple[str, str], Make] = {
    ("inlet-limit", "fail"): lambda: train(water={**RUST, **GERMS}),
    ("inlet-limit", "caution"): lambda: train([_iron()], {**RUST, "toc": "7 mg/L"}),
    ("override", "caution"): lambda: train([FINE, uv(inlet_limits=LOOSE)], {"iron": "0.5 mg/L", "iron_dissolved": "0 mg/L"}),
    ("override", "note"): lambda: train([FINE, uv(inlet_limits=LOOSE)]),
    ("outlet-goal", "fail"): lambda: train([FINE], {"manganese": "0.2 mg/L"}),
    ("outlet-goal", "caution"): lambda: train([FINE], {"manganese": "0.06 mg/L", "manganese_dissolved": "0.06 mg/L"}),
    ("outlet-goal", "note"): lambda: train(water={"chloride": "300 mg/L"}),
    ("health", "fail"): lambda: train(water={"nitrate": "14 mg/L as N"}),
    ("health", "caution"): lambda: train(water={"e_coli": "3 /100mL", **GERMS}),
    ("health", "note"): lambda: train([stage("ro", "declared", name="kitchen unit", removal={"nitrate": "90 %"}), FINE, uv()],
                                      {"nitrate": "14 mg/L as N"}),
    ("after-start-up", "caution"): lambda: train(water=GERMS),
    ("uv-class", "fail"): lambda: train([FINE, uv(device_class="B")], GERMS),
    ("uv-class", "caution"): lambda: train([FINE, uv(device_class="B")], {"total_coliform": None, "e_coli": None}),
    ("outside-rating", "fail"): lambda: train(water={"uvt": "60 %/cm", "uvt_filtered": "62 %/cm"}),
    ("outside-rating", "caution"): lambda: train([_iron(), FINE, uv()], {**RUST, "uvt": "70 %/cm", "uvt_filtered": None}),
    ("dose-short", "fail"): lambda: train([FINE, uv(rated_dose="30 mJ/cm2")], GERMS),
    ("dose-short", "caution"): lambda: train([FINE, uv(rated_dose="30 mJ/cm2")]),
    ("unprotected-path", "fail"): lambda: _side_tap(),
    ("unprotected-path", "note"): lambda: train(
        [FINE, uv(), stage("by", "bypass", position="closed")],
        links=[*chain("supply", "fine", "uv", "house"), *chain("fine", "by", "house")],
    ),
    ("blend", "caution"): lambda: train([SOFT, stage("by", "bypass", share="1")], HARD, links=LANES),
    ("taste", "note"): lambda: train([_feed(oxidant="chlorine", dose="2 mg/L")]),
    ("label", "note"): lambda: _side_tap(drinking=False),
    ("no-flow-control", "fail"): lambda: train([FINE, uv(flow_control=None)]),
    ("pump-runs-on", "fail"): lambda: train(supply={**GOOD_WELL, "pump_curve": [["0 gpm", "65 psi"], ["30 gpm", "45 psi"]]}),
    ("demand-doubt", "caution"): lambda: reopened(train(), demand={"peak": "2 gpm", "daily": "20000 gal"}),
    ("no-certificate", "caution"): lambda: train([FINE, uv(certificate=None)], GERMS),
    ("no-certificate", "note"): lambda: train([FINE, uv(certificate=None)]),
    ("no-shutoff", "caution"): lambda: train([FINE, uv(shutoff="none")], GERMS),
    ("uv-plastic", "caution"): lambda: train([FINE, uv(metal_run="2 in")], plumbing=PLASTIC),
    ("raw-while-cleaning", "fail"): lambda: train([stage("tannin", "tannin_resin"), FINE, uv()], {**GERMS, **BROWN}),
    ("raw-while-cleaning", "caution"): lambda: train([SOFT, FINE, uv()], {**HARD, "ph": "7.8"}),
    ("order", "fail"): lambda: train([FINE, uv(), stage("carbon", "carbon_bed")], GERMS),
    ("order", "caution"): lambda: train([stage("carbon", "carbon_bed")]),
    ("order", "note"): lambda: train([FINE, uv("a"), uv("b")]),
    ("over-rating", "fail"): lambda: train([stage("s", "softener", peak_flow="3 gpm")]),
    ("over-rating", "caution"): lambda: train([stage("carbon", "carbon_bed", tank_diameter="8 in"), FINE, uv()]),
    ("over-rating", "note"): lambda: train([stage("s", "softener", service_flow="4 gpm", peak_flow="9 gpm"), FINE, uv()]),
    ("low-pressure", "fail"): lambda: train(goals={"outlet_pressure": "75 psi"}),
    ("low-pressure", "caution"): lambda: train(goals={"outlet_pressure": "52 psi"}),
    ("high-pressure", "fail"): lambda: train(supply=PRIVATE_MAIN),
    ("high-pressure", "caution"): lambda: train(supply={**MAIN, "static": "95 psi", "residual": "80 psi"}),
    ("high-pressure", "note"): lambda: train(supply={**GOOD_WELL, "pump_curve": [["0 gpm", "99 psi"], ["30 gpm", "50 psi"]]}),
    ("backflow", "fail"): backwards,
    ("flow-short", "fail"): lambda: train(supply=WEAK_PUMP, peak="9 gpm"),
    ("flow-short", "note"): lambda: train(supply={**GOOD_WELL, "yield": "3 gpm"}),
    ("outside-model", "note"): lambda: train([stage("s", "softener", salt_dose="20 lb/ft3"), FINE, uv()]),
    ("precharge", "caution"): lambda: train(supply={**GOOD_WELL, "precharge": "55 psi"}),
    ("tank-cycling", "caution"): lambda: train(supply={**GOOD_WELL, "tank_volume": "10 gal"}),
    ("velocity", "caution"): lambda: train(plumbing={"material": "copper_l", "size": "1/2 in", "length": "1 ft"}),
    ("velocity", "note"): lambda: train(plumbing={"material": "copper_l", "size": "3/4 in", "length": "1 ft"}, peak="8 gpm"),
    ("backwash-short", "fail"): lambda: train([stage("bed", "sediment_bed", tank_diameter="24 in")], supply=WEAK_PUMP),
    ("backwash-short", "caution"): lambda: train([stage("bed", "sediment_bed", tank_diameter="10 in")], supply=POOR_WELL),
    ("cleaning-together", "caution"): lambda: train([stage(i, "sediment_bed", tank_diameter="16 in") for i in ("a", "b")]),
    ("cleaning-together", "note"): lambda: train([stage(i, "sediment_bed", tank_diameter="8 in") for i in ("a", "b")]),
    ("drain", "caution"): lambda: train([stage("s", "softener", drain={"to": "ground"})]),
    ("drain", "note"): lambda: train([SOFT]),
    ("room-fit", "caution"): lambda: train(room={"height": "4 ft"}),
    ("corrosion", "caution"): lambda: train(water={"ph": "6.0"}),
    ("regulated", "caution"): lambda: train(site={"name": "Inn", "use": "food"}),
    ("sample-gap", "caution"): lambda: train(water={"uvt": None, "uvt_filtered": None}),
    ("sample-gap", "note"): lambda: train([SOFT, FINE, uv()], {"dissolved_oxygen": None}),
    ("sample-doubt", "caution"): lambda: train(water={"iron": "0.1 mg/L", "iron_dissolved": "0.2 mg/L"}),
    ("sample-doubt", "note"): lambda: train(water={"uvt": "82 %/cm", "uvt_filtered": None, **RUST}),
    ("no-effect", "caution"): lambda: train([stage("tannin", "tannin_resin"), FINE, uv()]),
    ("no-effect", "note"): lambda: train([SOFT, FINE, uv()]),
    ("capacity-short", "caution"): lambda: train([stage("s", "softener", resin_volume="0.5 ft3", tank_diameter="8 in")], HARD),
    ("hardness-leaks", "caution"): lambda: train([SOFT], {"hardness": "500 mg/L", "tds": "1800 mg/L"}),
    ("contact-short", "caution"): lambda: train([stage("n", "neutralizer", tank_diameter="8 in", bed_depth="12 in")], {"ph": "6.2"}),
    ("contact-short", "note"): lambda: train([stage("n", "neutralizer")], {"ph": "6.2", "alkalinity": "40 mg/L"}),
    ("ph-overshoot", "caution"): lambda: train([stage("n", "neutralizer", media="calcite_magnesia", tank_diameter="16 in")],
                                               {"ph": "6", "alkalinity": "20 mg/L", "hardness": "20 mg/L"}),
    ("iron-coats", "caution"): lambda: train([stage("n", "neutralizer")], {**RUST, "iron": "6 mg/L", "ph": "6.5"}),
    ("media-loss", "caution"): lambda: train([stage("n", "neutralizer", flow="up", tank_diameter="6 in")], {"ph": "6.5"}, peak="9 gpm"),
    ("iron-on-resin", "fail"): lambda: train([SOFT], {"iron": "6 mg/L", "iron_dissolved": "6 mg/L"}),
    ("iron-on-resin", "caution"): lambda: train([SOFT], {"iron": "3 mg/L", "iron_dissolved": "3 mg/L", "dissolved_oxygen": "0 mg/L"}),
    ("iron-on-resin", "note"): lambda: train([SOFT], {"iron": "1 mg/L", "iron_dissolved": "1 mg/L", "dissolved_oxygen": "0 mg/L"}),
    ("chlorine-on-resin", "caution"): lambda: train([SOFT], {"free_chlorine": "2 mg/L"}),
    ("iron-bacteria", "caution"): lambda: train([_iron()], {**RUST, "iron_bacteria": "present"}),
    ("media-limit", "caution"): lambda: train([_iron(oxidant="air")], RUST),
    ("oxidant-short", "caution"): lambda: train([_iron(oxidant="none")], {**RUST, "dissolved_oxygen": "0 mg/L"}),
    ("oxidant-short", "note"): lambda: train([_feed(oxidant="chlorine", dose="9 mg/L"), FINE, uv()], {"hydrogen_sulfide": "2 mg/L"}),
    ("pink-water", "caution"): lambda: train([_feed(oxidant="permanganate", dose="9 mg/L")], RUST),
    ("pink-water", "note"): lambda: train([_iron(oxidant="permanganate", regeneration="batch")], RUST),
    ("feed-pacing", "caution"): lambda: train([_feed(oxidant="chlorine", dose="2 mg/L")], supply=MAIN),
    ("feed-pacing", "note"): lambda: train([_feed(oxidant="chlorine", dose="2 mg/L")]),
    ("sulfur-haze", "note"): lambda: train([_feed(oxidant="chlorine", dose="9 mg/L")], {"hydrogen_sulfide": "1 mg/L"}),
    ("no-credit", "note"): lambda: train([_feed(oxidant="chlorine", dose="3 mg/L"), stage("t", "contact_tank")], GERMS),
    ("nitrate-dump", "caution"): lambda: train([stage("tannin", "tannin_resin", resin_volume="0.5 ft3")],
                                               {"tannin": "1 mg/L", "sulfate": "200 mg/L", "nitrate": "6 mg/L as N"}),
    ("declared", "note"): lambda: train([stage("d", "declared", name="old unit", removal={"nitrate": "90 %"})]),
    ("declared-ignored", "caution"): lambda: train([stage("d", "declared", name="old unit", removal={"e_coli": "99 %"})]),
    ("declared-ignored", "note"): lambda: train([stage("d", "declared", name="old unit", removal={"ph": "10 %"})]),
    ("pump-unknown", "note"): lambda: train([stage("tank", "storage_pump", **TANK), FINE, uv()]),
    ("storage-open", "note"): lambda: train([stage("tank", "storage_pump", **TANK), FINE, uv()]),
    ("standing-water", "caution"): lambda: train([stage("tank", "storage_pump", **TANK, volume="5000 gal"), FINE, uv()]),
    ("regulator-check", "note"): lambda: train([stage("r", "pressure_regulator", set_pressure="60 psi"), FINE, uv()]),
    ("acceptance-lapsed", "note"): _accepted,
    ("loose", "caution"): _loose,
    ("unfed", "caution"): _dry_outlet,
    ("unknown-key", "note"): lambda: train(mood="good"),
    ("unknown-setting", "note"): lambda: train([stage("s", "softener", mood="good"), FINE, uv()]),
    ("gone", "note"): lambda: train(accepted=[{"code": "order", "stage": "nowhere", "reason": "", "by": ""}]),
    ("item-differs", "note"): _item_differs,
}  # fmt: skip


#: What each rule of judgement comes to: findings that speak for it, or the test that holds its numbers.
RULES: dict[str, tuple[str, ...]] = {
    "the certificate decides": ("outside-rating", "dose-short", "stages/test_uv_chamber.py"),
    "log figures only inside class A": ("uv-class", "stages/test_uv_chamber.py"),
    "raw water while a stage cleans itself": ("raw-while-cleaning",),
    "nothing reads as safe": ("after-start-up", "health", "checks/test_disinfection.py"),
    "accepting paints nothing green": ("acceptance-lapsed", "override", "checks/test_accept.py"),
    "UVT behind a stage is an interval": ("sample-doubt", "outside-rating", "sample-gap"),
    "flow through a chamber is held": ("no-flow-control", "order"),
    "nothing but pipe behind a chamber": ("order", "unprotected-path", "label", "no-shutoff"),
    "health": ("health", "regulated", "no-credit"),
    "illustrative numbers say so": ("stages/test_uv_chamber.py",),
    "three flows": ("capacity-short", "test_working.py"),
    "two pressures of a well": ("low-pressure", "flow-short", "outside-model"),
    "what a stage takes of the pressure": ("published/test_hydraulics_beds.py",),
    "iron and manganese media": ("media-limit", "oxidant-short", "pink-water"),
    "particles and colloids": ("inlet-limit", "stages/test_sediment_cartridge.py"),
    "backwash": ("backwash-short", "media-loss", "drain"),
    "peak demand": ("published/test_hydraulics_supply.py", "hydraulics/test_demand.py"),
    "a neutralizer stops at balance": ("no-effect", "contact-short"),
    "sheets that do not fit": ("sample-doubt", "published/test_chemistry.py"),
    "corrosion": ("corrosion", "outlet-goal"),
    "what a fail needs": ("inlet-limit", "checks/test_judge.py", "checks/test_quiet.py"),
    "one cause, one finding": ("checks/test_merge.py", "checks/test_cry_wolf.py"),
    "gaps that decide": ("sample-gap",),
    "no wolf": ("over-rating", "velocity", "iron-on-resin", "high-pressure", "checks/test_cry_wolf.py"),
    "what else goes wrong": (
        "cleaning-together", "precharge", "tank-cycling", "iron-bacteria", "chlorine-on-resin", "high-pressure", "standing-water", "drain",
        "order",
    ),
    "municipal rules are references": ("checks/test_water_checks.py",),
}  # fmt: skip


def spoken() -> Iterator[str]:
    """Every code that stands first in a Finding or a Remark of the source."""
    for package in (trainapp.checks, trainapp.stages):
        for path in sorted(Path(package.__path__[0]).glob("*.py")):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                name = getattr(getattr(node, "func", None), "id", "")
                if isinstance(node, ast.Call) and name in ("Finding", "Remark") and node.args:
                    first = node.args[0]
                    branches = [first.body, first.orelse] if isinstance(first, ast.IfExp) else [first]
                    yield from (b.value for b in branches if isinstance(b, ast.Constant) and isinstance(b.value, str))


@pytest.mark.parametrize(("code", "severity"), CASES, ids=lambda word: str(word))
def test_it_fires(code: str, severity: str) -> None:
    evaluation = CASES[code, severity]()
    assert found(evaluation, code, severity=severity), [(f.code, f.severity, f.title) for f in trainapp.checks.findings(evaluation)]


def test_no_code_is_left_out() -> None:
    shown = {code for code, _ in CASES}
    assert set(CONTRACT) <= shown, set(CONTRACT) - shown
    assert {*spoken(), *_TITLES} <= shown, {*spoken(), *_TITLES} - shown


@pytest.mark.parametrize("rule", RULES)
def test_every_rule_speaks_or_is_held_by_a_test(rule: str) -> None:
    shown, tests = {code for code, _ in CASES}, Path(__file__).parents[1]
    assert all(word in shown or (tests / word).is_file() for word in RULES[rule])


@pytest.mark.parametrize("temperature", [None, "50 degC"])
def test_vessels_are_judged_by_the_warmest_water(temperature: str | None) -> None:
    hot = {**GOOD_WELL, "temperature": ["12 degC", "50 degC"]}
    told = found(train([SOFT, FINE], {"temperature": temperature}, supply=hot), "inlet-limit")
    assert [(f.severity, f.stage, f.also_at) for f in told] == [("fail", "softener", ("fine",))]
    assert not found(train([SOFT, FINE]), "inlet-limit")


def test_a_good_train_on_a_clean_water_fires_next_to_none() -> None:
    assert {f.code for f in trainapp.checks.findings(train())} <= {"high-pressure"}
    assert CLEAN["total_coliform"] == "absent"
