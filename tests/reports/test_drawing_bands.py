"""Gauges, shared heights, pipes and the pressure staircase."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reports import drawing_models as models
from trainapp.reports.drawing import budget, gauge
from trainapp.reports.drawing.crossings import cut, gaps
from trainapp.reports.drawing.display import Box, Circle, Group, Polyline, Rect, Text, walk
from trainapp.reports.drawing.floor import lay_out
from trainapp.reports.drawing.frame import FOOT, Frame, Options
from trainapp.reports.drawing.ledger import chosen_rows
from trainapp.reports.drawing.measure import measure_dejavu, shorten, wrap
from trainapp.reports.drawing.model import BenchModel, EndModel, LinkModel, Pressure
from trainapp.reports.drawing.pipes import Plumber, levels, run_height, step_height
from trainapp.reports.drawing.rows import Slider
from trainapp.reports.drawing.staircase import climb, round_ticks
from trainapp.reports.drawing.tokens import PATH
from trainapp.reports.drawing.view import View, layout
from trainapp.train.floor import HANGER, HEADER_LEAST, RUN_LEAST, piped_top
from trainapp.train.routes import route


def view(model: BenchModel, width: float = 1100.0, height: float = 872.0, **options: object) -> View:
    return layout(model, Options(width, height, **options), measure_dejavu)  # type: ignore[arg-type]


# Gauges -----------------------------------------------------------------------------------------------------------------------


def test_a_maximum_stands_at_its_tick() -> None:
    assert gauge.against_maximum(0.05, 0.05) == pytest.approx(0.68)
    assert gauge.against_maximum(0.025, 0.05) == pytest.approx(0.34)
    assert gauge.against_maximum(1e9, 0.05) == 1.0
    assert gauge.against_maximum(0.0, 0.05) == 0.04


def test_a_minimum_stands_at_its_tick_and_the_best_at_the_end() -> None:
    assert gauge.against_minimum(75.0, 75.0, 100.0) == pytest.approx(0.32)
    assert gauge.against_minimum(100.0, 75.0, 100.0) == pytest.approx(1.0)
    assert gauge.against_minimum(0.0, 75.0, 100.0) == 0.04


@given(st.floats(0, 1e6), st.floats(1e-6, 1e6))
def test_a_value_is_past_the_tick_exactly_where_it_is_past_its_limit(value: float, limit: float) -> None:
    place = gauge.against_maximum(value, limit)
    assert 0.04 <= place <= 1.0
    if value > limit * (1 + 1e-9):
        assert place > gauge.MAXIMUM_TICK
    if value < limit * (1 - 1e-9):
        assert place < gauge.MAXIMUM_TICK


def test_a_non_detect_is_an_outline_from_nothing() -> None:
    made = gauge.maximum_gauge(0.0, 0.02, 0.05)
    assert (made.low, made.arrow) == (0.0, False)
    assert made.high == pytest.approx(0.68 * 0.02 / 0.05)
    above = gauge.maximum_gauge(200.0, None, 50.0)
    assert (above.high, above.arrow) == (1.0, True)


# Heights ----------------------------------------------------------------------------------------------------------------------

NEEDS = budget.Needs(rows=12, urgent=3, path=44.0, heads=20.0, bench_most=600.0)


def test_rows_follow_the_window() -> None:
    assert [budget.default_rows(h - 68) for h in (800, 940, 1080)] == [6, 8, 10]


def test_what_leaves_leaves_in_order() -> None:
    seen = [budget.share(height, NEEDS) for height in range(1400, 420, -10)]
    for roomy, tight in zip(seen, seen[1:], strict=False):
        assert bool(tight.speed) <= bool(roomy.speed) and bool(tight.fall) <= bool(roomy.fall)
        assert tight.sizes <= roomy.sizes
    for bands in seen:
        assert not bands.speed or bands.fall
        assert not bands.fall or bands.sizes
        assert bands.rows >= 4
        assert bool(bands.stairs) != bands.pressure_rows


@given(height=st.floats(380, 2400), urgent=st.integers(0, 12))
def test_the_bench_and_urgent_rows_never_give_way(height: float, urgent: int) -> None:
    bands = budget.share(height, replace(NEEDS, urgent=urgent))
    assert bands.bench >= budget.BENCH_LEAST
    assert bands.rows >= urgent
    assert bands.total <= height + 1e-6 or bands.bench == budget.BENCH_LEAST
    assert bands.stairs <= budget.STAIRS_MOST
    assert bands.bench <= NEEDS.bench_most


def test_urgent_rows_come_before_the_order() -> None:
    model = models.three()
    shown = chosen_rows(model, Options(), 2)
    assert {row.key for row in shown} == {"manganese", "ph"}
    assert [row.key for row in chosen_rows(model, Options(rows=("nitrate", "iron")), 4)][:2] == ["nitrate", "iron"]


# Pipes ------------------------------------------------------------------------------------------------------------------------


def laid(model: BenchModel, scale: float = 120.0) -> Plumber:
    way = route([s.id for s in model.stages], model.links, [e.id for e in model.ends])
    at = lay_out(model, way, (), Frame(0.0, 1400.0), scale, scale)
    plumber = Plumber(model, way, at, 500.0, 106.0)
    plumber.lay()
    return plumber


def test_a_plain_row_crosses_nothing() -> None:
    assert gaps(laid(models.row_of_six()).result.runs) == []


def test_each_further_vessel_in_parallel_costs_one_crossing() -> None:
    """It cannot be drawn with fewer: an inlet and an outlet header over n vessels in a row cross n - 1 times."""
    for count in (2, 3, 4):
        model = models.three()
        model = replace(model, stages=tuple(replace(s, count=count if s.id == "iron" else 1) for s in model.stages))
        found = {(round(x, 3), round(y, 3)) for _, (x, y) in gaps(laid(model).result.runs)}
        assert len(found) == count - 1


def test_a_crossed_pipe_is_open_on_both_sides_of_the_other_and_nothing_is_painted() -> None:
    line = ((0.0, 0.0), (40.0, 0.0), (40.0, 30.0))
    assert cut(line, [((20.0, 0.0), 7.0)]) == [((0.0, 0.0), (13.0, 0.0)), ((27.0, 0.0), (40.0, 0.0), (40.0, 30.0))]
    # beside a bend the upright stroke stays whole, and openings that meet are one
    assert cut(line, [((36.0, 0.0), 7.0)])[1] == ((40.0, 0.0), (40.0, 30.0))
    assert cut(line, [((10.0, 0.0), 4.0), ((16.0, 0.0), 4.0)])[1][0] == (20.0, 0.0)
    assert cut(line, [((20.0, 5.0), 7.0)]) == [line]


def test_no_gap_of_a_crossing_is_a_painted_square() -> None:
    shapes = [shape for shape, _ in walk(view(models.unlike_lanes()).display.items) if isinstance(shape, Rect) and shape.fill == "sheet"]
    assert [shape for shape in shapes if abs(shape.w - shape.h) < 1.0] == []


def test_a_tank_too_narrow_for_its_word_has_it_on_its_head() -> None:
    model = models.three()
    iron = next(s for s in model.stages if s.id == "iron")
    narrow = replace(iron, figure=replace(iron.figure, beside=(0.2, 0.3)))
    model = replace(model, stages=tuple(narrow if s.id == "iron" else s for s in model.stages))
    (word,) = [s for s, _ in walk(view(model).display.items) if isinstance(s, Text) and s.text == "feed"]
    tank = next(
        area for s, _ in walk(view(model).display.items) if isinstance(s, Group) and s.tag == ("stage", "iron") for area in s.areas[1:]
    )
    assert word.y < tank.y and abs(word.x - (tank.x + tank.w / 2)) < 0.1


def test_pipes_stay_under_a_low_ceiling_as_far_as_vessels_let_them() -> None:
    for name, make in models.ALL.items():
        model = make()
        top = max(piped_top(stage.figure) for stage in model.stages)
        count = levels(laid(model).route, model)
        for spare in (0.02, 0.2, 0.5, 1.5):
            ceiling = top + RUN_LEAST + HANGER + count * HEADER_LEAST + spare
            low = replace(model, room_height=ceiling)
            run = run_height(low, count)
            assert top + RUN_LEAST - 1e-9 <= run <= run_height(replace(model, room_height=None), count), name
            assert run + count * step_height(low, count) <= ceiling - HANGER + 1e-9, (name, spare)
        assert run_height(replace(model, room_height=top), count) == pytest.approx(top + RUN_LEAST), "never through a vessel"


@pytest.mark.parametrize("scale", [78.0, 90.0, 120.0])
def test_headers_drawn_small_stay_under_the_ceiling(scale: float) -> None:
    """At 24 px to the foot four headers 14 px apart would stand 4 in above a ceiling of 8 ft."""
    lanes = models.unlike_lanes()
    paired = tuple(replace(stage, count=2 if stage.id == "iron1" else 1) for stage in lanes.stages)
    model = replace(lanes, stages=paired, room_height=8 * FOOT)
    plumber = laid(model, scale)
    assert plumber.top_level == 4 and plumber.at.scale == pytest.approx(scale)
    assert plumber.floor - plumber.result.top <= 8 * FOOT * scale and plumber.step >= 9.0
    assert laid(replace(model, room_height=None), scale).step == max(14.0, step_height(replace(model, room_height=None), 0) * scale)


def test_every_link_is_laid_from_outlet_to_inlet() -> None:
    for make in models.ALL.values():
        model = make()
        plumber = laid(model)
        keys = {run.key for run in plumber.result.runs}
        assert keys == {link.key for link in model.links}
        for run in plumber.result.runs:
            steps = zip(run.points, run.points[1:], strict=False)
            assert all(abs(a[0] - b[0]) < 1e-6 or abs(a[1] - b[1]) < 1e-6 for a, b in steps), run.key


def test_pipes_run_above_the_vessels() -> None:
    for make in models.ALL.values():
        model = make()
        plumber = laid(model)
        tops = [s.figure.base + s.figure.height for s in model.stages if s.figure.shape != "inline"]
        assert plumber.result.run <= 500.0 - max(tops) * 120.0


def test_every_end_leaves_the_room() -> None:
    for make in models.ALL.values():
        model = make()
        assert {leaving.end for leaving in laid(model).result.exits} == {end.id for end in model.ends}


# Staircase --------------------------------------------------------------------------------------------------------------------


def test_closed_and_opened_lanes_end_at_one_pressure() -> None:
    model = models.unlike_lanes()
    closed = view(model)
    assert len(closed.lanes) == 3
    ends = []
    for opened in [(), *((lane,) for lane in closed.lanes)]:
        made = climb(model, closed.route, closed.grid, Options(opened=opened), lambda value: value)
        ends.append((made.clean[-1], made.dirty[-1], made.lowest[-1]))
        assert len(made.opens) == (2 if opened else 0)
        assert len(made.thin) == (2 if opened else 0)
        assert len(made.strokes) == (0 if opened else 3)
    assert len(set(ends)) == 1


def test_treads_and_risers_meet_the_pressures_of_the_train() -> None:
    model = models.row_of_six()
    made = view(model)
    steps = climb(model, made.route, made.grid, Options(), lambda value: value)
    pressure = model.pressure
    assert pressure is not None
    for node in made.route.nodes():
        x = made.grid.nodes[node]
        assert (x, pressure.entering[node].clean) in steps.clean
        assert (x, pressure.leaving[node].dirty) in steps.dirty


def test_end_labels_keep_apart_and_in_order() -> None:
    model = models.row_of_six()
    pressure = model.pressure
    assert pressure is not None
    close = {**pressure.entering, "house": Pressure(30.4, 30.2, 30.1)}
    made = view(replace(model, pressure=replace(pressure, entering=close)))
    labels = [
        s for s, _ in walk(made.display.items) if isinstance(s, Text) and s.text.split(" ")[-1] in ("clean", "wanted", "dirty", "cut-in")
    ]
    labels = sorted((s for s in labels if s.x > made.grid.end), key=lambda s: s.y)
    assert [s.text.split(" ")[1] for s in labels] == ["clean", "dirty", "cut-in", "wanted"]
    assert all(b.y - a.y >= 14.0 - 1e-6 for a, b in zip(labels, labels[1:], strict=False))


def test_ticks_are_round_and_reach_the_top() -> None:
    assert round_ticks(52.0) == [0.0, 20.0, 40.0, 60.0]
    assert round_ticks(3.6)[0] == 0.0 and len(round_ticks(3.6)) in (3, 4)


@given(st.floats(0.01, 1e4))
def test_three_or_four_ticks_for_any_pressure(most: float) -> None:
    ticks = round_ticks(most)
    assert 3 <= len(ticks) <= 4 and ticks[-1] >= most * (1 - 1e-9) and ticks[-1] <= 2.0 * most
    assert {round(b - a, 9) for a, b in zip(ticks, ticks[1:], strict=False)} == {round(ticks[1], 9)}


def test_more_than_two_outlets_keep_their_dots_and_lose_their_names() -> None:
    model = models.six()
    more = [("yard", "yard", "yard, raw"), ("barn", "barn", "barn, raw")]
    ends = (*model.ends, *(replace(model.ends[1], id=i, name=n, label=text) for i, n, text in more))
    links = (*model.links, *(LinkModel("supply", i, 1e-5, diameter=0.028) for i, _, _ in more))
    pressure = model.pressure
    assert pressure is not None
    entering = {**pressure.entering, "yard": pressure.entering["garden"], "barn": pressure.entering["garden"]}
    made = view(replace(model, ends=ends, links=links, pressure=replace(pressure, entering=entering)))
    group = made.display.find(("staircase",))
    assert group is not None
    assert not [s for s in group.items if isinstance(s, Text)]
    assert len([s for s in group.items if isinstance(s, Circle) and s.fill == "sheet"]) == 3


# Slider -----------------------------------------------------------------------------------------------------------------------


@given(st.floats(0.2, 18.0))
def test_slider_goes_both_ways(flow: float) -> None:
    slider = Slider(136.0, 780.0, 700.0, 0.2, 18.0, ())
    assert slider.flow(slider.x(flow)) == pytest.approx(flow)


def test_slider_snaps_to_named_flows_and_stays_on_its_track() -> None:
    slider = Slider(100.0, 300.0, 0.0, 0.0, 20.0, (9.0,))
    assert slider.flow(slider.x(9.0) + 5.0) == 9.0
    assert slider.flow(slider.x(9.0) + 7.0) != 9.0
    assert (slider.flow(-50.0), slider.flow(900.0)) == (0.0, 20.0)


# Any train --------------------------------------------------------------------------------------------------------------------


@given(st.data())
def test_any_links_can_be_drawn(data: st.DataObject) -> None:
    """Whatever an editor passes through on the way: loose stages, bridges, missing pressures."""
    base = models.row_of_six()
    order = ["supply", *(s.id for s in base.stages), "garden", "house"]
    pairs = [(a, b) for i, a in enumerate(order) for b in order[i + 1 :] if a not in ("house", "garden")]
    chosen = data.draw(st.lists(st.sampled_from(pairs), unique=True, max_size=14))
    links = tuple(LinkModel(a, b, data.draw(st.sampled_from([0.0, 3e-4]))) for a, b in chosen)
    ends = (*base.ends, replace(base.ends[0], id="garden", name="garden", label="garden, raw"))
    pressure = base.pressure
    assert pressure is not None
    known = data.draw(st.sets(st.sampled_from(order)))
    kept = {node: p for node, p in pressure.entering.items() if node in known}
    left = {node: p for node, p in pressure.leaving.items() if node in known | {"supply"}}
    model = replace(base, links=links, ends=ends, pressure=replace(pressure, entering=kept, leaving=left))
    made = view(model)
    assert {stage.id for stage in model.stages} <= {g.tag[1] for g in made.display.groups() if g.tag[0] == "stage"}


# Texts ------------------------------------------------------------------------------------------------------------------------


@given(st.text(st.characters(codec="latin-1", categories=("L", "N", "P", "Zs")), max_size=40), st.floats(1, 300))
def test_shortened_texts_fit(text: str, width: float) -> None:
    assert measure_dejavu(shorten(text, width, 12.0, False, measure_dejavu), 12.0, False) <= width


def test_wrapping_keeps_every_word() -> None:
    text = "A calculation never certifies that water is safe"
    lines = wrap(text, 120.0, 11.0, False, measure_dejavu)
    assert " ".join(lines) == text and len(lines) > 1
    assert all(measure_dejavu(line, 11.0, False) <= 120.0 for line in lines)


def test_measure_agrees_with_matplotlib() -> None:
    """Widths against matplotlib's own layout of the same font, which kerns: within 3 %."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    for bold in (False, True):
        for text in ("Sediment cartridge", "0.06 mg/L", "to the house"):
            box = TextPath(
                (0, 0), text, size=100, prop=FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")
            ).get_extents()
            assert measure_dejavu(text, 100.0, bold) == pytest.approx(box.x1 - box.x0, rel=0.03)


