"""A formula of the working says the constants that were reckoned with: change one, and the formula changes with it."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from tests.stages.building import make_duty, make_stage, make_water, run
from trainapp.dimensions import FOOT, GPM, INCH, POUND
from trainapp.stages import _oxidation as ox
from trainapp.stages.base import Stage

FT3 = FOOT**3
_SETTINGS = {"neutralizer": {"media": "calcite_magnesia"}, "flow_control": {"flow": "7 gpm"}}


def formulas(stage: Stage) -> dict[str, str]:
    """Formulas by symbol, on a water that has something of everything."""
    water = make_water(iron_dissolved=1.0, hydrogen_sulfide=0.5, free_chlorine=4.0, permanganate=2.0, ammonia=0.2, toc=1.0, ph=7.2)
    _, working, _ = run(stage, water, make_duty())
    return {step.symbol: step.formula for step in working.steps}


@pytest.mark.parametrize(("kind", "constant", "value", "symbol", "usual", "changed"), [
    ("softener", "leakage", 12.0, "L", "10 mg/L · ", "12 mg/L · "),
    ("softener", "leakage_tds", 600.0, "L", "TDS/500 mg/L", "TDS/600 mg/L"),
    ("softener", "leakage_dose", 7.0 * POUND / FT3, "L", "(6 lb/ft3/S)", "(7 lb/ft3/S)"),
    ("softener", "leakage_power", 1.5, "L", "^1.4", "^1.5"),
    ("softener", "specific_flow_peak", 8.0 * GPM / FT3, "s", "(10 gpm/ft3)", "(8 gpm/ft3)"),
    ("softener", "specific_flow", 4.0 * GPM / FT3, "f_Q", "(5 gpm/ft3)", "(4 gpm/ft3)"),
    ("softener", "flow_share", 0.2, "f_Q", "1 − 0.1 ", "1 − 0.2 "),
    ("softener", "depth_share", 0.2, "f_L", "1 − 0.1 ", "1 − 0.2 "),
    ("softener", "depth_full", 36 * INCH, "f_L", "(30 in − L)", "(36 in − L)"),
    ("softener", "tds_share", 0.07, "f_TDS", "1 − 0.05 ", "1 − 0.07 "),
    ("softener", "tds_free", 450.0, "f_TDS", "TDS/500 mg/L", "TDS/450 mg/L"),
    ("contact_tank", "manganese_minutes", 6.0, "x_Mn", "t/5 min", "t/6 min"),
    ("contact_tank", "organics_minutes", 45.0, "Cl_C", "t/60 min", "t/45 min"),
    ("contact_tank", "slowdown", 3.0, "k", ")/2", ")/3"),
    ("carbon_bed", "sulfide_trace", 0.4, "f_S", "1 up to 0.3 mg/L, 0 from 0.6", "1 up to 0.4 mg/L, 0 from 0.8"),
    ("carbon_bed", "organics_minutes", 12.0, "x_o", "EBCT/10 min", "EBCT/12 min"),
    ("carbon_bed", "organics_most", 0.4, "x_o", "1 − 0.3 ", "1 − 0.4 "),
    ("flow_control", "band", 0.12, "Q_hi", "(1 + 0.15)", "(1 + 0.12)"),
    ("iron_filter", "iron_load", 2.5, "m_A", "2.7 kg/m²", "2.5 kg/m²"),
    ("sediment_bed", "solids", 0.6, "M", "0.5 kg/m²", "0.6 kg/m²"),
    ("neutralizer", "magnesia_minutes", 0.9, "m", "x_M/0.7 min", "x_M/0.9 min"),
    ("neutralizer", "refill_share", 0.3, "t_r", "0.25 M", "0.3 M"),
    ("tannin_resin", "tannin_charge", 0.007, "o", "0.006 · ", "0.007 · "),
    ("tannin_resin", "alkalinity_early", 0.6, "a", "0.7 (1", "0.6 (1"),
])  # fmt: skip
def test_a_formula_follows_its_constants(
    monkeypatch: pytest.MonkeyPatch, kind: str, constant: str, value: float, symbol: str, usual: str, changed: str
) -> None:
    kept, settings = type(make_stage(kind)), _SETTINGS.get(kind, {})
    assert usual in formulas(make_stage(kind, **settings))[symbol]
    monkeypatch.setattr(kept, "spec", dataclasses.replace(kept.spec, constants={**kept.spec.constants, constant: value}))
    assert changed in formulas(make_stage(kind, **settings))[symbol]


@pytest.mark.parametrize(("kind", "settings", "symbol", "usual", "changed"), [
    ("oxidant_feed", {"oxidant": "chlorine"}, "D_most", "D + 6.24 · H₂S + 2.4 · NH₃-N", "D + 7.5 · H₂S + 2.4 · NH₃-N"),
    ("contact_tank", {}, "Mn", "left/1.92", "left/2.5"),
])  # fmt: skip
def test_a_formula_follows_what_reacts(
    monkeypatch: pytest.MonkeyPatch, kind: str, settings: dict[str, Any], symbol: str, usual: str, changed: str
) -> None:
    assert usual in formulas(make_stage(kind, **settings))[symbol]
    demand = ox.demand
    monkeypatch.setattr(ox, "sulfate_demand", lambda by: 7.5)
    monkeypatch.setattr(ox, "demand", lambda by, of: 2.5 if of == "manganese" else demand(by, of))
    assert changed in formulas(make_stage(kind, **settings))[symbol]


def test_numbers_that_judge_stand_in_the_tables() -> None:
    """Each with its source, as the registry asks of all constants."""
    tables = {"contact_tank": ("seen", "left_alone", "too_much_left"), "neutralizer": ("as_good",), "iron_filter": ("greensand_chlorine",),
              "storage_pump": ("usually_full", "room_above")}  # fmt: skip
    for kind, keys in tables.items():
        assert set(keys) <= make_stage(kind).spec.constants.keys()
    assert ox.constants()["least_alkalinity"] == 0.5
