"""The chart and the trains of a lesson: bands with their word, lines as far as the clock, names apart, two trains to one scale."""

from __future__ import annotations

import pathlib
from itertools import pairwise

import numpy as np
import pytest

from tests.reports.drawing_checks import meetings, outside
from tests.studies.lessons.shown import NAMES, played
from trainapp.desktop.engine import assess
from trainapp.desktop.fonts import measure
from trainapp.desktop.lessons.bench import Film, picture, scale_that_fits
from trainapp.desktop.lessons.places import LEAST
from trainapp.desktop.painter import bounds
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.display import Display, Group, Line, Path, Polyline, Rect, Text, texts, walk
from trainapp.reports.lesson_chart import LessonChart
from trainapp.reports.print_pages import Placed
from trainapp.studies.lessons import Chart, ChartLine
from trainapp.train.document import load
from trainapp.units import System

MONTHS = np.arange(1, 366) * 12.0 / 365.25


def chart(illustrative: bool = False, over: str = "time", days: int = 365) -> Chart:
    """Two lines from 60 and 50 downwards, mJ/cm2; a band round each where they are illustrative."""
    x = MONTHS[:days] if over == "time" else np.linspace(0.0002, 0.0006, 5)
    lines = []
    for letter, start in (("A", 50.0), ("B", 60.0)):
        y = np.linspace(start, 20.0 if letter == "A" else 45.0, len(x))
        band = (0.8 * y, 1.1 * y) if illustrative else (None, None)
        lines.append(ChartLine(letter, f"train {letter}", x, y, *band))
    now = float(x[len(x) // 2])
    of = ("", "") if over == "time" else ("Peak flow", "flow")
    return Chart("Dose", "dose", tuple(lines), over, *of, 40.0, now, illustrative)


def drawn(display: Display) -> list[Polyline]:
    group = next(shape for shape in display.items if isinstance(shape, Group) and shape.tag == ("chart",))
    return [shape for shape in group.items if isinstance(shape, Polyline)]


def said(display: Display) -> list[str]:
    return [text.text for text, _ in texts(display.items)]


def test_lines_go_as_far_as_the_clock_and_end_in_their_names() -> None:
    made = LessonChart(chart(), "us")
    half, whole = made.draw(6.0, 880.0, 180.0, measure), made.draw(12.0, 880.0, 180.0, measure)
    ends = [max(x for x, _ in line.points) for display in (half, whole) for line in drawn(display)]
    assert ends[0] == pytest.approx(ends[1]) and ends[2] - ends[0] == pytest.approx(0.5 * (ends[2] - _left(whole)), rel=0.03)
    assert {"A 35", "B 52", "wanted 40"} <= set(said(half)) and {"A 20", "B 45"} <= set(said(whole))
    assert "month 0" in said(half) and {"3", "6", "9", "12"} <= set(said(half))


def _left(display: Display) -> float:
    return min(x for line in drawn(display) for x, _ in line.points)


def test_a_teaching_picture_is_drawn_as_bands_with_the_word_in_it() -> None:
    made = LessonChart(chart(illustrative=True), "us").draw(12.0, 880.0, 180.0, measure)
    assert sum(line.fill == "well" for line in drawn(made)) == 2
    assert "illustrative" in said(made) and "A 16 to 22" in said(made)
    assert "illustrative" not in said(LessonChart(chart(), "us").draw(12.0, 880.0, 180.0, measure))


def test_two_lines_are_told_apart_by_their_dash() -> None:
    first, second = drawn(LessonChart(chart(), "us").draw(12.0, 880.0, 180.0, measure))
    assert first.dash != second.dash and first.width == second.width


def test_a_short_run_is_told_in_days() -> None:
    made = said(LessonChart(chart(days=61), "us").draw(2.0, 880.0, 180.0, measure))
    assert "day 0" in made and "60" in made and not any("month" in text for text in made)


@pytest.mark.parametrize(("system", "unit", "ticks"), [("us", "gpm", {"4", "6", "8"}), ("metric", "L/min", {"15", "20", "30"})])
def test_over_something_that_is_changed_all_of_it_is_drawn_in_the_readers_units(system: System, unit: str, ticks: set[str]) -> None:
    plan = LessonChart(chart(over="peak"), system)
    made = plan.draw(plan.now, 880.0, 180.0, measure)
    assert [len(line.points) for line in drawn(made)] == [5, 5]
    assert f"to the right: Peak flow, {unit}" in said(made) and ticks <= set(said(made))


@pytest.mark.parametrize("size", [(880.0, 120.0), (700.0, 150.0), (1400.0, 260.0)])
@pytest.mark.parametrize("illustrative", [False, True])
def test_no_letter_of_a_chart_is_small_or_lies_on_another(size: tuple[float, float], illustrative: bool) -> None:
    for x in (0.1, 3.0, 6.0, 10.5, 11.2, 11.9):
        made = LessonChart(chart(illustrative), "us").draw(x, *size, measure)
        boxes = [(text.text, text.box(measure)) for text, _ in texts(made.items)]
        assert min(text.size for text, _ in texts(made.items)) >= LEAST
        assert all(box.x >= -0.5 and box.right <= size[0] + 0.5 and box.bottom <= size[1] + 0.5 for _, box in boxes)
        met = [(a, b) for i, (a, one) in enumerate(boxes) for b, other in boxes[i + 1 :] if one.grown(-2.0).meets(other.grown(-2.0))]
        assert met == []


# Trains -------------------------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module", params=["lone-alder-farm", "pebble-court-3", "lone-alder-farm-uv-alone", "marzipan-moth-tea-room"])
def model(request: pytest.FixtureRequest, root: pathlib.Path):  # type: ignore[no-untyped-def]
    return assess(load(root / "samples" / f"{request.param}.train.json"), "us").model


@pytest.mark.parametrize("film", [None, Film(0.4, 0.6)])
def test_a_train_fits_its_box_with_names_apart(model, film: Film | None) -> None:  # type: ignore[no-untyped-def]
    width, height = 420.0, 150.0
    parts = picture(model, width, height, measure, film=film, uv="uv")
    names = [text for part in parts for text, _ in texts(part.display.items)]
    assert all(text.size >= LEAST for text in names)
    for part in parts:
        assert part.display.width * part.scale <= width + 0.5 and part.display.height * part.scale <= height + 2.5
    under = sorted(text.box(measure) for text in names if text.anchor == "middle" and text.y > height - 24.0 and text.x < width - 134.0)
    assert all(one.right <= other.x for one, other in pairwise(under))
    shown = {
        shape.tag[1] for part in parts for shape, _ in walk(part.display.items) if isinstance(shape, Group) and shape.tag[:1] == ("stage",)
    }
    assert shown == {stage.id for stage in model.stages}


def test_a_film_is_drawn_denser_and_told_as_a_band(model) -> None:  # type: ignore[no-untyped-def]
    thin, thick = (picture(model, 420.0, 150.0, measure, film=film, uv="uv") for film in (Film(0.05, 0.1), Film(0.6, 0.8)))
    spoken = [text.text for text, _ in texts(thick[-1].display.items) if isinstance(text, Text)]
    assert {"20 to 40\u202f%", "of light passes", "illustrative"} <= set(spoken)
    strokes = [max(len(shape.segments) for shape in parts[-1].display.items if hasattr(shape, "segments")) for parts in (thin, thick)]
    assert strokes[0] * 4 < strokes[1]


def test_two_trains_can_be_drawn_to_one_scale(model) -> None:  # type: ignore[no-untyped-def]
    own = scale_that_fits(model, 420.0, 150.0, measure)
    assert scale_that_fits(model, 840.0, 300.0, measure) > own
    tall = [_height(picture(model, 420.0, 150.0, measure, scale=scale)) for scale in (own, 0.5 * own)]
    assert tall[1] == pytest.approx(0.5 * tall[0], abs=3.0)  # of which the pen takes its part


def _height(parts: tuple[Placed, ...]) -> float:
    """Height of the tallest stage, px."""
    tall = []
    for part in parts:
        for group, _ in walk(part.display.items):
            if isinstance(group, Group) and group.tag[:1] == ("stage",):
                area = bounds(shape for shape in group.items if isinstance(shape, Rect | Path))
                tall.append(area.height() * part.scale)
    return max(tall)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("width", "height"), [(452.0, 190.0), (690.0, 250.0), (330.0, 120.0)])
def test_every_stage_of_every_lesson_has_its_name(name: str, width: float, height: float) -> None:
    for bench in played(name).benches:
        model = bench_model(bench.evaluation, (), "us")
        parts = picture(model, width, height, measure)
        words = " ".join(text.text for part in parts for text, _ in texts(part.display.items))
        assert all(word in words for stage in model.stages for word in stage.name.split()), (name, words)
        over = next(part.display for part in parts if part.scale == 1.0 and list(texts(part.display.items)))
        assert meetings(over, measure) == [] and outside(over, measure) == []


def test_a_window_too_low_for_a_train_shows_what_it_can(model) -> None:  # type: ignore[no-untyped-def]
    assert scale_that_fits(model, 300.0, 20.0, measure) > 0.0
    assert picture(model, 300.0, 20.0, measure)


def test_names_stand_clear_of_the_words_of_a_sleeve() -> None:
    for name in ("uv-and-softener", "uv-on-iron-water", "power-cut"):
        for bench in played(name).benches:
            model = bench_model(bench.evaluation, (), "us")
            for width in (440.0, 480.0, 620.0):
                _, _, words = picture(model, width, 170.0, measure, film=Film(0.02, 0.07), uv="uv")
                under = [
                    text
                    for text, _ in texts(words.display.items)
                    if isinstance(text, Text) and text.anchor == "middle" and text.x < width - 134.0
                ]
                assert all(text.x + measure(text.text, text.size, False) / 2 <= width - 134.0 for text in under), (
                    name,
                    bench.letter,
                    width,
                )


def test_the_line_to_the_sleeve_leaves_the_person_alone() -> None:
    model = bench_model(played("uv-on-iron-water").bench("A").evaluation, (), "us")
    leader, train, _ = picture(model, 620.0, 240.0, measure, film=Film(0.1, 0.4), uv="uv")
    body = next(shape for shape in train.display.items if isinstance(shape, Group) and shape.tag == ("person",))
    box = bounds(body.items)
    for line in (shape for shape in leader.display.items if isinstance(shape, Line)):
        low, high = sorted((line.x1, line.x2))
        across = high > box.left() * train.scale and low < box.right() * train.scale
        assert not across or max(line.y1, line.y2) <= box.top() * train.scale


def test_a_small_value_reads_in_the_chart_as_in_the_big_number() -> None:
    made = played("calcite-after-softener")
    names = said(LessonChart(made.chart, "us").draw(made.chart.now, 880.0, 180.0, measure))
    assert f"A {made.number('A', 'us')}" in names and "A 0.06" not in names
