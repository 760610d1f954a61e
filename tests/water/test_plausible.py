"""Assumed values: where nothing stands, never as known, never over what was measured."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from trainapp.sources import STATUSES, sources
from trainapp.water.plausible import Plausible, assumed, fill, plausible_of, set_plausible
from trainapp.water.raw import Columns, raw_streams
from trainapp.water.sample import read_sheet
from trainapp.water.stream import Stream

SOURCES = ("drilled_well", "driven_well", "dug_well", "spring", "surface", "rain", "mains")


def water(cases: int = 1, **results: Any) -> Stream:
    return raw_streams(Columns.of_sheets([read_sheet(results)] * cases), 3, 10.0)


def entry(name: str, source: str = "drilled_well") -> Plausible:
    return next(p for p in plausible_of(source) if p.analyte == name)


@pytest.mark.parametrize("source", SOURCES)
def test_ranges_are_ranges_with_a_source(source: str) -> None:
    entries = plausible_of(source)
    assert len({p.analyte for p in entries}) == len(entries)
    for p in entries:
        assert p.low <= p.assumed <= p.high and p.source in sources() and p.status in STATUSES


def test_what_decides_health_is_never_assumed() -> None:
    names = {p.analyte for source in SOURCES for p in plausible_of(source)}
    health = {"total_coliform", "e_coli", "arsenic", "lead", "uranium", "radon", "copper", "fluoride", "nitrite", "barium", "boron"}
    assert not names & health
    with pytest.raises(KeyError):
        assumed("arsenic")


def test_a_main_carries_chlorine_and_a_well_none() -> None:
    assert entry("free_chlorine").high == 0.0 and entry("free_chlorine", "mains").low > 0.0


@pytest.mark.parametrize("name", ["iron", "manganese", "turbidity", "uvt", "hardness", "ph", "alkalinity", "tannin", "calcium"])
def test_filling_keeps_it_unknown(name: str) -> None:
    stream = water()
    fill(stream, [entry(name)])
    assert stream.get(name) == pytest.approx(entry(name).assumed) and not stream.is_known(name).any()


def test_filling_leaves_what_stands() -> None:
    stream = water(hardness="100 mg/L", conductivity="500 uS/cm", uvt="80 %/cm", iron="1 mg/L")
    before = stream.copy()
    fill(stream, plausible_of("drilled_well"))
    there = ~np.isnan(before.values)
    assert (stream.values[there] == before.values[there]).all() and (stream.known == before.known).all()


def test_filled_iron_is_read_both_ways() -> None:
    stream = water()
    fill(stream, [entry("iron")])
    assert stream.row("iron_dissolved")[0] == pytest.approx(0.0) and stream.row("iron_particulate")[1] == pytest.approx(0.0)


@pytest.mark.parametrize("name", ["iron", "turbidity", "uvt", "hardness", "ph", "dissolved_oxygen"])
def test_both_ends_in_two_cases(name: str) -> None:
    stream = water(4)
    fill(stream, [entry(name)])
    set_plausible(stream, entry(name), low=1, high=3)
    values = stream.get(name)
    for case, value in ((0, entry(name).assumed), (1, entry(name).low), (2, entry(name).assumed), (3, entry(name).high)):
        assert values[..., case] == pytest.approx(value)
    assert not stream.is_known(name).any()


def test_ends_that_the_sample_narrows_are_the_samples() -> None:
    stream = water(3, hardness="100 mg/L", conductivity="500 uS/cm")
    set_plausible(stream, entry("calcium"), low=1, high=2)
    assert stream.row("calcium")[:, 0, 1] == pytest.approx(0.55 * 40.043, rel=1e-3)
    assert stream.row("calcium")[:, 0, 2] == pytest.approx(0.85 * 40.043, rel=1e-3)
    summed = 2.49733 * stream.row("calcium") + 4.11796 * stream.row("magnesium")
    assert summed == pytest.approx(stream.row("hardness"), rel=1e-4)
    set_plausible(stream, entry("tds"), low=1, high=2)
    assert list(stream.row("tds")[0, 0, 1:]) == [275.0, 350.0]


def test_measured_parts_survive_an_assumed_whole() -> None:
    stream = water(2, calcium="60 mg/L")
    stream.row("hardness")[...] = stream.row("magnesium")[...] = np.nan
    set_plausible(stream, entry("hardness"), low=0, high=1)
    assert stream.row("calcium") == pytest.approx(60.0)
    assert stream.row("hardness")[0, 0] == pytest.approx([entry("hardness").low, entry("hardness").high])
