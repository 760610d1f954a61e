"""Pipes of the job sheet: runs that agree with the engine, metal at the chambers, and a list of everything that can be counted."""

from __future__ import annotations

from typing import Any

import pytest

from tests.reports.printing import evaluated, site, tree_of
from trainapp import units
from trainapp.reports.in_units import nominal_size
from trainapp.reports.job_sheet_names import place_names
from trainapp.reports.job_sheet_pipes import PipeTables
from trainapp.reports.ledger import Ledger
from trainapp.reports.print_table import PrintTable


def of(tree: dict[str, Any], system: units.System = "us") -> PipeTables:
    ledger = Ledger(*evaluated(tree, system), system)
    return PipeTables(ledger, place_names(ledger.model))


def of_site(name: str = "lone-alder-farm", system: units.System = "us") -> PipeTables:
    ledger = Ledger(*site(name, system), system)
    return PipeTables(ledger, place_names(ledger.model))


def by_first(table: PrintTable) -> dict[str, tuple[str, ...]]:
    return {row[0]: row[1:] for row in table.rows}


def lanes() -> dict[str, Any]:
    """A tee, two softeners, a tee and a bypass round all of them."""
    tree = tree_of("lone-alder-farm")
    tree["stages"] = [
        {"id": "neutral", "kind": "neutralizer", "settings": {"tank_diameter": "12 in", "bed_depth": "30 in"}},
        {"id": "split", "kind": "tee", "settings": {}},
        *({"id": key, "kind": "softener", "settings": {"resin_volume": "2 ft3", "tank_diameter": "12 in"}} for key in ("left", "right")),
        {"id": "join", "kind": "tee", "settings": {}},
        {"id": "blend", "kind": "bypass", "settings": {}},
        {"id": "reg", "kind": "pressure_regulator", "settings": {"set_pressure": "50 psi"}},
    ]  # fmt: skip
    pairs = "supply neutral, neutral split, neutral blend, split left, split right, left join, right join, join reg, blend reg, reg house"
    tree["links"] = [dict(zip(("from", "to"), pair.split(), strict=True)) for pair in pairs.split(", ")]
    del tree["outlets"]
    return tree


def test_the_schedule_agrees_with_the_engine_and_a_hand_count() -> None:
    evaluation, _ = site("lone-alder-farm")
    table = of_site()
    link = evaluation.links["softener", "fine"]
    assert by_first(table.runs())["3 Softener to 4 Sediment cartridge"][4] == units.typeset(units.show(link.velocity, "velocity", "us"))
    # seven runs of 6 ft with two elbows each, as the document says
    assert table.take_off().rows[0][1:] == (units.typeset("42 ft"), "14 elbows 90°")


def test_an_outlet_that_draws_alone_has_its_own_flow_and_speed() -> None:
    *_, flow, speed, _ = by_first(of_site().runs())["well to garden, raw"]
    assert flow == units.typeset("5.0 gpm") + "\nalone"
    # 5 US gpm through 1.025 in (ASTM B88, type L, 1 in): 5 * 231/60 in3/s over pi/4 * 1.025^2 in2 = 23.33 in/s = 1.94 ft/s
    assert speed == units.typeset("1.9 ft/s")


def test_plastic_at_a_chamber_is_metal_for_its_run_on_both_sides() -> None:
    table = of_site("inkwell-croft")
    runs, together = by_first(table.runs()), by_first(table.take_off())
    plastic, metal = "PEX, SDR 9, 1 in", "Metal, 1 in"
    assert runs["4 Sediment cartridge to 5 UV chamber"][0] == f"{plastic}\n{metal}"
    assert runs["5 UV chamber to the house"][0] == f"{metal}\n{plastic}"
    # six runs of 6 ft, of which 12 in on both sides of the chamber are metal
    assert together[metal][0] == units.typeset("2 ft") and together[plastic] == (units.typeset("34 ft"), "12 elbows 90°")
    assert together["adapters, metal to plastic"][0] == "2"


def test_metal_that_reaches_over_a_short_piece_goes_on_in_the_next() -> None:
    tree = tree_of("inkwell-croft")
    last = next(link for link in tree["links"] if link["to"] == "house")
    last["pipe"] = [{"length": "6 in", "fittings": {}}, {"length": "6 ft", "fittings": {"elbow_90": 1}}]
    row = by_first(of(tree).runs())["5 UV chamber to the house"]
    assert row[1] == "\n".join(units.typeset(length) for length in ("6 in", "6 in", "5.5 ft")) and row[0].count("Metal") == 2


def test_metal_as_drawn_stays() -> None:
    assert not any("Metal, " in row[1] for row in of_site("lone-alder-farm").runs().rows)


def test_tees_are_told_apart_by_their_neighbours() -> None:
    runs = by_first(of(lanes()).runs())
    assert {"1 Neutralizer to tee ahead of 2a, 2b", "tee behind 2a, 2b to 3 Pressure regulator"} <= set(runs)


def test_the_list_counts_what_the_drawing_and_the_order_of_work_ask_for() -> None:
    tree = lanes()
    tree["stages"][0]["count"] = 2
    rows = by_first(of(tree).take_off())
    # by hand: to the bypass, to two lanes, from both, from the bypass; two headers over the neutralizers
    assert rows["tees"] == ("6", "4 where runs part or meet, 2 in the headers of units side by side")
    assert rows["shut-off valves"][0] == rows["unions"][0] == "10" and rows["sample taps"][0] == "5"
    assert rows["valves that set a flow"] == ("1", "Bypass")


def test_fittings_that_are_drawn_are_not_asked_for_twice() -> None:
    tree = tree_of("lone-alder-farm")
    tree["plumbing"]["fittings"] = {"union": 1, "tee_run": 1}
    rows = by_first(of(tree).take_off())
    assert rows["unions"][1].endswith("7 of them stand among the fittings above")
    assert of(tree).take_off().rows[0][2] == "7 unions" and rows["tees"][0] == "3"


@pytest.mark.parametrize(
    ("metres", "us", "metric"),
    [(0.0254, "1 in", "DN 25"), (0.01905, "3/4 in", "DN 20"), (0.03175, "1-1/4 in", "DN 32"), (0.018, "0.709 in", "18 mm")],
)
def test_nominal_sizes_stay_nominal(metres: float, us: str, metric: str) -> None:
    assert (nominal_size(metres, "us"), nominal_size(metres, "metric")) == (us, metric)


def test_what_findings_ask_for_stands_in_the_list() -> None:
    inkwell, farm = (by_first(of_site(name).take_off()) for name in ("inkwell-croft", "lone-alder-farm"))
    assert inkwell["relief valve"] == ("1", "at the pressure tank") and "vacuum breakers" not in inkwell
    assert farm["vacuum breakers"][0] == "1 or more"
