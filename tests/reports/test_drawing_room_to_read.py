"""The ledger uses the room there is: a nudge takes no limits away, a long train opens whole, the rows that are worked on stay."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.reports import drawing_models as models
from tests.reports.drawing_checks import meetings, outside
from trainapp.checks import findings
from trainapp.reports.drawing.builder import bench_model
from trainapp.reports.drawing.display import Box, Group, Line, Rect, Shape, Text, walk
from trainapp.reports.drawing.frame import Options
from trainapp.reports.drawing.ledger import chosen_rows
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.model import BenchModel, FindingModel
from trainapp.reports.drawing.page import page
from trainapp.reports.drawing.view import View, layout
from trainapp.train.document import Document, load
from trainapp.train.edits import AddStage, plan_edit
from trainapp.train.evaluate import evaluate
from trainapp.train.patch import apply
from trainapp.train.plan import open_plan

#: The bench inside a window of 1280 x 800 and of 1920 x 1080.
SMALL, LARGE = (956.0, 700.0), (1400.0, 984.0)


def view(model: BenchModel, size: tuple[float, float], **options: object) -> View:
    return layout(model, Options(*size, headline=False, **options), measure_dejavu)  # type: ignore[arg-type]


def as_placed(model: BenchModel, made: View, moved: dict[str, float]) -> BenchModel:
    """The same bench with everything where it stands, as places of its own; `moved` are metres to the right."""
    stages = tuple(replace(s, x=made.metres(made.spread.centres[s.id]) + moved.get(s.id, 0.0)) for s in model.stages)
    return replace(model, stages=stages, supply=replace(model.supply, x=made.metres(made.spread.centres["supply"])))


def test_a_nudge_leaves_limits_house_and_person() -> None:
    model = models.row_of_six()
    before = view(model, LARGE)
    after = view(as_placed(model, before, dict.fromkeys(("softener", "carbon", "fine", "uv"), -0.05)), LARGE)
    assert before.grid.tier == after.grid.tier == "full"
    assert after.grid.columns["house"] == pytest.approx(before.grid.columns["house"], abs=40.0)
    assert after.spread.end == pytest.approx(after.grid.end)
    assert after.display.find(("person",)) is not None and before.display.find(("person",)) is not None


def test_two_that_stand_close_take_nothing_from_the_others() -> None:
    """Columns spread into the free width, each joined to its vessel where it had to move."""
    model = models.three()
    made = view(as_placed(model, view(model, LARGE), {"iron": -0.6}), LARGE)
    xs = list(made.grid.columns.values())
    assert made.grid.tier == "full"
    assert all(b - a >= 124.0 - 1e-6 for a, b in zip(xs, xs[1:], strict=False))
    assert {"screen", "iron"} <= set(made.grid.leaders)


def test_twelve_stages_open_whole_in_a_small_window() -> None:
    """What is seen first is what Fit gives, and its numbers can be read; only a longer train scrolls."""
    made = view(models.twelve(), SMALL)
    assert made.content[0] <= SMALL[0] + 0.5
    assert made.grid.tier == "compact"
    assert made.least / made.fit == pytest.approx(1.0, abs=0.02)
    assert made.spread.scale * 0.3048 >= 18.0
    cells = [group for group in made.display.groups() if group.tag[:2] == ("cell", "iron")]
    assert len(cells) == len(made.columns) and all(group.items for group in cells)
    long = models.bench([(f"iron{i}", str(i)) for i in range(1, 16)], models.chain([f"iron{i}" for i in range(1, 16)]))
    assert view(long, SMALL).content[0] > SMALL[0] + 1.0


# Rows -------------------------------------------------------------------------------------------------------------------------


def bench(document: Document) -> BenchModel:
    evaluation = evaluate(open_plan(document))
    return bench_model(evaluation, findings(evaluation))


def rows(model: BenchModel, size: tuple[float, float]) -> list[str]:
    return [row.key for row in chosen_rows(model, Options(), view(model, size).bands.rows)]


@pytest.fixture
def samples(root: Path) -> dict[str, BenchModel]:
    return {path.name.removesuffix(".train.json"): bench(load(path)) for path in (root / "samples").glob("*.train.json")}


def test_what_a_stage_works_on_keeps_its_row(samples: dict[str, BenchModel]) -> None:
    """A softener clears hardness, and hardness is still to be read, beside rows that something is found in."""
    for name in ("marzipan-moth-tea-room", "lone-alder-farm", "pebble-court-3"):
        for size in (SMALL, LARGE):
            assert "hardness" in rows(samples[name], size), (name, size)
    assert {row.key for row in samples["pebble-court-3"].rows if row.acted} == {"hardness", "free_chlorine"}
    assert not any(row.acted for row in samples["lone-alder-farm-uv-alone"].rows)


def test_a_row_stays_when_the_stage_for_it_comes(root: Path) -> None:
    """Hardness is over, a softener is added, and its row does not go."""
    document = load(root / "samples" / "lone-alder-farm-uv-alone.train.json")
    after = apply(document, plan_edit(document, AddStage(kind="softener", into=document.links[0].ends)))
    assert "hardness" in rows(bench(document), SMALL)
    assert "hardness" in rows(bench(after), SMALL)


def test_six_rows_in_a_small_window(samples: dict[str, BenchModel]) -> None:
    for name, model in samples.items():
        assert len(rows(model, SMALL)) >= 6, name


def test_rows_chosen_by_hand_come_as_they_were_chosen(samples: dict[str, BenchModel]) -> None:
    model = samples["pebble-court-3"]
    assert [row.key for row in chosen_rows(model, Options(rows=("sulfate", "ph")), 3)][:2] == ["sulfate", "ph"]


# Walls, tooltips, pages ---------------------------------------------------------------------------------------------------------


def test_a_train_without_a_room_has_its_walls_in_view() -> None:
    model = replace(models.three(), room_height=None, room_width=None)
    for size in (SMALL, LARGE):
        made = view(model, size)
        top = made.floor - made.bands.bench
        walls = [
            s for s, _ in walk(made.display.items) if isinstance(s, Line) and s.x1 == s.x2 and s.token == "edge" and s.y2 == made.floor
        ]
        assert walls and min(line.y1 for line in walls) >= top
        feet = [s for s, _ in walk(made.display.items) if isinstance(s, Text) and s.text.endswith(" ft")]
        assert len(feet) == 1 and feet[0].box(measure_dejavu).y >= top - 0.5


def test_every_cell_says_where_its_number_comes_from(samples: dict[str, BenchModel]) -> None:
    cells = {row.key: row.cells for row in samples["lone-alder-farm"].rows}
    assert cells["hardness"]["softener"].tooltip.endswith("no limit here.\nAs in the raw water.")
    assert cells["hardness"]["house"].tooltip.endswith("Changed last in the softener.")
    assert "Iron 0.02\u202fmg/L to 0.04\u202fmg/L, at most" in cells["iron"]["house"].tooltip, "both ends, and the limit"
    assert cells["iron"]["house"].tooltip.endswith("Changed last in sediment cartridge 4.")
    assert all(cell.tooltip for model in samples.values() for row in model.rows for cell in row.cells.values())


def test_a_page_has_nothing_to_click(samples: dict[str, BenchModel]) -> None:
    made = page(samples["lone-alder-farm"], (1400.0, 900.0), measure_dejavu)
    texts = {shape.text for shape, _ in walk(made.items) if isinstance(shape, Text)}
    assert "Water" in texts and not texts & {"Choose rows", "Try a flow"}


def test_a_capsule_that_stands_apart_is_joined_to_its_place() -> None:
    """No capsule at a vessel or its inlet stands more than a little from it without a hairline that ends at both."""
    apart = 0
    for make in models.ALL.values():
        for size in (SMALL, LARGE):
            made = view(make(), size)
            lines = [s for s, _ in walk(made.layer("bench").shapes) if isinstance(s, Line) and s.token == "ink3"]
            for finding in made_findings(make()):
                group = made.display.find(("finding", finding.number))
                spot = finding.spots[0]
                if group is None or spot[0] not in ("stage", "inlet"):
                    continue
                box, stage = group.areas[0].grown(2.0), made.display.find(("stage", spot[1]))
                assert stage is not None
                reach = [area.grown(60.0) for area in stage.areas]
                joined = any(box.holds(x, y) for s in lines for x, y in ((s.x1, s.y1), (s.x2, s.y2)))
                apart += joined
                assert joined or any(box.meets(area) for area in reach), (finding.title, size)
    twelve = view(crowded(), LARGE)
    assert apart or any(isinstance(s, Line) and s.token == "ink3" for s, _ in walk(twelve.layer("bench").shapes))


def made_findings(model: BenchModel) -> list[FindingModel]:
    return [finding for finding in model.findings if finding.spots]


def crowded() -> BenchModel:
    """Twelve stages, four cautions at the inlet of one of them."""
    model = models.twelve()
    more = tuple(
        FindingModel(i, "caution", f"caution {i}", "", "", (("inlet", "tannin"),) if i % 2 else (("stage", "tannin"),)) for i in (6, 7)
    )
    more += (FindingModel(8, "caution", "caution 8", "", "", (("inlet", "carbon"), ("stage", "carbon"))),)
    return replace(model, findings=(*model.findings, *more))


def test_a_bed_is_not_taken_for_the_height_of_its_tank(samples: dict[str, BenchModel]) -> None:
    carbon = next(stage for stage in samples["pebble-court-3"].stages if stage.kind == "carbon_bed")
    assert carbon.size.startswith("12\u202fin, bed 36\u202fin")


# Small things ------------------------------------------------------------------------------------------------------------------


def test_a_head_goes_with_its_cells() -> None:
    """Wherever a wide train is panned, the columns that have a head are those that have cells."""
    for pan in range(0, 320, 9):
        made = view(models.twelve(), (700.0, 732.0), pan_x=float(pan))
        groups = [group for layer in made.layers if layer.name == "bands" for group in _groups(layer.placed(made.pan))]
        heads = {g.tag[1] for g in groups if g.tag[0] in ("stage", "end") and any(t.text for t in g.items if isinstance(t, Text))}
        cells = {g.tag[2] for g in groups if g.tag[0] == "cell"}
        assert cells <= set(made.grid.columns) and {node for node in heads if node in cells} == cells
        named = {
            g.tag[1] for g in groups if g.tag[0] in ("stage", "end") and g.name == "" and g.tooltip.startswith(("into", "raw", "to the"))
        }
        assert named == cells, pan


def _groups(shapes: list[Shape]) -> list[Group]:
    return [shape for shape, _ in walk(shapes) if isinstance(shape, Group) and shape.tag]


def test_handles_of_a_selection_keep_clear_of_names() -> None:
    made = view(models.six(), LARGE, selected=("stage", "iron"))
    accents = [s for s, _ in walk(made.layer("bench").shapes) if isinstance(s, Rect) and s.stroke == "accent"]
    names = [s.box(measure_dejavu) for s, _ in walk(made.layer("names").shapes) if isinstance(s, Text)]
    assert len(accents) == 5
    assert not any(Box(s.x - 1, s.y - 1, s.w + 2, s.h + 2).meets(name) for s in accents for name in names)


def test_an_empty_bench_says_how_it_is_filled() -> None:
    model = replace(models.three(), stages=(), links=models.bench([], models.chain([])).links, findings=())
    model = replace(model, columns=model.columns[-1:], pressure=None)
    for size in (SMALL, LARGE):
        made = view(model, size)
        said = " ".join(s.text for s, _ in walk(made.layer("bench").shapes) if isinstance(s, Text))
        assert "Drag a stage from the shelf" in said
        assert any(s.text.startswith("twice peak") for s, _ in walk(made.layer("fixed").shapes) if isinstance(s, Text))
        assert meetings(made.display, measure_dejavu) == [] and outside(made.display, measure_dejavu) == []
    assert "Drag" not in str(view(model, LARGE, choosing=False).display.items)
