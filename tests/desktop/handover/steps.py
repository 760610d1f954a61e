"""What the tests of the Hand-over view share: waiting, choosing, clicking."""

from __future__ import annotations

import time

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from trainapp.desktop.handover.view import HandoverView
from trainapp.desktop.window import Window
from trainapp.reports.handover import KINDS
from trainapp.reports.proposal_offer import Offer

LEFT, NONE = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
WAIT = 30.0
#: What was sought already, by train, units and prices.
OFFERS: dict[tuple[str, ...], Offer] = {}


def view_of(window: Window) -> HandoverView:
    assert window.views is not None
    page = window.views.pages["handover"]
    assert isinstance(page, HandoverView)
    return page


def settle(view: HandoverView) -> None:
    """Wait until nothing is on its way."""
    end = time.monotonic() + WAIT
    while view.working:
        assert time.monotonic() < end, "it never came"
        QTest.qWait(10)


def choose(view: HandoverView, key: str) -> None:
    """Choose a paper with the arrow keys."""
    view.panel.list.setFocus()
    QTest.keyClick(view.panel.list, Qt.Key.Key_Home)
    for _ in range([kind.key for kind in KINDS].index(key)):
        QTest.keyClick(view.panel.list, Qt.Key.Key_Down)
    settle(view)


def click(widget: QWidget) -> None:
    QTest.mouseClick(widget, LEFT, NONE, widget.rect().center())


def wheel(widget: QWidget, turn: int, keys: Qt.KeyboardModifier = NONE) -> None:
    spot = widget.rect().center()
    event = QWheelEvent(
        QPointF(spot), QPointF(widget.mapToGlobal(spot)), QPoint(), QPoint(0, turn), Qt.MouseButton.NoButton, keys,
        Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(widget, event)
