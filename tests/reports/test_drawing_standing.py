"""A floor that its user arranged: metres are metres, what has no place finds one, dimensions are told, panning moves all of it as one."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reports import drawing_models as models
from tests.reports.drawing_checks import meetings, outside, text_boxes
from trainapp.reports.drawing.dimensions import length_text
from trainapp.reports.drawing.display import Circle, Line, Path, Rect, Shape, walk
from trainapp.reports.drawing.frame import FOOT, Options
from trainapp.reports.drawing.layers import Pan
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.standing import floor_places
from trainapp.reports.drawing.view import View, layout
from trainapp.train.floor import reach
from trainapp.train.routes import route

SIZE = (1100.0, 872.0)


def placed(model: BenchModel, width: float | None = 20.0, **feet: float) -> BenchModel:
    """A bench whose stages stand where they are named, in feet."""
    stages = tuple(replace(s, x=feet[s.id] * FOOT if s.id in feet else None) for s in model.stages)
    return replace(model, stages=stages, room_width=width * FOOT if width else None)


def view(model: BenchModel, size: tuple[float, float] = SIZE, **options: object) -> View:
    return layout(model, Options(*size, **options), measure_dejavu)  # type: ignore[arg-type]


def places(model: BenchModel) -> dict[str, float]:
    return floor_places(model, route([s.id for s in model.stages], model.links, [e.id for e in model.ends]))


def words(made: View) -> set[str]:
    return {text.text for text, _ in text_boxes(made.display, measure_dejavu)}


ROW = {"screen": 3.0, "iron": 5.0, "softener": 8.0, "carbon": 11.5, "fine": 14.0, "uv": 16.0}


def test_everything_stands_where_it_was_placed() -> None:
    made = view(placed(models.row_of_six(), **ROW))
    for node, feet in ROW.items():
        assert made.metres(made.spread.centres[node]) == pytest.approx(feet * FOOT)
    area = made.find(("stage", "iron"))
    assert area is not None
    assert made.metres(area.areas[0].x + area.areas[0].w / 2) == pytest.approx(5.0 * FOOT, abs=0.01)


def test_the_wall_stands_at_the_width_of_the_room() -> None:
    model = placed(models.row_of_six(), 18.0, **ROW)
    made = view(model)
    wall = made.wall + 18.0 * FOOT * made.spread.scale
    uprights = {s.x1 for s, _ in walk(made.layer("bench").shapes) if isinstance(s, Line) and s.x1 == s.x2 and s.y2 == made.floor}
    assert any(abs(x - wall) < 0.5 for x in uprights)
    assert "18\u202fft" in words(made) or any("18 ft wide" in word for word in words(made))


def test_in_a_full_room_the_person_stands_beside_it() -> None:
    """No gap of a room of 11 ft is wide enough: then scale is told by a person outside, who still stands on something."""
    full = {"screen": 3.0, "iron": 4.2, "softener": 5.6, "carbon": 8.2, "fine": 9.4, "uv": 10.3}
    made = view(placed(models.row_of_six(), 11.0, **full))
    person = made.find(("person",))
    assert person is not None
    left = min(x for shape, _ in walk(person.items) for x in _xs(shape))
    wall = made.wall + 11.0 * FOOT * made.spread.scale
    assert left > wall
    lines = [s for s in made.layer("bench").shapes if isinstance(s, Line) and s.y1 == s.y2 == made.floor]
    assert any(line.x1 <= left <= line.x2 for line in lines)


def _xs(shape: Shape) -> list[float]:
    if isinstance(shape, Rect | Circle):
        return [shape.x - (shape.r if isinstance(shape, Circle) else 0.0)]
    return [float(part[1]) for part in shape.commands if len(part) > 1] if isinstance(shape, Path) else []


def test_what_has_no_place_goes_behind_what_feeds_it() -> None:
    at = places(placed(models.row_of_six(), iron=5.0, uv=16.0))
    assert at["screen"] < at["iron"] < at["softener"] < at["carbon"] < at["fine"]
    model = {stage.id: stage for stage in models.row_of_six().stages}
    spans = sorted((at[n] - reach(s.figure, s.count)[0], at[n] + reach(s.figure, s.count)[1]) for n, s in model.items())
    assert all(right <= left + 1e-9 for (_, right), (left, _) in zip(spans, spans[1:], strict=False))


def test_devices_hang_between_their_neighbours() -> None:
    at = places(placed(models.six(), iron=4.0, softener1=6.0, softener2=9.0, uv=13.0))
    assert 9.0 * FOOT < at["control"] < 13.0 * FOOT
    at = places(placed(models.bypass(), softener=6.0, uv=10.0))
    assert at["screen"] < at["bypass"] < at["uv"]


def test_a_floor_with_no_place_is_the_programs() -> None:
    assert places(models.row_of_six()) == {}
    assert places(replace(models.three(), supply=replace(models.three().supply, x=1.0)))["supply"] == 1.0


@given(
    feet=st.lists(st.floats(1.5, 19.0), min_size=6, max_size=6),
    name=st.sampled_from(["row of six", "six", "unlike lanes"]),
    selected=st.sampled_from(["iron", "uv", "softener"]),
)
def test_any_arrangement_is_drawn(feet: list[float], name: str, selected: str) -> None:
    """No text meets another and nothing fails, whatever stands on whatever."""
    model = models.ALL[name]()
    where = {stage.id: x for stage, x in zip(model.stages, feet, strict=False) if stage.figure.shape != "inline"}
    made = view(placed(model, **where), selected=("stage", selected), clearances=True)
    assert meetings(made.display, measure_dejavu) == []
    assert outside(made.display, measure_dejavu) == []


def test_a_selected_stage_tells_how_far_its_neighbours_are() -> None:
    made = view(placed(models.row_of_six(), **ROW), selected=("stage", "iron"))
    left, right = made.find(("stage", "iron")), made.find(("stage", "softener"))
    assert left is not None and right is not None
    gap = length_text((right.areas[0].x - left.areas[0].right) / made.spread.scale, "us")
    assert gap in words(made)
    assert gap not in words(view(placed(models.row_of_six(), **ROW)))


@pytest.mark.parametrize(
    ("metres", "system", "text"),
    [
        (0.2286, "us", "9\u202fin"),
        (1.27, "us", "4\u202fft 2\u202fin"),
        (3.6576, "us", "12\u202fft"),
        (0.35, "metric", "35\u202fcm"),
        (1.25, "metric", "1.25\u202fm"),
    ],
)
def test_lengths_read_as_off_a_rule(metres: float, system: str, text: str) -> None:
    assert length_text(metres, system) == text


def test_free_places_for_service_are_drawn_where_asked_for() -> None:
    def dashed(made: View) -> int:
        return sum(isinstance(shape, Rect) and bool(shape.dash) and shape.h > 10 for shape, _ in walk(made.layer("bench").shapes))

    plain = view(models.row_of_six())
    assert dashed(view(models.row_of_six(), clearances=True)) > dashed(plain)
    # A housing wants room below it for its cartridge.
    assert dashed(view(models.row_of_six(), selected=("stage", "fine"))) == dashed(plain) + 1


def test_several_are_outlined() -> None:
    one = view(models.row_of_six(), selected=("stage", "iron"))
    two = view(models.row_of_six(), selected=("stage", "iron"), also=(("stage", "uv"),))
    outlines = [sum(isinstance(s, Rect) and s.stroke == "accent" and s.corner == 5.0 for s, _ in walk(v.display.items)) for v in (one, two)]
    assert outlines == [1, 2]


# Pan and zoom -----------------------------------------------------------------------------------------------------------------


@given(
    zoom=st.floats(0.3, 8.0), x=st.floats(0, 4000), y=st.floats(0, 900), scroll=st.floats(0, 300), name=st.sampled_from(list(models.ALL))
)  # fmt: skip
def test_bench_and_bands_stay_together_however_it_is_moved(zoom: float, x: float, y: float, scroll: float, name: str) -> None:
    """A cell is seen under its vessel, or a leader joins the two; parallel branches too."""
    made = view(models.ALL[name](), (960.0, 560.0), zoom=zoom, pan_x=x, pan_y=y, scroll=scroll)
    row = next(str(tag[1]) for tag in made.layer("bands").groups if tag[0] == "cell")
    for column in made.columns:
        cell, vessel = made.display.find(("cell", row, column.key)), column.nodes[0]
        if cell is None or column.key == "house":
            continue
        middle = sum(made.spread.centres[node] for node in column.nodes) / len(column.nodes) - made.pan.x
        seen = cell.areas[0].x + cell.areas[0].w / 2
        assert abs(seen - middle) <= 8.0 + 0.51 or vessel in made.grid.leaders
    assert meetings(made.display, measure_dejavu) == []


def test_a_panned_view_is_the_same_drawing_moved() -> None:
    made = view(models.twelve(), (700.0, 430.0), zoom=2.0)
    pan = Pan(300.0, 80.0, 40.0)
    again = view(models.twelve(), (700.0, 430.0), zoom=2.0, pan_x=300.0, pan_y=80.0, scroll=40.0)
    assert made.panned(pan).display == again.display
    assert made.panned(Pan(1e9, 1e9, 1e9)).pan == made.most
    assert made.panned(Pan(-5.0, -5.0, -5.0)).pan == Pan()


def test_what_is_hit_is_what_is_seen() -> None:
    made = view(models.six(), (700.0, 560.0), zoom=2.0, pan_x=260.0, pan_y=60.0)
    hits = 0
    for group in made.display.groups():
        for area in group.areas:
            x, y = area.x + area.w / 2, area.y + area.h / 2
            seen, hit = made.display.at(x, y), made.at(x, y)
            assert (seen.tag if seen else None) == (hit.tag if hit else None)
            hits += hit is not None
    assert hits > 10


def test_a_layer_is_cut_where_it_leaves_its_room() -> None:
    made = view(models.six(), (700.0, 560.0), zoom=3.0, pan_y=1e9)
    clip = made.layer("bench").clip
    assert clip is not None and made.pan.y == made.most.y > 0
    # The floor has moved down behind the bands: what stands there is neither seen nor hit.
    tank = made.find(("stage", "iron"))
    assert tank is not None
    x, y = tank.areas[0].x + 4.0 - made.pan.x, tank.areas[0].bottom - 4.0 + made.pan.y
    assert y > clip.bottom
    hit = made.at(x, y)
    assert hit is None or hit.tag != ("stage", "iron")