# Path line --------------------------------------------------------------------------------------------------------------------


def many_ways_out() -> BenchModel:
    """Two outlets at the well, one behind each of the first two stages, then unlike lanes."""
    model = models.unlike_lanes()
    names = ("barn trough", "greenhouse and yard", "spa")
    ends = [EndModel(name, name, f"{name}, not for drinking") for name in names]
    links = [LinkModel("supply", names[0], 2.0), LinkModel("supply", names[1], 3.0), LinkModel("screen", names[2], 1.0)]
    return replace(model, ends=(*model.ends, *ends), links=(*model.links, *links))


@pytest.mark.parametrize("width", [700.0, 956.0, 1400.0])
def test_no_text_of_the_path_line_lies_on_a_line(width: float) -> None:
    """Slanted strokes included: each is looked at point by point."""
    for name, model in {**{name: make() for name, make in models.ALL.items()}, "many": many_ways_out()}.items():
        made = layout(model, Options(width, 900.0), measure_dejavu)
        labels = [s for s in made.layer("bands").shapes if isinstance(s, Group) and s.whole is not None and s.tag[:1] in ((), ("end",))]
        texts = [(text.text, text.box(measure_dejavu).grown(-1.0)) for text, _ in walk([*labels]) if isinstance(text, Text)]
        lines = [shape for shape, _ in walk(made.layer("bands").shapes) if isinstance(shape, Polyline) and shape.width == PATH]
        points = [
            (x1 + (x2 - x1) * t / 40, y1 + (y2 - y1) * t / 40)
            for line in lines
            for (x1, y1), (x2, y2) in zip(line.points, line.points[1:], strict=False)
            for t in range(41)
        ]
        assert points and texts and not [(name, text) for text, box in texts for x, y in points if box.holds(x, y)]


