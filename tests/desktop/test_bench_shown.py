"""What the bench shows is the model: an item for each stage and pipe, kept while its thing is there, gone with it."""

from __future__ import annotations

import gc
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtWidgets import QApplication, QGraphicsItem
from shiboken6 import isValid

from tests.desktop.hands import shown
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.bench.items import DrawnItem
from trainapp.desktop.bench.layers import Bare
from trainapp.desktop.session import Session
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Box, Group, Rect, Shape, Tag
from trainapp.train.document import Document
from trainapp.train.edits import AddStage, ChangeSetting, MoveStage, RemoveStage


def model_tags(document: Document) -> dict[str, set[Tag]]:
    return {
        "stage": {("stage", stage.id) for stage in document.stages},
        "link": {("link", *link.ends) for link in document.links},
    }


def test_every_stage_and_pipe_of_the_document_is_an_item(canvas: BenchCanvas, session: Session) -> None:
    for kind, tags in model_tags(session.document).items():
        assert shown(canvas, kind) == tags
    session.edit(AddStage(kind="carbon_bed"))
    for kind, tags in model_tags(session.document).items():
        assert shown(canvas, kind) == tags


def test_items_stay_the_same_objects_while_their_thing_is_there(canvas: BenchCanvas, session: Session) -> None:
    before = canvas.items_shown.of(("stage", "uv"))
    session.edit(ChangeSetting(stage="softener", key="salt_dose", value="9 lb/ft3"))
    session.edit(AddStage(kind="carbon_bed"))
    assert canvas.items_shown.of(("stage", "uv")) == before


