"""Between windows and from outside, with real keys and drops: stages go from train to train, files come in."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from tests.desktop.hands import key
from tests.desktop.test_shell_files import drop
from trainapp.desktop.app import Documents
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.window import Window
from trainapp.train.document import dumps, loads

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def pair(documents: Documents, farm_well: Path, root: Path, qtbot: QtBot) -> tuple[Window, Window]:
    """Two trains in two windows of one program."""
    windows = documents.open(farm_well), documents.open(root / "samples" / "pebble-court-3.train.json")
    qtbot.waitUntil(lambda: all(window.session is not None for window in windows))
    return windows


def bench(window: Window, qtbot: QtBot) -> BenchCanvas:
    """The bench of a window that is turned to."""
    assert window.workspace is not None
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    window.workspace.canvas.setFocus()
    return window.workspace.canvas


def test_stages_are_copied_into_another_window_under_ids_of_their_own(pair: tuple[Window, Window], qtbot: QtBot) -> None:
    one, two = pair
    assert one.session is not None and two.session is not None
    first, second = one.session, two.session
    source, target = first.document, second.document
    first.select(("stage", "iron"), (("stage", "softener"),))
    key(bench(one, qtbot), Qt.Key.Key_C, modifier=CTRL)
    assert first.document is source and '"trainapp/stages"' in QGuiApplication.clipboard().text()
    link = next(link for link in target.links if link.to == "house")
    second.select(("link", *link.ends))
    for _ in range(2):
        key(bench(two, qtbot), Qt.Key.Key_V, modifier=CTRL)
    before = {stage.id for stage in target.stages}
    came = [stage for stage in second.document.stages if stage.id not in before]
    assert sorted(stage.kind for stage in came) == ["iron_filter"] * 2 + ["softener"] * 2
    ids = [stage.id for stage in second.document.stages]
    assert len(ids) == len(set(ids)) and first.document is source
    assert [stage.settings for stage in came if stage.kind == "softener"] == [source.stage("softener").settings] * 2
    assert loads(dumps(second.document)) == second.document and second.stale == ""
    key(bench(two, qtbot), Qt.Key.Key_Z, modifier=CTRL)
    key(bench(two, qtbot), Qt.Key.Key_Z, modifier=CTRL)
    assert second.document == target and first.stack.count() == 0


def test_what_is_cut_in_one_window_goes_into_the_other(pair: tuple[Window, Window], qtbot: QtBot) -> None:
    one, two = pair
    assert one.session is not None and two.session is not None
    one.session.select(("stage", "softener"))
    key(bench(one, qtbot), Qt.Key.Key_X, modifier=CTRL)
    assert "softener" not in {stage.id for stage in one.session.document.stages}
    two.session.select(("supply",))
    count = len(two.session.document.stages)
    key(bench(two, qtbot), Qt.Key.Key_V, modifier=CTRL)
    assert len(two.session.document.stages) == count + 1
    key(bench(one, qtbot), Qt.Key.Key_Z, modifier=CTRL)
    assert "softener" in {stage.id for stage in one.session.document.stages}


def test_a_train_that_is_dropped_opens_in_a_window_of_its_own(documents: Documents, farm_well: Path, root: Path, qtbot: QtBot) -> None:
    window = documents.open(farm_well)
    qtbot.waitUntil(lambda: window.session is not None)
    other = root / "samples" / "pebble-court-3.train.json"
    assert window.workspace is not None
    assert not drop(window, root / "README.md"), "what is no train is not taken"
    assert drop(window, other)
    qtbot.waitUntil(lambda: len(documents.windows) == 2 and documents.windows[1].session is not None)
    assert documents.windows[1].session.path == other and window.session.path == farm_well
    assert drop(window, other) and len(documents.windows) == 2, "it is open already"


def test_a_broken_file_that_is_dropped_says_so_and_leaves_the_rest(
    documents: Documents, farm_well: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    window = documents.open(farm_well)
    qtbot.waitUntil(lambda: window.session is not None)
    broken = tmp_path / "broken.train.json"
    broken.write_text("[1, 2", encoding="utf-8")
    assert drop(window, broken)
    qtbot.waitUntil(lambda: len(documents.windows) == 2 and documents.windows[1].trouble is not None)
    assert "broken.train.json cannot be opened" in documents.windows[1].trouble.accessibleName()
    assert window.session is not None and window.session.stale == ""
