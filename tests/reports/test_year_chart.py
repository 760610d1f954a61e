"""Strip charts: what is drawn is the run's own course, teaching pictures are bands without dates, texts keep clear of each other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.reports.drawing_checks import meetings, outside
from tests.reports.year_runs import ALONE, FARM, FLAT, MONTHS, SITES, pair_of, words_of, year_of
from trainapp import units
from trainapp.reports.drawing.display import Display, Polyline, Text, texts, walk
from trainapp.reports.drawing.display import Line as Stroke
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.render_svg import svg
from trainapp.reports.year_axis import ticks_of
from trainapp.reports.year_chart import ChartError, Line, charts_of, choices, strip_chart, strip_charts, usual
from trainapp.reports.year_series import series_of, wanted


def lines_of(drawn: Display) -> list[Polyline]:
    """The lines and edges of bands, in drawing order."""
    return [shape for shape, clip in walk(drawn.items) if isinstance(shape, Polyline) and shape.stroke.startswith("series")]


@settings(max_examples=15)
@given(site=st.sampled_from(SITES), pick=st.integers(0, 10_000), system=st.sampled_from(["us", "metric"]))
def test_a_series_is_the_course(site: str, pick: int, system: units.System) -> None:
    year = year_of(site)
    told = choices(year)
    quantity = told[pick % len(told)]
    series = series_of(Line("x", year, quantity.at, quantity.key), system)
    course = year.course(quantity.at, quantity.key)
    expected = course if quantity.dimension == "none" else units.convert(course, quantity.dimension, system)
    np.testing.assert_allclose(series.values, expected, rtol=1e-12)
    assert (series.low is not None) == quantity.illustrative
    if series.low is not None and series.high is not None:
        known = np.isfinite(series.values)
        assert (series.low[known] <= series.values[known] + 1e-9).all() and (series.values[known] <= series.high[known] + 1e-9).all()


def test_days_of_few_are_read_by_the_minute() -> None:
    year = year_of(FARM)
    series = series_of(Line("x", year, "house", "pressure"), "metric", (24, 2))
    fine = year.zoom(24, 2).of("house", "pressure")
    assert len(series.values) == 2880 and series.start == 576.0 and series.step == pytest.approx(1 / 60)
    np.testing.assert_allclose(series.values, units.convert(fine, "pressure", "metric"), rtol=1e-12)
    by_hour = series_of(Line("x", year, "house", "pressure"), "metric", (24, 20))
    np.testing.assert_allclose(by_hour.values, units.convert(year.course("house", "pressure")[576:1056], "pressure", "metric"))


def test_a_year_is_drawn_by_the_worst_of_each_day() -> None:
    year = year_of("inkwell-croft")
    for at, key, worst in (("house", "pressure", np.min), ("softener", "hardness", np.max), ("uv", "uvt", np.min)):
        drawn = strip_chart([Line("x", year, at, key)], width=900, height=280, system="metric")
        (line,) = lines_of(drawn)
        series = series_of(Line("x", year, at, key), "metric")
        days = worst(series.values.reshape(-1, 24), axis=1)
        zero, top = _axis(drawn)
        values = np.array([(zero[1] - y) / (zero[1] - top[1]) * top[0] for _, y in line.points])
        np.testing.assert_allclose(values, days, rtol=1e-9, atol=1e-9)
        assert "of each day" in words_of(drawn)


def _axis(drawn: Display) -> tuple[tuple[float, float], tuple[float, float]]:
    """(value, y) of the lowest and of the highest line of the grid."""
    grid = sorted(s.y1 for s, _ in walk(drawn.items) if isinstance(s, Stroke) and s.token in ("hair", "edge") and s.x2 - s.x1 > 300)
    figures = [float(t.text) for t, _ in texts(drawn.items) if t.anchor == "end"]
    return (min(figures), grid[-1]), (max(figures), grid[0])


def test_the_axis_begins_at_nothing_and_holds_every_line() -> None:
    for key in ("pressure", "hardness", "flow"):
        drawn = strip_chart([Line("x", year_of(FLAT), "house", key)], width=800, height=250)
        (zero, low), (_, high) = _axis(drawn)
        assert zero == 0.0
        assert all(high - 1.0 <= y <= low + 1e-6 for line in lines_of(drawn) for _, y in line.points)


@pytest.mark.parametrize("key", ["film", "dose_credited", "dose_estimate", "warmth", "stock_metal"])
def test_a_teaching_picture_is_a_band_with_its_word_and_no_date(key: str) -> None:
    for window in (None, (24, 2), (30, 30)):
        drawn = strip_chart([Line("UV", year_of(ALONE), "uv", key)], width=800, height=250, day_window=window, hour=600.0)
        words = words_of(drawn)
        assert "illustrative" in words and not MONTHS.search(words)
        bands = [shape for shape, _ in walk(drawn.items) if isinstance(shape, Polyline) and shape.fill == "well"]
        assert bands and len(lines_of(drawn)) == 2 * len(bands)
    plain = words_of(strip_chart([Line("House", year_of(ALONE), "house", "iron")], width=800, height=250))
    assert "illustrative" not in plain and MONTHS.search(plain)


def test_months_of_use_run_from_nought_to_twelve() -> None:
    ticks = [tick.text for tick in ticks_of(year_of(ALONE), (0.0, 8760.0), 13, True)]
    assert ticks[0] == "month 0" and ticks[-1] == "12" and ticks[6] == "6"
    named = ticks_of(year_of(ALONE), (0.0, 8760.0), 13, False)
    assert [tick.text for tick in named][:3] == ["Jan", "Feb", "Mar"] and named[2].hour == 59 * 24.0
    assert [tick.text for tick in ticks_of(year_of(ALONE), (48.0, 72.0), 5, False)] == ["3 Jan", "06:00", "12:00", "18:00", "4 Jan"]
    # a day has no months of use, and a year without dates no date
    assert [tick.text for tick in ticks_of(year_of(ALONE), (48.0, 72.0), 5, True)] == ["day 3", "06:00", "12:00", "18:00", "day 4"]


def test_beside_a_teaching_picture_no_chart_has_dates() -> None:
    rows = charts_of([("", year_of(ALONE))], [("house", "iron"), ("uv", "film")])
    assert not MONTHS.search(words_of(strip_charts(rows, width=900, height=260)))
    assert MONTHS.search(words_of(strip_charts(rows[:1], width=900, height=260)))
    assert not MONTHS.search(words_of(strip_charts(rows[:1], width=900, height=260, undated=True)))


@pytest.mark.parametrize("site", SITES)
def test_texts_keep_clear(site: str) -> None:
    year = year_of(site)
    for scale, size in ((1.0, (640.0, 200.0)), (1.8, (1100.0, 340.0))):
        drawn = strip_charts(charts_of([("", year)], usual(year)), width=size[0], height=size[1], hour=5002, scale=scale)
        assert meetings(drawn, measure_dejavu) == [] and outside(drawn, measure_dejavu) == []


def test_two_trains_share_a_clock_and_their_labels_stand_at_the_right() -> None:
    pair = pair_of(FARM)
    trains = list(zip(("A", "B"), (pair.first, pair.second), strict=True))
    rows = charts_of(trains, [("house", "iron"), ("uv", "film")])
    assert [[line.name for line in row] for row in rows] == [["A", "B"], ["A", "B"]]
    drawn = strip_charts(rows, width=900, height=260, hour=3000)
    labels = [t for t, _ in texts(drawn.items) if t.text.startswith(("A ", "B ")) and t.bold and "," not in t.text]
    assert len(labels) == 4 and all(label.x > 700 for label in labels)
    iron = pair.first.course("house", "iron").reshape(-1, 24).max(axis=1)[3000 // 24]
    assert labels[0].text == f"A {iron:.2f}"
    dashes = {line.dash for line in lines_of(strip_chart(rows[0], width=900, height=260))}
    assert len(dashes) == 2
    assert meetings(drawn, measure_dejavu) == []
    # charts below one another share their margins
    assert len({min(x for x, _ in line.points) for line in lines_of(drawn)}) == 1


def test_what_is_wanted_is_a_dotted_line() -> None:
    year = year_of(FARM)
    for at, key, value in (("house", "pressure", 25.0), ("uv", "dose_credited", 40.0), ("uv", "flow", 12.0)):
        line = Line("x", year, at, key)
        assert wanted(line, "us") == pytest.approx(value)
        drawn = strip_chart([line], width=800, height=250)
        assert any(isinstance(s, Stroke) and s.dash == (2.0, 3.0) for s, _ in walk(drawn.items)) and f"wanted {value:.1f}" in words_of(
            drawn
        )
    assert wanted(Line("x", year, "iron", "hardness"), "us") is None


def test_what_cannot_be_drawn_is_one_sentence() -> None:
    year = year_of(FARM)
    with pytest.raises(ChartError, match=r"^house has no \"beauty\"; it has flow, pressure, "):
        strip_chart([Line("x", year, "house", "beauty")], width=800, height=250)
    with pytest.raises(ChartError, match=r"^\"attic\" is no place of this train; there are supply, screen, "):
        charts_of([("", year)], [("attic", "flow")])
    with pytest.raises(ChartError, match="units differ"):
        strip_chart([Line("x", year, "house", "flow"), Line("y", year, "house", "pressure")], width=800, height=250)
    with pytest.raises(ChartError, match="takes 1 to 4"):
        strip_chart([], width=800, height=250)
    with pytest.raises(ChartError, match="not in a run of 365 days"):
        strip_chart([Line("x", year, "house", "flow")], width=800, height=250, day_window=(365, 1))


def test_the_same_chart_is_the_same_svg() -> None:
    def drawn() -> str:
        return svg(strip_charts(charts_of([("", year_of(FARM))], usual(year_of(FARM))), width=900, height=260), "light", "x")

    assert drawn() == drawn() and "illustrative" in drawn()


def test_a_gap_is_no_line() -> None:
    """A dose has no value while no water flows: the line stops and goes on."""
    year = year_of(FARM)
    window = (24, 2)
    values = series_of(Line("x", year, "uv", "lamp"), "us", window).values
    dose = series_of(Line("x", year, "uv", "dose_credited"), "us", window)
    assert np.isfinite(values).all() and np.isnan(dose.values).any()
    runs = lines_of(strip_chart([Line("x", year, "uv", "dose_credited")], width=800, height=250, day_window=window))
    gaps = np.flatnonzero(np.diff(np.isfinite(dose.values).astype(int)) == 1)
    assert len(runs) == 2 * (len(gaps) + int(np.isfinite(dose.values[0])))


def test_nothing_is_told_smaller_than_a_caption() -> None:
    sizes = {text.size for text, _ in texts(strip_chart([Line("x", year_of(FLAT), "house", "flow")], width=800, height=250).items)}
    assert min(sizes) >= 11.0
    assert isinstance(next(iter(texts(strip_chart([Line("x", year_of(FLAT), "house", "flow")], width=800, height=250).items)))[0], Text)