def test_bounding_rects_never_change_behind_the_scenes_back(canvas: BenchCanvas, session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    told: set[int] = set()
    monkeypatch.setattr(DrawnItem, "prepareGeometryChange", lambda self: (told.add(id(self)), QGraphicsItem.prepareGeometryChange(self))[1])
    before = {id(item): (item, item.boundingRect()) for key in canvas.items_shown._items.values() for item in [key]}
    session.select(("stage", "uv"))
    session.edit(ChangeSetting(stage="softener", key="tank_diameter", value="20 in"))
    changed = {i for i, (item, rect) in before.items() if item.scene() is not None and item.boundingRect() != rect}
    assert changed and changed <= told


class Spy(DrawnItem):
    """An item that notes whether it was told of every change of its bounds before it came."""

    changes = 0

    def __init__(self, tag: Tag = ()) -> None:
        super().__init__(tag)
        self.seen = self.boundingRect()

    def prepareGeometryChange(self) -> None:
        assert self.boundingRect() == self.seen, "the bounds had changed before it was said"
        super().prepareGeometryChange()
        self.told = True

    def show_shapes(self, shapes: list[Shape], clip: Box | None = None) -> None:
        self.told = False
        super().show_shapes(shapes, clip)
        assert self.told or self.boundingRect() == self.seen, "the bounds changed and it was not said"
        Spy.changes += self.told
        self.seen = self.boundingRect()


@given(data=st.data())
def test_no_bounds_change_without_a_word_before(data: st.DataObject) -> None:
    """Whatever is shown after whatever: Qt's index would keep, and follow, a rectangle that is no more."""
    boxes = st.tuples(st.floats(-200, 200), st.floats(-200, 200), st.floats(0, 300), st.floats(0, 300))
    shapes = st.lists(boxes.map(lambda box: Rect(*box, "ink")), max_size=4)
    clips = st.none() | boxes.map(lambda box: Box(*box))
    item, before = Spy(), Spy.changes
    for _ in range(data.draw(st.integers(2, 6))):
        item.show_shapes(list(data.draw(shapes)), data.draw(clips))
    item.show_shapes([Rect(1000.0, 0.0, 10.0, 10.0, "ink")])
    assert Spy.changes > before


def test_a_layer_says_that_its_edge_moves(canvas: BenchCanvas, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[Bare] = []
    monkeypatch.setattr(Bare, "prepareGeometryChange", lambda self: (told.append(self), QGraphicsItem.prepareGeometryChange(self))[1])
    before = {id(edge): edge.boundingRect() for edge in canvas.layers._edges.values()}
    canvas.sight.zoom_by(3.0)
    changed = [edge for edge in canvas.layers._edges.values() if edge.boundingRect() != before[id(edge)]]
    assert changed and all(edge in told for edge in changed)


def test_a_thousand_edits_leave_nothing_dead_behind(qapp: QApplication, farm: Document) -> None:
    """Items come and go a thousand times, with the garbage collected after each: no wrapper outlives its item, no item its thing."""
    session = Session(farm)
    kept = session.assessment
    canvas = BenchCanvas(session)
    # What is drawn is drawn by hand below, so that a thousand layouts need not be waited for.
    session.changed.disconnect(canvas.relayout)
    assert kept is not None
    chance = random.Random(5)
    for step in range(1000):
        what = chance.choice(("add", "remove", "undo", "redo"))
        stages = [stage.id for stage in session.document.stages]
        session._assess = lambda document, system: kept  # type: ignore[method-assign, assignment]
        if what == "add" and len(stages) < 8:
            session.edit(AddStage(kind=chance.choice(("carbon_bed", "flow_control")), into=session.document.links[-1].ends))
        elif what == "remove" and len(stages) > 1:
            session.edit(RemoveStage(id=chance.choice(stages)))
        else:
            (session.stack.undo if what == "undo" else session.stack.redo)()
        shapes = {("stage", stage.id): Rect(20.0 * i, 0.0, 10.0, 40.0, "ink") for i, stage in enumerate(session.document.stages)}
        canvas.items_shown.show({"bench": [Group([shape], tag) for tag, shape in shapes.items()]})
        gc.collect(2 if step % 100 == 0 else 0)
        assert canvas.items_shown.tags() == set(shapes)
        assert all(isValid(item) and item.scene() is canvas.scene() for item in canvas.items_shown._items.values())
        assert len(canvas.scene().items()) == len(shapes) + canvas.layers.count + canvas.marks.count
    while session.stack.canUndo():
        session.stack.undo()
    assert session.document == farm


def test_edits_done_and_undone_at_random_leave_no_item_behind(canvas: BenchCanvas, session: Session) -> None:
    chance = random.Random(7)
    for _ in range(40):
        done = chance.choice(("add", "remove", "move", "undo", "redo"))
        stages, links = [stage.id for stage in session.document.stages], [link.ends for link in session.document.links]
        if done == "add" and len(stages) < 9:
            session.edit(AddStage(kind=chance.choice(("carbon_bed", "flow_control", "softener")), into=chance.choice(links)))
        elif done == "remove" and stages:
            session.edit(RemoveStage(id=chance.choice(stages)))
        elif done == "move" and stages:
            session.edit(MoveStage(id=chance.choice(stages), into=chance.choice(links)))
        elif done == "undo":
            session.stack.undo()
        else:
            session.stack.redo()
        if not session.stale:
            for kind, tags in model_tags(session.document).items():
                assert shown(canvas, kind) == tags
    assert len(canvas.scene().items()) == len(canvas.items_shown) + canvas.layers.count + canvas.marks.count


def test_the_theme_recolours_the_bench(canvas: BenchCanvas) -> None:
    light = canvas.grab().toImage()
    look().choose("dark")
    QApplication.processEvents()
    assert canvas.grab().toImage().pixelColor(2, 2) == look().colour("sheet")
    dark = canvas.grab().toImage()
    assert dark != light
    ink, page = look().colour("ink"), look().colour("sheet")
    inked = {dark.pixelColor(x, y).name() for x in range(0, dark.width(), 3) for y in range(0, dark.height(), 3)}
    assert {ink.name(), page.name()} <= inked
    look().choose("light")
    QApplication.processEvents()
    assert canvas.grab().toImage() == light, "nothing is left in the colours of before"


def test_bands_keep_within_eight_px_of_their_vessels_or_have_a_leader(canvas: BenchCanvas) -> None:
    view = canvas.view
    assert view is not None
    for node in view.route.nodes():
        assert abs(view.grid.nodes[node] - view.spread.centres[node]) <= 8.0 or node in view.grid.leaders
