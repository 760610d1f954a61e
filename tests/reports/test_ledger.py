"""The ledger as tables: what stands at each point, and that it is what `check --json` says."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reports.printing import SITES, evaluated, site, tree_of
from trainapp import units
from trainapp.checks import not_judged, safety
from trainapp.reports.check_json import check_json
from trainapp.reports.export_table import ExportTable, Number, Words, number_of
from trainapp.reports.ledger import Ledger, Record
from trainapp.sources import sources
from trainapp.spelling import spelt
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import ANALYTES

LABELS = {a.key: spelt(a.label) for a in ANALYTES}


def ledger(name: str, system: units.System = "us") -> Ledger:
    return Ledger(*site(name, system), system)


def record(of: Ledger, at: str, quantity: str) -> Record:
    (found,) = (r for r in of.records if (r.at, r.quantity) == (at, quantity))
    return found


def column(table: ExportTable, head: str) -> dict[str, Any]:
    where = table.heads.index(head)
    return {str(row[0]): row[where] for row in table.rows}


@pytest.mark.parametrize("name", SITES)
def test_every_number_is_that_of_the_json_answer(name: str) -> None:
    evaluation, found = site(name, "metric")
    table = Ledger(evaluation, found, "metric")
    told = {point["at"]: point for point in check_json(evaluation, found)["points"]}
    for at, point in told.items():
        # what leaves a point is what the JSON tells; of the ends it is what arrives, too
        if at not in evaluation.plan.demands and at != "supply":
            continue
        for key, value in point["water"].items():
            if "magnitude" in value and key not in ("total_coliform", "e_coli", "iron_bacteria", "uvt_filtered", "temperature", "radon"):
                row = record(table, at, LABELS[key])
                worst = point["worst"].get(key, value)["magnitude"] if row.when != "peak" else value["magnitude"]
                assert row.low is not None and row.high is not None
                assert math.isclose(row.low.value, worst, rel_tol=6e-3, abs_tol=1e-9), (at, key)
        pressure = record(table, at, "Pressure, dirty")
        assert isinstance(pressure.value, Number)
        psi = pressure.value.value * 1e5 / 6894.757293168  # pascals in a pound-force per square inch: exact definitions
        assert math.isclose(psi, point["pressure"]["dirty"]["magnitude"], rel_tol=1e-6)


def test_a_limit_has_its_side_word_and_source() -> None:
    alone = ledger("lone-alder-farm-uv-alone")
    iron = record(alone, "uv", "Iron")
    assert (iron.side, iron.limit, iron.status) == ("≤", Number(0.3, 1), Words("over", "fail"))
    assert iron.source == "ten-states-uv" and iron.sure == "from memory"
    uvt = record(alone, "uv", "UVT")
    assert (uvt.side, uvt.limit.value if uvt.limit else None, uvt.status) == ("≥", 75.0, Words("within"))
    assert record(alone, "supply", "Iron").status == Words("no limit")
    assert record(alone, "house", "Uranium").status == Words("not measured")
    assert record(alone, "house", "Uranium").value == ""


def test_an_interval_keeps_both_ends_and_is_no_number() -> None:
    nitrate = record(ledger("lone-alder-farm"), "house", "Nitrate")
    assert (nitrate.value, nitrate.low, nitrate.high) == ("<0.5", Number(0.0, 0), Number(0.5, 1))
    assert (nitrate.side, nitrate.status.text) == ("≤", "within")


def test_no_upper_end_stays_empty() -> None:
    tree = tree_of("lone-alder-farm")
    tree["samples"][0]["results"]["turbidity"] = ">40 NTU"
    del tree["samples"][0]["results"]["turbidity_filtered_5um"]
    turbidity = record(Ledger(*evaluated(tree)), "supply", "Turbidity")
    assert turbidity.value == ">40.0" and turbidity.high is None and turbidity.low is not None


def test_germs_behind_a_chamber_are_to_be_tested_not_told() -> None:
    farm = ledger("lone-alder-farm")
    assert record(farm, "uv", "Total coliform").value == Number(12.0)
    behind = record(farm, "house", "Total coliform")
    assert behind.value == "test" and behind.status == Words("cannot tell", "caution") and behind.high is None
    assert record(farm, "uv", "E. coli").value == "absent"


def test_units_are_a_row_and_both_systems_tell_the_same() -> None:
    us, metric = ledger("lone-alder-farm").points_table(), ledger("lone-alder-farm", "metric").points_table()
    unit = dict(zip(us.heads, us.units, strict=True))
    assert (unit["Hardness"], unit["Hardness, limit"], unit["Pressure, clean"], unit["Speed in the pipe"]) == ("gpg", "gpg", "psi", "ft/s")
    unit = dict(zip(metric.heads, metric.units, strict=True))
    assert (unit["Hardness"], unit["Pressure, clean"], unit["Flow, peak"], unit["UVT"]) == ("mg/L", "bar", "L/min", "%/cm")
    raw = column(us, "Hardness")["supply"].value, column(metric, "Hardness")["supply"].value
    assert raw[1] == pytest.approx(17.118 * raw[0], rel=1e-4)  # 17.118 mg/L in a grain per US gallon (grain 64.79891 mg, exact)
    assert column(us, "Flow, peak")["house"] == number_of(units.convert(7 * 3.785411784e-3 / 60, "flow", "us"), "7.0")


def test_points_are_in_flow_order_and_say_what_water_they_are() -> None:
    table = ledger("lone-alder-farm").points_table()
    assert list(column(table, "at")) == ["supply", "screen", "iron", "softener", "fine", "uv", "house", "garden"]
    named = column(table, "point")
    assert named["supply"] == "supply, raw" and named["iron"] == "into 2 Iron filter"
    assert named["house"] == "to the house" and named["garden"] == "garden, raw"


def test_a_quantity_without_any_limit_has_no_columns_for_one() -> None:
    heads = ledger("lone-alder-farm").points_table().heads
    assert "Calcium" in heads and "Calcium, status" in heads and "Calcium, limit" not in heads
    assert "Iron, limit" in heads and "Iron, source" in heads


@pytest.mark.parametrize("name", SITES)
def test_every_source_that_is_cited_is_listed(name: str) -> None:
    points, values, found, cited, words = ledger(name).tables()
    listed = {row[0] for row in cited.rows}
    titles = {source.label: source.title for source in sources().values()}
    for table, head in ((values, "source"), (found, "source")):
        where = table.heads.index(head)
        assert {titles.get(str(row[where]), row[where]) for row in table.rows if row[where]} <= listed
    assert points.rows and words.rows


@pytest.mark.parametrize("name", SITES)
def test_what_was_not_judged_and_the_cautions_stand_in_it(name: str) -> None:
    evaluation, found = site(name)
    *_, words = Ledger(evaluation, found).tables()
    said = {(row[0], row[1]) for row in words.rows}
    assert said >= {("Not judged", spelt(sentence)) for sentence in not_judged(evaluation)}
    assert said >= {("Safety", spelt(sentence)) for sentence in safety(evaluation)}
    assert any("Only tests after start-up show whether water is fit to drink." in str(row[1]) for row in words.rows)


def test_every_finding_is_numbered_and_whole() -> None:
    evaluation, found = site("inkwell-croft")
    table = Ledger(evaluation, found).tables()[2]
    assert [row[0] for row in table.rows] == [Number(float(i)) for i in range(1, len(found) + 1)]
    assert [row[1] for row in table.rows] == [Words(f.severity, f.severity) for f in found]
    assert all(row[4] and row[10] for row in table.rows)


def test_an_acceptance_is_told_with_its_reason() -> None:
    tree = tree_of("lone-alder-farm")
    sodium = next(f for f in site("lone-alder-farm")[1] if f.analyte == "sodium")
    accepted = {
        "code": sodium.code,
        "stage": "house",
        "analyte": "sodium",
        "value": "160 mg/L",
        "reason": "nobody is on a diet",
        "by": "P. R.",
    }
    tree["accepted"] = [accepted]
    evaluation, found = evaluated(tree)
    rows = Ledger(evaluation, found).tables()[2].rows
    assert [row[-1] for row, finding in zip(rows, found, strict=True) if finding.accepted] == ["accepted by P. R.: nobody is on a diet"]


def test_lanes_and_outlets_are_points_too() -> None:
    table = ledger("marzipan-moth-tea-room").points_table()
    assert {"softener-left", "softener-right", "yard"} <= set(column(table, "at"))


@given(st.floats(1e-6, 1e6), st.floats(1e-6, 1e6), st.integers(0, 3))
def test_a_number_is_never_shown_on_the_other_side_of_its_limit(value: float, limit: float, decimals: int) -> None:
    shown = number_of(value, f"{value:.{decimals}f}", limit)
    rounded = round(value, shown.decimals)
    assert shown.value == value
    assert math.isclose(value, limit, abs_tol=1e-9) or (rounded > limit) == (value > limit) or rounded == limit and shown.decimals == 9


def test_a_table_is_even_and_its_numbers_are_numbers() -> None:
    with pytest.raises(ValueError, match="one entry for each head"):
        ExportTable("T", ("a", "b"), (), (("1",),))
    with pytest.raises(ValueError, match="no two heads are alike"):
        ExportTable("T", ("a", "a"), (), ())
    with pytest.raises(ValueError, match="nan"):
        Number(math.nan)


def test_the_same_train_gives_the_same_tables(farm_well: Any) -> None:
    evaluation: Evaluation = site("lone-alder-farm")[0]
    assert Ledger(evaluation, site("lone-alder-farm")[1]).tables() == ledger("lone-alder-farm").tables()
