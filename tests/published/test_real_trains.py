"""Seventeen real groundwaters, each through the full train that it asks for: no error, and what was not measured is said.

Source of the waters: KWR Water Research Institute, KWR-Water/hgc, tests/data/dataset_basic.csv (commit b9c5ef03), MIT licence, copyright
(c) 2019 KWR Water Research Institute; published. They carry no UVT and no coliform result, and some no turbidity.
"""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import pytest

from tests.checks.designer import lay
from tests.train.trains import fifteen_stages
from tests.water.real_waters import REAL_WATERS
from trainapp.checks import findings, headline, not_judged
from trainapp.checks.finding import Finding
from trainapp.reports.check_json import check_json
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

WELL = {
    "kind": "well", "source": "drilled_well", "surface_influence": "no", "yield": "14 gpm", "temperature": ["9 degC", "12 degC"],
    "pump_curve": [["0 gpm", "98 psi"], ["8 gpm", "82 psi"], ["14 gpm", "50 psi"]], "control": "switch", "cut_in": "50 psi",
    "cut_out": "70 psi", "precharge": "48 psi", "tank_volume": "86 gal",
}  # fmt: skip


@cache
def trained(name: str) -> tuple[Evaluation, list[Finding], dict[str, Any]]:
    """One water through its train: every number, the findings, and the answer in JSON."""
    evaluation = evaluate(open_plan(lay(REAL_WATERS[name], WELL, 6.0, 280.0)))
    found = findings(evaluation)
    return evaluation, found, json.loads(json.dumps(check_json(evaluation, found), allow_nan=False))


def _all(name: str) -> str:
    return name.replace(" ", "-")


@pytest.mark.parametrize("name", REAL_WATERS, ids=_all)
def test_each_runs_and_says_what_is_missing(name: str) -> None:
    evaluation, found, answer = trained(name)
    assert answer["points"][-1]["at"] == "house" and answer["points"][-1]["water"]
    missing = set(not_judged(evaluation)) & set(answer["not_judged"])
    assert {"UVT was not measured", "total coliform was not tested", "E. coli was not tested"} <= missing
    assert ("turbidity was not measured" in missing) == ("turbidity" not in REAL_WATERS[name])
    gaps = {f.analyte: f.severity for f in found if f.code == "sample-gap"}
    assert gaps["uvt"] == "caution" and gaps["total_coliform"] == "caution"
    assert "test" in headline(evaluation, found).lower()
    # phosphate, methane and the permanganate index are no analytes of this program: kept, and said
    assert any(line.startswith("phosphate") for line in missing)


@pytest.mark.parametrize("name", REAL_WATERS, ids=_all)
def test_no_dose_is_told_of_water_whose_clearness_nobody_knows(name: str) -> None:
    evaluation, found, answer = trained(name)
    assert "uvt" in answer["points"][0]["unknown"]
    chamber = next(stage for stage in answer["stages"] if stage["kind"] == "uv_chamber")
    assert not any(key.startswith("log_") for key in chamber["results"])
    assert not any(f.code == "after-start-up" for f in found), "nothing is called treated by design"


@pytest.mark.parametrize("name", REAL_WATERS, ids=_all)
def test_the_long_train_runs_on_each(name: str) -> None:
    base = fifteen_stages().tree
    samples = [{"id": "s", "at": "supply", "results": REAL_WATERS[name]}]
    evaluation = evaluate(open_plan(Document.of({**base, "samples": samples})))
    assert json.dumps(check_json(evaluation, findings(evaluation)), allow_nan=False)


@pytest.mark.parametrize("name", REAL_WATERS, ids=_all)
def test_a_softener_gives_sodium_for_hardness_by_the_equivalent(name: str) -> None:
    """0.4594 mg of sodium for each mg of hardness as CaCO3 (stoichiometry, computed: 22.990/50.0435)."""
    evaluation, _, _ = trained(name)
    result = next((r for r in evaluation.stages.values() if r.stage.spec.kind == "softener"), None)
    if result is None:
        assert float(evaluation.points["supply"].water.high("hardness").max()) <= 121.0
        return
    taken = {key: (result.inlet.get(key) - result.outlet.get(key))[..., 0] for key in ("hardness", "iron_dissolved", "manganese_dissolved")}
    given = (result.outlet.get("sodium") - result.inlet.get("sodium"))[..., 0]
    metals = 22.99 * (taken["iron_dissolved"] / 27.92 + taken["manganese_dissolved"] / 27.47)
    assert given == pytest.approx(0.4594 * taken["hardness"] + metals, rel=2e-3, abs=0.02)


def test_the_basis_of_the_sheet_is_read() -> None:
    """19A.031-30: 146 mg/L of bicarbonate is 119.7 as CaCO3, calcium 51 and magnesium 3.4 are 141.35 (Standard Methods 2340 B)."""
    _, _, answer = trained("19A.031-30")
    raw = answer["points"][0]["water"]
    assert raw["alkalinity"]["magnitude"] == pytest.approx(146 * 0.8202, rel=1e-3)
    assert raw["hardness"]["magnitude"] == pytest.approx(141.35, abs=0.1)
    # 0.44 mg/L of ammonium counts 14.007/18.039 of it as nitrogen
    assert raw["ammonia"]["magnitude"] == pytest.approx(0.44 * 0.7765, rel=1e-3)


def test_sea_water_in_the_dunes_is_told_and_not_softened() -> None:
    """19B.090-15, 14950 uS/cm: more salt than a softener can work in, and far over the limits for taste."""
    evaluation, found, _ = trained("19B.090-15")
    codes = {(f.code, f.analyte) for f in found}
    assert {("no-effect", "tds"), ("outlet-goal", "chloride"), ("inlet-limit", "hardness")} <= codes
    softener = next(r for r in evaluation.stages.values() if r.stage.spec.kind == "softener")
    assert float(softener.outlet.get("hardness").min()) > 0.9 * float(softener.inlet.get("hardness").min())


def test_iron_of_a_real_water_leaves_as_a_working_filter_leaves_it() -> None:
    """19A.021-87, 3.4 mg/L: 0.05 to 0.1 mg/L are typical behind a filter inside its limits, 0.3 the usual target (from memory)."""
    evaluation, _, _ = trained("19A.021-87")
    house = evaluation.points["house"].water
    assert 0.0 < float(house.high("iron").max()) <= 0.3
    assert float(evaluation.points["iron"].water.high("iron")[2, 0]) == pytest.approx(0.1, abs=0.06)


def test_acid_water_is_brought_up_and_made_harder() -> None:
    """Calcite raises pH and hardness together; it cannot do the one without the other (Plummer and Busenberg 1982; from memory)."""
    for name in ("Prec. 1987", "14C.041+4.5", "14C.041+3.5"):
        evaluation, _, _ = trained(name)
        bed = evaluation.stages["neutralizer"]
        assert float(bed.outlet.low("ph").min()) > float(bed.inlet.high("ph").max())
        assert float(bed.outlet.low("hardness").min()) > float(bed.inlet.high("hardness").max())
