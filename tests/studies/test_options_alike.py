"""One run answers for all waters that are alike in what a stage looks at; waters that are alike to all that follows go on as one."""

from __future__ import annotations

import numpy as np
import pytest

from tests.studies.test_options import SOFT, raw, small
from trainapp.checks.readings import readable
from trainapp.studies.cost import default_prices
from trainapp.studies.options import local
from trainapp.studies.options.alike import Alike, Bound, bounds_of, without_light
from trainapp.studies.options.layouts import Layout, Layouts
from trainapp.studies.options.search import Search
from trainapp.studies.options.site import Site
from trainapp.studies.options.traced import Trace, Traced, rows_of
from trainapp.train.catalogue import Catalogue
from trainapp.water.analytes import ROW_INDEX, ROWS
from trainapp.water.stream import Stream

RUSTY = {
    **SOFT,
    "iron": "4 mg/L",
    "manganese": "0.3 mg/L",
    "ph": "6.2",
    "alkalinity": "60 mg/L",
    "total_coliform": "2 /100mL",
    "iron_dissolved": "3.8 mg/L",
}


def some(**rows: float) -> Stream:
    water = Stream(np.ones((len(ROWS), 2, 3, 1)), np.ones((len(ROWS), 1), dtype=bool))
    for name, value in rows.items():
        water.set(name, value)
    return water


def test_a_row_that_was_replaced_is_read_where_it_came_and_not_where_it_was_replaced() -> None:
    trace = Trace()
    water = Traced(some(), trace)
    out = water.copy()
    out.set("ph", 8.0, known=True)
    out.row("ph")
    out.is_known("ph")
    assert not trace.read
    water.row("ph")
    out.add("sodium", 2.0)
    _ = out.values[[ROW_INDEX["calcium"]]]
    assert trace.read == {ROW_INDEX[name] for name in ("ph", "sodium", "calcium")}
    assert trace.written == trace.marked == {ROW_INDEX["ph"]}


def test_who_takes_the_whole_array_reads_all() -> None:
    trace = Trace()
    _ = Traced(some(), trace).values[..., 0]
    assert len(trace.read) == len(ROWS)


def test_waters_are_one_on_the_same_side_of_a_limit_and_two_beyond_it() -> None:
    alike = Alike(rows_of("ph"), [Bound("hardness", None, 120.0)])
    soft, softer, hard, harder = (alike.key(some(hardness=value)) for value in (100.0, 20.0, 130.0, 140.0))
    assert soft == softer
    assert len({soft, hard, harder}) == 3
    assert alike.key(some(ph=7.0)) != alike.key(some(ph=7.1))
    assert alike.key(some(sodium=5.0)) == alike.key(some(sodium=6.0))


def test_parts_of_a_limited_sum_are_told_apart_where_a_stage_behind_takes_one_of_them() -> None:
    alike = Alike([ROW_INDEX["iron_dissolved"]], [Bound("iron", None, 5.0)])
    assert alike.key(some(iron_particulate=1.0)) != alike.key(some(iron_particulate=2.0))


def test_a_run_on_one_water_tells_what_a_run_on_another_would() -> None:
    seen: set[str] = set()
    for layout in Layouts(Site(raw(RUSTY))).all():
        for place, slot in enumerate(layout.slots):
            if slot[0].kind not in seen:
                seen.add(slot[0].kind)
                tells_of_others(layout, place)
                needs_no_light(layout, place)
    assert seen >= {"iron_filter", "softener", "neutralizer", "sediment_cartridge", "oxidant_feed", "contact_tank", "uv_chamber"}


def ran(layout: Layout, place: int, water: Stream) -> local.Run:
    return local.run(layout.site, layout.sample.plan, layout.raw, layout.slots[place][0], water, layout.line.carried[place])


def tells_of_others(layout: Layout, place: int) -> None:
    """A run on the raw water, laid over a water that differs in all that was not read or limited, is a run on that water."""
    choice, run = layout.slots[place][0], ran(layout, place, layout.start)
    limited = {row for bound in bounds_of(choice) if readable(bound.analyte) for row in rows_of(bound.analyte)}
    other = layout.start.copy()
    unread = [row for row in range(len(ROWS)) if row not in run.read | limited]
    other.values[unread] = other.values[unread] * 0.875 + 0.01
    laid, again = run.on(other, passes_raw=False), ran(layout, place, other)
    assert np.array_equal(laid.outlet.values, again.treated.values, equal_nan=True), choice.kind
    assert np.array_equal(laid.outlet.known, again.treated.known), choice.kind
    assert (laid.use, laid.cleaning, laid.verdict, run.read) == (again.use, again.cleaning, again.verdict, again.read), choice.kind


def needs_no_light(layout: Layout, place: int) -> None:
    """But for a lamp's, nothing that is found of a stage rests on absorbance."""
    choice = layout.slots[place][0]
    if "disinfection" in choice.stage.spec.tags:
        return
    seen, blind = ran(layout, place, layout.start), ran(layout, place, without_light(layout.start))
    dark = [row for row, name in enumerate(ROWS) if not name.startswith("absorbance")]
    assert np.array_equal(seen.treated.values[dark], blind.treated.values[dark], equal_nan=True), choice.kind
    assert (seen.use, seen.cleaning, seen.verdict) == (blind.use, blind.cleaning, blind.verdict), choice.kind


def test_one_run_answers_for_many_waters_and_finds_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    every = Catalogue.load()
    kinds = {"sediment_cartridge": 99, "sediment_bed": 12, "iron_filter": 24, "softener": 4}
    catalogue = small([name for kind, most in kinds.items() for name in list(every.of_kind(kind))[:most]])
    site = Site(
        raw({**SOFT, "hardness": "12 gpg", "iron": "4 mg/L", "iron_dissolved": "3.8 mg/L", "hydrogen_sulfide": "1 mg/L"}), catalogue
    )

    def searched() -> tuple[list[tuple[object, ...]], int]:
        search = Search(site, Layouts(site).all())
        found, _ = search.trains(default_prices())
        return [(train.layout.places, train.chosen, train.values, train.unfit) for train in found], search.runs

    found, runs = searched()
    monkeypatch.setattr(Alike, "key", lambda self, water: water.values.tobytes() + water.known.tobytes())
    one_by_one, every_run = searched()
    assert found
    assert found == one_by_one
    assert 4 * runs < 3 * every_run
