"""What the bench shows is the model: an item for each stage and pipe, kept while its thing is there, gone with it."""

from __future__ import annotations

import random

import pytest
from PySide6.QtWidgets import QApplication, QGraphicsItem

from tests.desktop.hands import shown
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.bench.items import DrawnItem
from trainapp.desktop.session import Session
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Tag
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


def test_edits_done_and_undone_at_random_leave_no_item_behind(canvas: BenchCanvas, session: Session) -> None:
    chance = random.Random(7)
    for _ in range(80):
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
    assert canvas.grab().toImage() != light


def test_bands_keep_within_eight_px_of_their_vessels_or_have_a_leader(canvas: BenchCanvas) -> None:
    view = canvas.view
    assert view is not None
    for node in view.route.nodes():
        assert abs(view.grid.nodes[node] - view.spread.centres[node]) <= 8.0 or node in view.grid.leaders
