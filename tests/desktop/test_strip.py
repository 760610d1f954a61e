"""The bar: menus and views never hide, whatever the site is called and however narrow the window is."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtWidgets import QApplication, QToolButton

from trainapp.desktop.bench.items import BORDER, bordered
from trainapp.desktop.session import Session
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Group, Line, Rect, walk
from trainapp.train.edits import SetValue

LONG = "The Old Pumping Station and Dairy on Lower Marsh Lane, Second House behind the Churchyard"


@pytest.mark.parametrize("width", [1920, 1280, 1000, 800])
def test_menus_and_views_never_hide(window: Any, session: Session, width: int) -> None:
    session.edit(SetValue(path="site.name", value=LONG))
    window.resize(width, 760)
    QApplication.processEvents()
    strip = window.strip
    for action in strip.menus.actions():
        assert not action.isVisible() or strip.menus.rect().contains(strip.menus.actionGeometry(action)), action.text()
    extension = strip.menus.findChild(QToolButton, "qt_menubar_ext_button")
    assert extension is None or not extension.isVisible()
    tabs = list(strip.views.values())
    assert len(tabs) == 5
    for widget in (*tabs, *(button for button in strip.buttons if button.isVisible()), strip.site):
        assert widget.isVisible() and widget.geometry().right() < strip.width() and widget.width() > 40
    right = [widget.geometry() for widget in (strip.menus, strip.site, *tabs, *(b for b in strip.buttons if b.isVisible()))]
    assert all(a.right() < b.left() for a, b in zip(right, right[1:], strict=False)), "nothing lies on anything"
    assert strip.buttons[-1].isVisible(), "what finds every command stays longest"
    assert strip.site.accessibleName() == LONG
    if strip.site.text() != LONG:
        assert strip.site.text().endswith("…") and strip.site.toolTip() == LONG


def test_there_is_room_for_every_button_at_1280(window: Any, session: Session) -> None:
    window.resize(1280, 760)
    QApplication.processEvents()
    assert all(button.isVisible() for button in window.strip.buttons)


def test_borders_are_full_where_contrast_is_high(window: Any) -> None:
    thin, hair = Rect(0, 0, 9, 9, "body", "ink", 1.5), Line(0, 0, 9, 0, "hair", 1.0)
    made = bordered([Group([thin], ("stage", "uv")), hair, Rect(0, 0, 9, 9, "page", "edge", 1.0)])
    widths = [shape.width for shape, _ in walk(made) if isinstance(shape, Rect | Line)]
    assert widths == [BORDER, 1.0, 1.0]
    before = window.workspace.canvas.grab().toImage()
    look().choose("light", high_contrast=True)
    QApplication.processEvents()
    assert window.workspace.canvas.grab().toImage() != before
