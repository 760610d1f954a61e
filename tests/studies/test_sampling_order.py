"""The sampling order: what is untested that a limit, a stage or a check asks for, by bottle, with its reason."""

from __future__ import annotations

from typing import Any

import pytest

from tests.studies.sites import chamber, fine, site
from tests.train.trains import MAIN, document, stage
from trainapp.data import load_toml
from trainapp.studies.sampling_order import HEADINGS, SamplingOrder, order_lines, sampling_order
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan
from trainapp.water.analytes import ANALYTES, BY_KEY

HEALTH = (
    "total_coliform", "e_coli", "nitrate", "nitrite", "arsenic", "lead", "copper", "fluoride", "uranium", "manganese", "barium", "boron",
)  # fmt: skip


def order_of(document: Document) -> SamplingOrder:
    return sampling_order(evaluate(open_plan(document)))


def bare(results: dict[str, Any] | None = None, *stages: dict[str, Any], **more: Any) -> Document:
    return document(stages, water=results or {}, **more)


def test_every_analyte_has_one_bottle() -> None:
    rows = load_toml("start/sampling.toml")["bottle"]
    named = [analyte for row in rows for analyte in row["analytes"]]
    assert sorted(named) == sorted({*(a.key for a in ANALYTES)})


def test_a_well_that_nobody_tested() -> None:
    order = order_of(bare())
    for analyte in HEALTH:
        test = order.test(analyte)
        assert test is not None and test.urgency == "drinking" and test.why, analyte
    assert order.bottles[0].key == "bacteria" and order.bottles[0].urgency == "drinking"
    lead, nitrate = order.test("lead"), order.test("nitrate")
    assert lead is not None and nitrate is not None
    # published: 40 CFR 141.62, nitrate in infants
    assert "infants" in nitrate.why and nitrate.source == "40cfr141.62"
    assert [b.key for b in order.bottles if lead in b.tests] == ["first_draw"]
    assert order.test("uvt") is None and order.test("free_chlorine") is None


@pytest.mark.parametrize("analyte", HEALTH)
def test_what_is_tested_is_not_ordered(analyte: str) -> None:
    result = "absent" if BY_KEY[analyte].states else "<0.005 mg/L"
    assert order_of(bare({analyte: result})).test(analyte) is None
    # an estimate is no test
    told = {"value": result, "method": "estimate"}
    if not BY_KEY[analyte].states:
        assert order_of(bare({analyte: told})).test(analyte) is not None


def test_stages_ask_for_what_they_are_sized_by() -> None:
    order = order_of(bare({}, stage("softener", "softener"), fine(), chamber()))
    hardness, uvt, turbidity = (order.test(a) for a in ("hardness", "uvt", "turbidity"))
    assert hardness is not None and hardness.urgency == "buying" and hardness.why.startswith("until it is tested, the softener is sized")
    assert uvt is not None and uvt.urgency == "buying" and "ultraviolet" in uvt.why
    assert turbidity is not None and turbidity.urgency == "buying"
    known = order_of(bare({"calcium": "60 mg/L", "magnesium": "20 mg/L"}, stage("softener", "softener")))
    assert known.test("hardness") is None, "hardness follows from calcium and magnesium"


def test_water_that_must_be_disinfected_is_asked_for_its_transmittance() -> None:
    assert order_of(bare({"total_coliform": "present"})).test("uvt") is not None


def test_second_results_where_they_decide() -> None:
    order = order_of(bare({"iron": "3 mg/L", "turbidity": "4 NTU", "uvt": "80 %/cm"}, fine(), chamber()))
    assert {"iron_dissolved", "settles_overnight", "turbidity_filtered_5um", "uvt_filtered"} <= {test.analyte for test in order.tests}
    clear = order_of(bare({"iron": "0.1 mg/L", "turbidity": "0.4 NTU"}, fine(), chamber()))
    assert not {"iron_dissolved", "settles_overnight", "turbidity_filtered_5um"} & {test.analyte for test in clear.tests}


def test_the_supplier_of_a_main_is_asked_first() -> None:
    order = order_of(bare({}, stage("softener", "softener"), supply=MAIN))
    (report,) = [bottle for bottle in order.bottles if bottle.key == "report"]
    assert {"nitrate", "arsenic", "total_coliform"} <= {test.analyte for test in report.tests}
    assert all(test.urgency == "later" for test in report.tests)
    lead, chlorine = order.test("lead"), order.test("free_chlorine")
    assert lead is not None and lead.urgency == "drinking" and lead not in report.tests
    assert chlorine is not None and chlorine.urgency == "buying"


def test_limits_of_other_countries_ask_for_their_own() -> None:
    us, canada = (order_of(Document.of({**bare().tree, "goals": {"limits": key}})) for key in ("us", "canada"))
    (one, other) = (order.test("manganese") for order in (us, canada))
    assert one is not None and other is not None and one.source != other.source


def test_lines_name_urgency_bottle_and_reason() -> None:
    lines = list(order_lines(order_of(bare({}, stage("softener", "softener")))))
    assert lines[0] == "Sampling order, Test" and all(len(line) <= 100 for line in lines)
    text = "\n".join(lines)
    assert text.index(HEADINGS["drinking"]) < text.index("Sterile bottle") < text.index(HEADINGS["buying"]) < text.index(HEADINGS["later"])
    assert "   - Nitrate: it takes oxygen from the blood of infants." in lines
    assert lines[-1].endswith("ask it which bottles it sends.")
    narrow = list(order_lines(order_of(bare()), 60))
    assert all(len(line) <= 60 for line in narrow)


def test_where_all_is_tested_nothing_is_ordered() -> None:
    every = {a.key: ("absent" if a.dimension == "count" else "yes" if a.dimension == "state" else None) for a in ANALYTES}
    numbers = {a.key: f"1 {unit}".strip() for a in ANALYTES if (unit := _unit(a.dimension)) is not None}
    order = order_of(bare({**numbers, **{key: word for key, word in every.items() if word}, "ph": "7", "uvt_filtered": "90 %/cm"}))
    assert order.bottles == ()
    assert list(order_lines(order))[1] == "Nothing that the limits or this train ask for is untested."


def _unit(dimension: str) -> str | None:
    units = {"hardness": "mg/L", "concentration": "mg/L", "temperature": "degC", "conductivity": "uS/cm", "turbidity": "NTU", "uvt": "%/cm",
             "colour": "Pt-Co", "activity": "pCi/L", "ph": ""}  # fmt: skip
    return units.get(dimension)


def test_it_works_beside_any_train() -> None:
    assert order_of(site(fine(), chamber())).test("total_coliform") is None
