"""The bench at an hour of a year: no text meets another, numbers are those of the hour, and state is texture and number, never colour."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from tests.reports.drawing_checks import crossings, meetings, outside
from tests.reports.year_runs import ALONE, COTTAGE, FARM, FLAT, MONTHS, SITES, pair_of, words_of, year_of
from trainapp import units
from trainapp.reports.drawing.display import Box, Display, Dots, Line, Path, Rect, Shape, Strokes, walk
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.model import StageModel, StageState
from trainapp.reports.drawing.wear import stored, worn
from trainapp.reports.year_bench import bench_at, benches_at, model_at, view_at
from trainapp.reports.year_moment import moment
from trainapp.stages.base import Figure
from trainapp.water.analytes import BY_KEY

HOURS = (0, 594, 5002)


def assert_clean(drawn: Display) -> None:
    assert meetings(drawn, measure_dejavu) == []
    assert crossings(drawn, measure_dejavu) == []
    assert outside(drawn, measure_dejavu) == []


@pytest.mark.parametrize("site", SITES)
def test_any_hour_draws_without_a_text_on_another(site: str) -> None:
    for hour in HOURS:
        assert_clean(bench_at(year_of(site), hour, width=1280, height=800))
    assert_clean(bench_at(year_of(site, "never"), HOURS[-1], width=1280, height=800, system="metric"))
    assert_clean(bench_at(year_of(site), 5002, width=956, height=640, system="metric"))
    assert_clean(bench_at(year_of(site), 5002, width=640, height=360, bench_only=True, headline=False))


@pytest.mark.parametrize("site", SITES)
def test_a_film_stands_with_its_word_in_every_picture_and_without_a_date(site: str) -> None:
    for size in ((1280, 800), (700, 330)):
        for bench_only in (False, True):
            words = words_of(bench_at(year_of(site), 5002, width=size[0], height=size[1], bench_only=bench_only))
            assert ("illustrative" in words) == (site != FLAT)
            assert bool(MONTHS.search(words)) == (site == FLAT)


def test_the_ledger_tells_the_hour() -> None:
    year = year_of("inkwell-croft")
    for hour in (0, 310, 5002):
        model = model_at(year, hour, "metric")
        for row in model.rows:
            if row.key not in ("hardness", "ph", "uvt", "turbidity", "tannin", "sodium"):
                continue
            value = float(year.course("uv", row.key)[hour])
            told = units.show(value, BY_KEY[row.key].dimension, "metric", analyte=row.key).split(" ")[0]
            # beside a limit a value may be told with more decimals
            assert float(row.cells["house"].values[0]) == pytest.approx(float(told), rel=0.02)


def test_hard_water_slips_through_the_bench_when_the_resin_is_used_up() -> None:
    year = year_of("inkwell-croft")
    slip = next(h for h in range(8760) if year.stage("softener").mode[h] == 1.0 and year.course("softener", "hardness")[h] > 50.0)
    row = next(row for row in model_at(year, slip).rows if row.key == "hardness")
    before = next(row for row in model_at(year, 0).rows if row.key == "hardness")
    assert float(row.cells["tannin"].values[0]) > 10 * float(before.cells["tannin"].values[0])
    assert any(finding.title == "Resin used up, hardness passes" for finding in model_at(year, slip).findings)


def test_the_staircase_tells_the_hour() -> None:
    year = year_of(FARM)
    for hour in (7, 5002):
        pressure = model_at(year, hour).pressure
        assert pressure is not None and pressure.words[1] == "now"
        wanted = float(units.convert(float(year.course("house", "pressure")[hour]), "pressure", "us"))
        assert pressure.entering["house"].lowest == pytest.approx(wanted, abs=1e-6)


def test_nothing_jumps_while_it_plays() -> None:
    """Rows, floor, columns and axis stay where they are from hour to hour, so that only what changes moves."""
    for site in (FARM, "inkwell-croft"):
        views = [view_at(year_of(site), hour, Options(1100, 760)) for hour in (0, 594, 3000, 5002, 8759)]
        assert len({view.floor for view in views}) == 1
        assert len({(view.bands, tuple(view.spread.centres.items())) for view in views}) == 1
        models = [model_at(year_of(site), hour) for hour in (0, 594, 5002)]
        assert len({tuple(row.key for row in model.rows) for model in models}) == 1


def test_chosen_rows_are_shown() -> None:
    rows = model_at(year_of(FARM), 100, rows=("iron", "hardness")).rows
    assert [row.key for row in rows] == ["iron", "hardness"] and all(row.stays for row in rows)


def test_rows_that_the_run_finds_over_a_limit_never_leave() -> None:
    """However little room there is, and in whatever hour they are over: what the cautions above a bench are of has its row."""
    for site in (ALONE, "inkwell-croft"):
        year = year_of(site)
        found = {f"inlet-limit-{key}": key for key in ("iron", "manganese", "hardness", "ph", "tannin", "turbidity")}
        told = {found[wrong.code.removesuffix("-far")] for wrong in year.gone_wrong if wrong.code.removesuffix("-far") in found}
        assert told and told <= {row.key for row in model_at(year, 0, most=1).rows}


def test_what_a_mean_of_an_hour_hides_is_not_within() -> None:
    """A caution of some draws of an hour stands beside no cell that says that all is well."""
    year, hidden = year_of(COTTAGE), 0
    for hour in range(66, 84):
        cell = next(row for row in model_at(year, hour).rows if row.key == "ph").cells["house"]
        if "acid" in {wrong.told.code for wrong in moment(year, hour).wrong}:
            assert cell.status in ("over", "near")
            hidden += "some of its draws" in cell.tooltip
        else:
            assert "some of its draws" not in cell.tooltip
    assert hidden


def test_a_low_picture_keeps_the_rows_that_matter_and_the_pressure() -> None:
    year = year_of("inkwell-croft")
    low, high = (words_of(bench_at(year, 594, width=960, height=height)) for height in (560, 900))
    for row in ("UVT", "Coliform"):
        assert row in low and row in high
    assert "Sodium" in high and "Sodium" not in low and low.count("Pressure") >= 1
    assert view_at(year, 594, Options(960, 520), most_rows=4).most.scroll == 0.0
    assert view_at(year, 594, Options(960, 520)).most.scroll > 0.0, "what scrolls keeps all its rows"


def test_several_trains_stand_below_one_another_under_their_names() -> None:
    pair = pair_of(COTTAGE)
    drawn = benches_at(list(zip(pair.labels, (pair.first, pair.second), strict=True)), 3000, width=1100, height=700)
    words = words_of(drawn)
    assert all(label in words for label in pair.labels) and "illustrative" in words and "Month 4.1, 00:00." in words
    assert meetings(drawn, measure_dejavu) == [] and outside(drawn, measure_dejavu) == []


def test_the_line_above_says_what_goes_wrong_and_what_not_to_drink() -> None:
    drawn = words_of(bench_at(year_of("inkwell-croft"), 594, width=1280, height=800, title="A site"))
    assert drawn.count("Do not drink this water now") == 1 and " fail: Water past an unlit lamp, illustrative" in drawn
    assert "The power is out." in drawn and "A site" in drawn and "safe" not in drawn.lower()
    assert "Do not drink" not in words_of(bench_at(year_of(FLAT), 594, width=1280, height=800))


# Texture ----------------------------------------------------------------------------------------------------------------------------

TANK = Figure("tank", 0.33, 1.5, texture="resin", fill=0.8)
CARTRIDGE = Figure("cartridge", 0.18, 0.6, base=0.7, texture="pleat")
CHAMBER = Figure("chamber", 0.2, 1.1, base=0.6, texture="lamp")
CALCITE = replace(TANK, texture="calcite")


def _worn(figure: Figure, bodies: int = 1, **state: object) -> list[Shape]:
    stage = StageModel("x", "kind", "1", "Name", "", figure, bodies=bodies)
    return worn(stage, StageState(**state), Box(100.0, 50.0, 40.0, 180.0), 120.0)  # type: ignore[arg-type]


def _grains(shapes: list[Shape]) -> int:
    return sum(len(s.points) if isinstance(s, Dots) else len(s.segments) if isinstance(s, Strokes) else 0 for s in shapes)


def _tokens(shapes: list[Shape]) -> set[str]:
    found = set()
    for shape, _ in walk(shapes):
        for name in ("token", "fill", "stroke"):
            found.add(getattr(shape, name, ""))
    return found - {""}


@pytest.mark.parametrize(
    ("figure", "states"),
    [
        (TANK, [{"fill": share} for share in (1.0, 0.7, 0.4, 0.1)]),
        (TANK, [{"clog": share} for share in (0.0, 0.3, 0.6, 1.0)]),
        (CARTRIDGE, [{"clog": share} for share in (0.0, 0.3, 0.6, 1.0)]),
        (CHAMBER, [{"film": share, "lit": True} for share in (0.0, 0.1, 0.4, 0.8)]),
        (replace(TANK, texture="iron"), [{"fill": share, "clog": 0.2} for share in (1.0, 0.7, 0.4, 0.1)]),
        (replace(TANK, texture="carbon"), [{"fill": share} for share in (1.0, 0.7, 0.4, 0.1)]),
    ],
)
def test_more_wear_is_denser_texture_and_no_other_colour(figure: Figure, states: list[dict[str, object]]) -> None:
    drawn = [_worn(figure, **state) for state in states]
    counts = [_grains(shapes) for shapes in drawn]
    assert counts == sorted(counts) and counts[-1] > counts[0] + 5
    # the same few tokens whatever the state: edge and ink of the plain figure
    assert all(_tokens(shapes) <= {"body", "ink", "ink2", "edge"} for shapes in drawn)
    fills = [[s.fill for s in shapes if isinstance(s, Rect | Path)] for shapes in drawn]
    assert all(fill == fills[0] for fill in fills)


def test_twins_wear_alike() -> None:
    one, two = (_grains(_worn(TANK, bodies, fill=0.5)) for bodies in (1, 2))
    assert two > 0.7 * one


def test_a_bed_that_dissolves_grows_lower() -> None:
    tops = [min(s.y for s in _worn(CALCITE, fill=share) if isinstance(s, Dots | Strokes)) for share in (1.0, 0.5)]
    assert tops[1] > tops[0] + 20.0


def test_a_lamp_without_light_is_broken_and_says_so() -> None:
    lit, unlit = (_worn(CHAMBER, lit=burns) for burns in (True, False))
    assert [any(isinstance(s, Line) and s.dash for s in shapes) for shapes in (lit, unlit)] == [False, True]
    year = year_of("inkwell-croft")
    assert moment(year, 594).stages["uv"].lit is False
    assert "unlit" in words_of(bench_at(year, 594, width=1280, height=800, headline=False))


@pytest.mark.parametrize("texture", ["resin", "iron"])
def test_what_is_left_sinks_in_the_tank_beside(texture: str) -> None:
    tops, counts = [], []
    for share in (1.0, 0.6, 0.2):
        stage = StageModel("x", "kind", "1", "Name", "", replace(TANK, texture=texture), state=StageState(store=share))
        drawn = stored(SimpleNamespace(floor=230.0), stage, Box(150.0, 130.0, 50.0, 100.0))  # type: ignore[arg-type]
        counts.append(_grains(drawn))
        tops.append(min(s.y for s in drawn if isinstance(s, Dots | Strokes)))
    assert tops == sorted(tops) and tops[2] > tops[0] + 50.0 and counts == sorted(counts, reverse=True)


def test_numbers_stand_beside_the_texture() -> None:
    words = words_of(bench_at(year_of(FARM), 5002, width=1280, height=800))
    for number in ("47\u202f%", "dirt", "48\u202f%", "left", "76\u202f%", "salt", "33\u202f%", "solution", "lit"):
        assert number in words
    assert "film takes | 13\u201343\u202f% | of light, | illustrative" in words_of(bench_at(year_of(ALONE), 5002, width=1280, height=800))
