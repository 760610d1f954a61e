"""What the edges of the bench do: nothing is read in part, bars and keys reach everything, Fit shows all of it."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt

from tests.desktop.hands import key
from tests.desktop.test_bench_sight import view
from trainapp.desktop.bench.band import BenchBand
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.session import Session
from trainapp.reports.drawing.display import Text, walk
from trainapp.train.edits import AddStage, Batch


def seen_whole(canvas: BenchCanvas, layer: str) -> tuple[set[str], set[str]]:
    """Words of the items of a layer that hide when they are cut: of those that are shown, and of those that are not."""
    shown, hidden = set[str](), set[str]()
    for (name, tag, number), item in canvas.items_shown._items.items():
        if name == layer and item.whole is not None:
            (shown if item.isVisible() else hidden).add(f"{tag} {number}")
    return shown, hidden


def test_a_zoomed_ledger_hides_cells_that_heads_or_words_would_cut(canvas: BenchCanvas, session: Session) -> None:
    canvas.sight.zoom_by(1.9)
    clip = view(canvas).layer("bands").clip
    assert clip is not None
    ever: set[str] = set()
    for x in range(0, int(view(canvas).most.x) + 37, 37):
        canvas.scroll_to(float(x))
        for (name, _, _), item in canvas.items_shown._items.items():
            if name == "bands" and item.whole is not None and item.isVisible():
                left = item.whole.x - view(canvas).pan.x
                assert clip.x - 0.5 <= left and left + item.whole.w <= clip.right + 0.5
        ever |= seen_whole(canvas, "bands")[0]
    shown, hidden = seen_whole(canvas, "bands")
    assert hidden and hidden <= ever, "each is seen somewhere on the way"


def test_what_is_hidden_at_an_edge_comes_back(canvas: BenchCanvas, session: Session) -> None:
    canvas.sight.zoom_by(1.9)
    canvas.scroll_to(1e9)
    session.select(("cell", "iron", "screen"))
    item = next(i for i in canvas.items_shown.of(("cell", "iron", "screen")))
    assert item.isVisible()
    canvas.fit()
    assert not seen_whole(canvas, "bands")[1] and not seen_whole(canvas, "names")[1]


# Bars and keys ----------------------------------------------------------------------------------------------------------------


def band(window: Any) -> BenchBand:
    found = window.workspace.findChild(BenchBand)
    assert isinstance(found, BenchBand)
    return found


def test_a_bench_higher_than_its_band_has_a_bar(canvas: BenchCanvas, window: Any) -> None:
    bar = band(window).bench
    assert bar.isHidden() and bar.accessibleName() == "Scroll the bench up and down"
    width = canvas.viewport().width()
    canvas.sight.zoom_by(2.0)
    assert bar.isVisible() and bar.maximum() == round(view(canvas).most.y) > 0
    assert canvas.viewport().width() == width, "the bar takes nothing from what is shown"
    assert bar.geometry().bottom() <= view(canvas).floor + 1 and bar.geometry().right() == canvas.geometry().right()
    bar.setValue(bar.minimum())
    assert view(canvas).pan.y == view(canvas).most.y, "at its top the ceiling is in sight"
    bar.setValue(bar.maximum())
    assert view(canvas).pan.y == 0.0
    key(canvas, Qt.Key.Key_PageUp, modifier=Qt.KeyboardModifier.ShiftModifier)
    assert bar.value() < bar.maximum()
    canvas.fit()
    assert bar.isHidden()


def test_the_overview_is_used_by_keyboard(canvas: BenchCanvas, window: Any) -> None:
    canvas.sight.zoom_by(2.5)
    canvas.scroll_to(0.0)
    window.run("overview")
    made = window.doing.overview
    canvas.setFocus(Qt.FocusReason.TabFocusReason)
    key(canvas, Qt.Key.Key_Tab)
    assert made.hasFocus()
    key(made, Qt.Key.Key_Right, Qt.Key.Key_Right)
    assert view(canvas).pan.x == pytest.approx(0.2 * view(canvas).width, abs=2)
    key(made, Qt.Key.Key_End)
    assert view(canvas).pan.x == view(canvas).most.x
    key(made, Qt.Key.Key_PageUp)
    assert view(canvas).pan.x < view(canvas).most.x
    key(made, Qt.Key.Key_Home)
    assert view(canvas).pan.x == 0.0
    before = view(canvas).pan.y
    key(made, Qt.Key.Key_Up)
    assert view(canvas).pan.y > before
    key(made, Qt.Key.Key_Escape)
    assert canvas.hasFocus()


# Fit --------------------------------------------------------------------------------------------------------------------------


KINDS = ("softener", "iron_filter", "carbon_bed", "sediment_cartridge", "neutralizer")


def test_fit_shows_all_of_sixty_stages(canvas: BenchCanvas, session: Session, window: Any) -> None:
    edits = [AddStage(kind="softener", id="more0", into=("screen", "iron"))]
    edits += [AddStage(kind=KINDS[i % 5], id=f"more{i}", into=(f"more{i - 1}", "iron")) for i in range(1, 55)]
    assert session.edit(Batch(edits=edits)), "sixty of them"
    assert len(session.document.stages) == 60
    canvas.sight.zoom_by(1.0)
    assert view(canvas).most.x > 1000
    key(window, Qt.Key.Key_0, modifier=Qt.KeyboardModifier.ControlModifier)
    made = view(canvas)
    assert made.most.x == 0.0 and made.most.y == 0.0
    for stage in session.document.stages:
        for layer in ("bench", "bands"):
            area = made.layer(layer).groups["stage", stage.id].areas[0]
            assert area.x >= 0 and area.x + area.w <= made.width, (stage.id, layer)
    texts = [shape.text for shape, _ in walk(made.layer("bands").shapes) if isinstance(shape, Text)]
    assert not any("–" in text for text in texts), "no value where there is no room for one"
    key(window, Qt.Key.Key_9, modifier=Qt.KeyboardModifier.ControlModifier)
    assert canvas.sight.percent == 100
    key(window, Qt.Key.Key_0, modifier=Qt.KeyboardModifier.ControlModifier)
    for _ in range(6):
        canvas.sight.zoom_by(1 / 4)
    assert view(canvas).spread.scale == pytest.approx(made.spread.scale), "no smaller than all of it"


def test_fit_of_a_train_that_fits_is_as_large_as_it_can_be_read(canvas: BenchCanvas) -> None:
    canvas.sight.zoom_by(0.5)
    canvas.fit()
    assert canvas.options.zoom == 1.0 and view(canvas).grid.tier != "marks"


# The opened finding -----------------------------------------------------------------------------------------------------------


def test_an_opened_note_has_its_capsule_and_a_finding_of_the_whole_train_none(canvas: BenchCanvas, session: Session) -> None:
    assert session.model is not None
    note = next(f for f in session.model.findings if f.severity == "note" and f.spots)
    whole = next(f for f in session.model.findings if not f.spots)
    tag = ("finding", note.number)
    assert tag not in canvas.items_shown.tags()
    session.open_finding(note.number)
    assert tag in canvas.items_shown.tags()
    session.open_finding(whole.number)
    assert tag not in canvas.items_shown.tags() and ("finding", whole.number) not in canvas.items_shown.tags()
