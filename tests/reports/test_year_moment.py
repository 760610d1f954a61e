"""An hour of a year: what is told of it is what the run's own courses say, and teaching pictures have no date."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.reports.year_runs import ALONE, FARM, FLAT, MONTHS, SITES, words_of, year_of
from trainapp.reports.year_bench import bench_at
from trainapp.reports.year_model import model_at
from trainapp.reports.year_moment import ILLUSTRATIVE_WORD, moment, percent
from trainapp.studies.year import hour_of
from trainapp.studies.year.series import WATERS
from trainapp.train.zones import HOUSE

hours = st.integers(0, 8759)


@settings(max_examples=15)
@given(site=st.sampled_from(SITES), slot=hours)
def test_the_water_of_an_hour_is_that_of_the_courses(site: str, slot: int) -> None:
    year = year_of(site)
    hour, told = hour_of(year, slot), {(q.at, q.key) for q in year.quantities()}
    for at in year.machine.plan.order:
        for key in WATERS:
            if (at, key) in told:
                value = hour.leaving[at].get(key)
                assert np.ptp(value) == 0.0
                assert value[0, 0, 0] == pytest.approx(year.course(at, key)[slot], rel=1e-9, nan_ok=True)


@settings(max_examples=15)
@given(site=st.sampled_from(SITES), slot=hours)
def test_the_pressure_of_an_hour_is_that_of_the_course(site: str, slot: int) -> None:
    year = year_of(site)
    hour = hour_of(year, slot)
    assert hour.outlet[HOUSE].lowest == pytest.approx(year.course(HOUSE, "pressure")[slot], rel=1e-9)
    assert hour.drew == (year.course(HOUSE, "flow")[slot] > 0.0)
    for sides in (hour.inlet, hour.outlet):
        for stand in sides.values():
            assert stand.clean >= stand.now - 1e-6 >= stand.lowest - 2e-6


@settings(max_examples=15)
@given(site=st.sampled_from(SITES), slot=hours)
def test_pressure_falls_along_the_pipe_and_flow_adds_up(site: str, slot: int) -> None:
    year = year_of(site)
    hour, plan = hour_of(year, slot), year.machine.plan
    for node, stand in hour.outlet.items():
        if node in hour.inlet and node not in plan.sources:
            assert stand.now <= hour.inlet[node].now + 1e-6
    for node in plan.order[1:]:
        arriving = sum(flow for (_, target), flow in hour.links.items() if target == node)
        if node not in plan.fills:
            assert arriving == pytest.approx(hour.through[node], abs=1e-12)


@settings(max_examples=15)
@given(site=st.sampled_from(SITES), slot=hours)
def test_a_stage_looks_as_its_course_says(site: str, slot: int) -> None:
    year = year_of(site)
    now = moment(year, slot + 0.99)
    assert now.slot == slot
    for node, at in now.stages.items():
        course = year.stage(node)
        for name in ("fill", "clog", "store"):
            values = getattr(course, name)
            assert getattr(at, name) == (None if values is None else values[slot])
        assert at.cleaning == (course.cleaning[slot] > 0.0)
        assert (at.film is not None) == (node in year.lights)
        if at.film is not None:
            middle = 1.0 - float(course.film[slot])  # type: ignore[index]
            assert at.film[0] - 1e-12 <= middle <= at.film[1] + 1e-12


def test_a_film_is_told_as_a_band_and_beside_it_no_date() -> None:
    now = moment(year_of(ALONE), 5002)
    words = now.stages["uv"].words
    assert any(ILLUSTRATIVE_WORD in word and " to " in word for word in words) and now.illustrative
    assert now.clock == "month 6.8, 10:00" and not MONTHS.search(now.clock)
    assert moment(year_of(FLAT), 5002).clock == "28 July, 10:00"


def test_words_say_what_is_left_and_how_it_is_called() -> None:
    words = {node: at.words for node, at in moment(year_of(FARM), 5002).stages.items()}
    assert words["softener"][0].endswith("% of the resin left") and words["softener"][1].startswith("salt: ")
    assert words["iron"] == ("47 % of the dirt that calls for a wash", "solution: 33 % left")
    assert words["fine"][0].endswith("% of the dirt that calls for a change") and words["uv"][0] == "lamp lit"


def test_what_goes_wrong_is_told_in_the_hours_in_which_it_does() -> None:
    year = year_of("inkwell-croft")
    hard = year.pieces.by_slot(year.judged.at_house.noticed["acid"].beyond)
    number = next(i for i, wrong in enumerate(year.gone_wrong, 1) if wrong.code == "acid")
    slots = [0, 500, 594, 3000, 8000]
    assert [number in {w.number for w in moment(year, slot).wrong} for slot in slots] == [bool(hard[slot] > 0.0) for slot in slots]
    unlit = moment(year, 594)
    assert {"unlit", "no-water"} <= {wrong.told.code for wrong in unlit.wrong} and not unlit.power
    assert "lamp unlit" in unlit.stages["uv"].words and "unlit" not in {w.told.code for w in moment(year, 500).wrong}


def test_a_film_marks_the_chamber_without_a_date_and_leaves_the_lamp_lit() -> None:
    film = next(wrong for wrong in year_of(ALONE).gone_wrong if wrong.code == "outside-rating-film")
    assert film.months is not None
    soonest = film.months[0] * 730
    going = {slot: [w.told for w in moment(year_of(ALONE), slot).wrong] for slot in range(0, 8760, 97)}
    assert all(film not in told for slot, told in going.items() if slot < soonest - 97)
    marked = [slot for slot, told in going.items() if film in told]
    assert marked and all(moment(year_of(ALONE), slot).clock.startswith("month") for slot in marked)
    assert all(moment(year_of(ALONE), slot).stages["uv"].lit for slot in marked)
    model = model_at(year_of(ALONE), marked[0])
    found = next(f for f in model.findings if f.title.startswith("Film beyond"))
    assert found.severity == "fail" and "illustrative" in found.title and ("stage", "uv") in found.spots
    words = words_of(bench_at(year_of(ALONE), marked[0], width=3200, height=900))
    assert "fail: Film beyond what the rating allows for, illustrative" in words
    assert not any(month in words for month in ("January", "April", "June", "September"))


def test_hours_outside_the_run_are_its_ends() -> None:
    year = year_of(FLAT, days=365)
    assert moment(year, -3.0).slot == 0 and moment(year, 1e9).slot == 8759
    with pytest.raises(IndexError):
        hour_of(year, 8760)


def test_percents_never_round_to_all_or_nothing() -> None:
    assert [percent(share) for share in (0.0, 0.001, 0.5, 0.999, 1.0, 1.244)] == ["0", "<1", "50", ">99", "100", "124"]


def test_what_pressure_no_longer_brings_does_not_flow() -> None:
    """Nobody changes a cartridge: in the end next to nothing comes, and the hour says how much, not what was wanted."""
    year = year_of("inkwell-croft", "never")
    starved = year.pieces.by_slot(year.judged.starved)
    slot = int(starved.argmax())
    now, usual = moment(year, slot), moment(year_of("inkwell-croft"), slot)
    assert {"flow-starved", "cartridge-blocked"} & {wrong.told.code for wrong in now.wrong}
    (clogged,) = (at for at in now.stages.values() if at.clog is not None and at.clog > 1.0)
    assert any(words in ("blocked: past its change", "dirt past its change") for words in clogged.words)
    assert "% of the dirt" not in " ".join(clogged.words)
    inside = next(stage.state.inside for stage in model_at(year, now.slot).stages if stage.id == clogged.stage and stage.state)
    assert inside in (("blocked: past", "its change"), ("dirt past", "its change"))
    assert "past its change" in " ".join(words_of(bench_at(year, now.slot, width=1280, height=800)).replace(" | ", " ").split())
    assert 0.0 <= now.draw < 0.5 * usual.draw and now.flow < usual.flow
    assert max(now.hour.links.values()) < 0.5 * max(usual.hour.links.values())