def test_every_way_out_is_named_where_there_is_room() -> None:
    made = layout(many_ways_out(), Options(1400.0, 1012.0), measure_dejavu)
    named = {shape.tag[1] for shape, _ in walk(made.layer("bands").shapes) if isinstance(shape, Group) and shape.tag[:1] == ("end",)}
    assert {"garden", "barn trough", "greenhouse and yard", "spa"} <= named


@pytest.mark.parametrize("node", ["bypass", "control"])
def test_the_name_of_a_device_in_the_pipe_clears_its_selection(node: str) -> None:
    model = models.bypass() if node == "bypass" else models.twelve()
    made = layout(model, Options(1700.0, 1000.0, selected=("stage", node)), measure_dejavu)
    shapes = [shape for shape, _ in walk(made.display.items)]
    handles = [Box(s.x, s.y, s.w, s.h).grown(1.0) for s in shapes if isinstance(s, Rect) and (s.w, s.h, s.stroke) == (6, 6, "accent")]
    title = next(stage.title for stage in model.stages if stage.id == node)
    names = [s for s in shapes if isinstance(s, Text) and s.text and s.text in title and s.token == "ink2"]
    assert len(handles) == 4 and names
    assert not any(name.box(measure_dejavu).meets(handle, 0.0) for name in names for handle in handles)
