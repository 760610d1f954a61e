"""The bench view keeps itself clean: no text meets another, a line or the edge, whatever train it shows and however large it is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reports import drawing_models as models
from tests.reports.drawing_checks import crossings, meetings, outside, text_boxes
from trainapp.reports.drawing.display import Box, Display, Group, Line, Rect, Text, walk
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.gauge import maximum_gauge
from trainapp.reports.drawing.layers import Pan
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.model import HOUSE, BenchModel, Cell, Row
from trainapp.reports.drawing.tags import by_spot
from trainapp.reports.drawing.view import View, layout

#: The view inside a window of 1280 x 800 and of 1920 x 1080.
SMALL, LARGE = (956.0, 732.0), (1400.0, 1012.0)


def view(model: BenchModel, size: tuple[float, float], **options: object) -> View:
    return layout(model, Options(*size, **options), measure_dejavu)  # type: ignore[arg-type]


def assert_clean(made: View) -> None:
    assert meetings(made.display, measure_dejavu) == []
    assert crossings(made.display, measure_dejavu) == []
    assert outside(made.display, measure_dejavu) == []


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["small", "large"])
@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("name", list(models.ALL))
def test_texts_are_clear(name: str, system: str, size: tuple[float, float]) -> None:
    assert_clean(view(models.ALL[name](system), size))


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["small", "large"])
@pytest.mark.parametrize("name", list(models.ALL))
def test_the_longest_names_give_way(name: str, size: tuple[float, float]) -> None:
    assert_clean(view(models.long_names(models.ALL[name]()), size))


@pytest.mark.parametrize("name", list(models.ALL))
def test_twice_the_text_size(name: str) -> None:
    """At 200 % the same window is laid out as one of half its size."""
    assert_clean(view(models.ALL[name](), (LARGE[0] / 2, LARGE[1] / 2)))


@pytest.mark.parametrize(
    "selected", [("stage", "uv"), ("stage", "iron"), ("link", "iron", "softener1"), ("cell", "iron", "iron"), ("supply",)]
)
def test_selection_is_drawn_and_covers_no_text(selected: tuple[str, ...]) -> None:
    plain, made = view(models.six(), LARGE), view(models.six(), LARGE, selected=selected)
    assert "accent" in {token for shape in _shapes(made) for token in _tokens(shape)}
    assert len(text_boxes(made.display, measure_dejavu)) >= len(text_boxes(plain.display, measure_dejavu))
    assert meetings(made.display, measure_dejavu) == []


@given(width=st.floats(640, 2400), height=st.floats(420, 1600), name=st.sampled_from(list(models.ALL)))
def test_any_window(width: float, height: float, name: str) -> None:
    assert_clean(view(models.ALL[name](), (width, height)))


def test_the_checks_of_this_module_can_fail() -> None:
    """A text over another, over a line and over the edge is seen; a ground of its own hides the line."""
    over, line = Text(10, 20, "first"), Line(0, 16, 100, 16, "ink")
    assert meetings(Display(100, 40, [over, Text(14, 22, "second")]), measure_dejavu) == [("first", "second")]
    assert crossings(Display(100, 40, [line, over]), measure_dejavu) == ["first"]
    assert crossings(Display(100, 40, [over, line]), measure_dejavu) == ["first"]
    assert crossings(Display(100, 40, [line, Rect(5, 5, 60, 20, "sheet"), over]), measure_dejavu) == []
    assert outside(Display(30, 40, [over]), measure_dejavu) == ["first"]
    assert outside(Display(100, 40, [Group([Text(90, 20, "first")], clip=Box(0, 0, 95, 40))]), measure_dejavu) == []


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["small", "large"])
def test_a_person_stands_on_every_floor_and_no_capsule_is_lost(size: tuple[float, float]) -> None:
    for name, make in models.ALL.items():
        model = make()
        made = view(model, size)
        person = made.find(("person",))
        assert person is not None, name
        shown = {group.tag[1] for group in made.layer("bench").groups.values() if group.tag[0] == "finding"}
        told = {spot for finding in model.findings if finding.severity != "note" for spot in finding.spots}
        assert len(shown) == len({worst_at(model, spot) for spot in told}), name


def test_names_are_pushed_aside_before_they_are_shortened() -> None:
    """Two names that nearly clear each other keep all their letters; none is pushed farther than 10 px from under its vessel."""
    aside: list[float] = []
    for make in models.ALL.values():
        for size in (SMALL, LARGE):
            made = view(make(), size)
            for tag, group in made.layer("names").groups.items():
                texts = [shape for shape in group.items if isinstance(shape, Text)]
                if tag[0] == "stage" and texts:
                    units = made.spread.units[str(tag[1])]
                    aside += [abs(text.x - (units[0] + units[-1]) / 2) for text in texts]
    assert max(aside) <= 10.0 and any(shift > 0.5 for shift in aside)


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["small", "large"])
@pytest.mark.parametrize("name", list(models.ALL))
def test_a_name_is_whole_or_its_number_alone(name: str, size: tuple[float, float]) -> None:
    """Only a name of more than 24 letters ends in dots; and no number stands alone where its name on two lines would be clear."""
    model = models.ALL[name]()
    made = view(model, size)
    labels = {
        g.tag[1]: [s for s, _ in walk(g.items) if isinstance(s, Text)] for g in made.layer("names").groups.values() if g.tag[0] == "stage"
    }
    for stage in model.stages:
        said = " ".join(text.text for text in labels.get(stage.id, ()) if text.bold)
        assert said in ("", stage.number, stage.title), said
    boxes = {node: [text.box(measure_dejavu) for text in texts] for node, texts in labels.items()}
    for stage in model.stages:
        texts = labels.get(stage.id, [])
        if [text.text for text in texts] == [stage.number] and made.bands.sizes:
            half = measure_dejavu(stage.title, texts[0].size, True) / 2 + 8.0
            x = boxes[stage.id][0].x + boxes[stage.id][0].w / 2
            near = [box for node, others in boxes.items() if node != stage.id for box in others]
            assert any(x - half < box.right and box.x < x + half for box in [*near, *supply_boxes(made)]), stage.title


def supply_boxes(made: View) -> list[Box]:
    group = made.layer("names").groups[("supply",)]
    return [shape.box(measure_dejavu) for shape, _ in walk(group.items) if isinstance(shape, Text)]


def test_the_opened_finding_is_outlined_on_the_bench() -> None:
    model = models.six()
    for finding in (f for f in model.findings if f.spots):
        made = view(model, LARGE, finding=finding.number)
        group = made.find(("finding", finding.number))
        assert group is not None and any(isinstance(shape, Rect) and shape.stroke == "accent" for shape in group.items)
        others = [g for g in made.layer("bench").groups.values() if g.tag[0] == "finding" and g.tag[1] != finding.number]
        assert not any(isinstance(shape, Rect) and shape.stroke == "accent" for g in others for shape in g.items)
        assert_clean(made)


def worst_at(model: BenchModel, spot: tuple[str, ...]) -> int:
    return by_spot([f for f in model.findings if f.severity != "note"])[spot][0].number


def test_columns_stand_under_their_vessels() -> None:
    for name, make in models.ALL.items():
        for size in (SMALL, LARGE):
            made = view(make(), size)
            for column in made.columns:
                if column.key == HOUSE:
                    continue
                middle = sum(made.spread.centres[node] for node in column.nodes) / len(column.nodes)
                joined = all(node in made.grid.leaders for node in column.nodes)
                assert abs(made.grid.columns[column.key] - middle) <= 8.0 or joined, (name, column.key)


def test_one_tier_and_its_pitch_a_ledger() -> None:
    least = {"full": 124.0, "medium": 72.0, "compact": 56.0}
    for make in models.ALL.values():
        for size in (SMALL, LARGE):
            made = view(make(), size)
            xs = list(made.grid.columns.values())
            assert all(b - a >= least[made.grid.tier] - 1e-6 for a, b in zip(xs, xs[1:], strict=False))


def test_small_trains_are_full_and_large_ones_compact() -> None:
    assert view(models.three(), SMALL).grid.tier == "full"
    assert view(models.twelve(), SMALL).grid.tier == "compact"
    assert view(models.twelve(), LARGE).grid.tier == "medium"


def test_three_stages_are_not_stretched() -> None:
    made = view(models.three(), (2400.0, 1012.0))
    xs = list(made.grid.columns.values())
    assert max(b - a for a, b in zip(xs, xs[1:], strict=False)) <= 160.0 + 1e-6
    assert made.content[0] == 2400.0
    assert made.grid.end < 1200.0


def test_a_wide_train_scrolls_between_heads_and_words() -> None:
    plain = view(models.twelve(), (700.0, 732.0))
    assert plain.content[0] > 700.0
    moved = view(models.twelve(), (700.0, 732.0), pan_x=120.0)
    cells = [made.display.find(("cell", "iron", "calcite")) for made in (plain, moved)]
    assert cells[0] is not None and cells[1] is not None
    assert cells[0].areas[0].x - cells[1].areas[0].x == pytest.approx(120.0)
    assert plain.panned(Pan(120.0)).display == moved.display
    heads = [
        {t.text: t.x for t, _ in text_boxes(v.display, measure_dejavu) if t.text in ("Water", "Flow", "Pressure")} for v in (plain, moved)
    ]
    assert heads[0] == heads[1]
    assert_clean(moved)


def test_no_number_is_seen_in_part() -> None:
    """Where the heads, the words or the side of the view would cut a cell, a head, a name or a figure, all of it is hidden."""
    seen: set[tuple[str, int]] = set()
    for pan in range(0, 600, 7):
        made = view(models.twelve(), (700.0, 732.0), pan_x=float(pan))
        for shape, clip in walk(made.display.items):
            if isinstance(shape, Text) and clip is not None:
                box = shape.box(measure_dejavu)
                assert clip.x - 1.0 <= box.x and box.right <= clip.right + 1.0 or not box.meets(clip), (pan, shape.text)
        whole = {group.tag[2] for group in made.display.groups() if group.tag[0] == "cell"}
        seen |= {(str(node), len(whole)) for node in whole}
    assert {node for node, _ in seen} == set(made.grid.columns), "each is seen somewhere on the way"


def test_intervals_of_a_row_have_one_form_in_every_tier() -> None:
    """Both ends on one line where all of the row have room, else the adverse end with its sign; never smaller than a caption."""
    model = models.twelve()
    cell = Cell(("0.18–2.38", "…2.38"), "≤0.3", "unknown", gauge=maximum_gauge(0.18, 2.38, 0.3))
    rows = tuple(replace(row, cells={node: cell for node in row.cells}) if row.key == "iron" else row for row in model.rows)
    tiers = {}
    for size, over in ((SMALL, "unknown"), (LARGE, "over"), ((2600.0, 1012.0), "unknown"), ((2600.0, 1012.0), "over")):
        made = view(replace(model, rows=tuple(_with_status(row, over) for row in rows)), size)
        texts = set()
        for column in made.columns:
            group = made.layer("bands").groups["cell", "iron", column.key]
            words = [shape for shape, _ in walk(group.items) if isinstance(shape, Text)]
            assert min(word.size for word in words) >= 11.0
            texts.add(words[0].text)
            assert made.grid.tier == "compact" or any(isinstance(shape, Line) for shape, _ in walk(group.items)), "the gauge stays"
        assert len(texts) == 1 and texts <= set(cell.values)
        tiers[made.grid.tier, over] = texts.pop()
        assert_clean(made)
    assert {tier for tier, _ in tiers} == {"full", "medium", "compact"}
    assert tiers["full", "unknown"] == "0.18–2.38" and tiers["compact", "unknown"] == "…2.38"


def _with_status(row: Row, status: str) -> Row:
    if row.key != "iron":
        return row
    return replace(row, cells={node: replace(cell, status=status) for node, cell in row.cells.items()})


def test_a_low_window_scrolls_the_bands_under_the_bench() -> None:
    plain = view(models.six(), (976.0, 430.0))
    assert plain.bands.bench == pytest.approx(220.0)
    assert plain.content[1] > 430.0
    scrolled = view(models.six(), (976.0, 430.0), scroll=1000.0)
    words = {t.text for t, _ in text_boxes(scrolled.display, measure_dejavu)}
    assert "Try a flow" in words and "Flow" not in words
    assert {"Well", "3a Softener"} <= words


def test_the_whole_view_ends_inside_its_height() -> None:
    for make in models.ALL.values():
        for size in (SMALL, LARGE):
            assert view(make(), size).content[1] <= size[1] + 0.5


def test_zoom_keeps_bench_and_bands_together() -> None:
    made = view(models.six(), LARGE, zoom=1.5)
    for column in made.columns:
        if column.key != HOUSE:
            middle = sum(made.spread.centres[node] for node in column.nodes) / len(column.nodes)
            assert abs(made.grid.columns[column.key] - middle) <= 8.0 or column.nodes[0] in made.grid.leaders


def test_bench_is_to_one_scale() -> None:
    """A tank of 60 in stands 60 in high and 13 in wide on the drawing, within a pixel."""
    made = view(models.three(), LARGE)
    group = made.display.find(("stage", "iron"))
    assert group is not None
    scale = made.spread.scale
    assert group.areas[0].h == pytest.approx(60 * 0.0254 * scale, abs=1.0)
    assert group.areas[0].w == pytest.approx(13 * 0.0254 * scale, abs=1.0)
    assert 24.0 <= scale * 0.3048 <= 60.0 + 1e-9


def test_every_finding_with_a_place_has_a_capsule() -> None:
    for name, make in models.ALL.items():
        model = make()
        made = view(model, LARGE)
        for finding in model.findings:
            if finding.spots and finding.severity != "note":
                assert made.display.find(("finding", finding.number)) is not None, (name, finding.number)


def test_every_stage_can_be_hit_where_it_is_drawn() -> None:
    for make in models.ALL.values():
        model = make()
        made = view(model, LARGE)
        for stage in model.stages:
            group = made.display.find(("stage", stage.id))
            assert group is not None and group.areas
            area = group.areas[0]
            hit = made.display.at(area.x + area.w / 2, area.bottom - 4)
            assert hit is not None and hit.tag in {("stage", stage.id), *(("finding", f.number) for f in model.findings)}


def test_every_cell_link_and_handle_can_be_hit() -> None:
    model = models.six()
    made = view(model, LARGE)
    tags = {group.tag for group in made.display.groups() if group.areas}
    assert {("link", link.source, link.target) for link in model.links} <= tags
    assert {("cell", "iron", column.key) for column in made.columns} <= tags
    assert {("handle", "flow"), ("track", "flow"), ("choose-rows",), ("supply",), ("end", "garden"), ("end", HOUSE)} <= tags
    for tag in [("cell", "iron", "uv"), ("handle", "flow")]:
        group = made.display.find(tag)
        assert group is not None and group.name
        area = group.areas[0]
        assert min(area.w, area.h) >= 22.0
        hit = made.display.at(area.x + area.w / 2, area.y + area.h / 2)
        assert hit is not None and hit.tag == tag


def test_layout_is_repeatable() -> None:
    assert view(models.six(), SMALL).display == view(models.six(), SMALL).display


def test_a_stage_out_of_flow_order_gets_even_bands_and_an_offer() -> None:
    from dataclasses import replace

    model = models.row_of_six()
    xs = [1.5, 5.0, 2.6, 3.8, 4.6, 5.8]
    model = replace(model, stages=tuple(replace(s, x=x) for s, x in zip(model.stages, xs, strict=True)))
    made = view(model, (1100.0, 872.0))
    assert not made.spread.tidy
    columns = list(made.grid.columns.values())
    steps = [b - a for a, b in zip(columns, columns[1:], strict=False)]
    assert max(steps) - min(steps) < 1e-6
    assert made.display.find(("tidy",)) is not None
    assert made.metres(made.spread.centres["iron"]) == pytest.approx(5.0)
    assert meetings(made.display, measure_dejavu) == []


def test_a_bench_without_numbers_still_stands() -> None:
    from dataclasses import replace

    bare = replace(models.three(), columns=(), rows=(), pressure=None, try_flow=None, findings=())
    made = view(bare, SMALL)
    assert_clean(made)
    assert made.slider is None
    empty = replace(bare, stages=(), links=())
    assert_clean(view(empty, SMALL))
    assert_clean(view(replace(bare, links=()), SMALL))


def _shapes(made: View) -> list[object]:
    from trainapp.reports.drawing.display import walk

    return [shape for shape, _ in walk(made.display.items) if not isinstance(shape, Group)]


def _tokens(shape: object) -> set[str]:
    return {str(getattr(shape, name)) for name in ("token", "stroke", "fill") if getattr(shape, name, "")}
