"""The working view of one document: shelf, bench, findings and card, arranged by the width of the window."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QPalette, QResizeEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QSplitter, QStackedWidget, QVBoxLayout, QWidget

from trainapp.desktop.bench.band import BenchBand
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.card import StageCard
from trainapp.desktop.findings import FindingsPanel
from trainapp.desktop.foot import Foot
from trainapp.desktop.parts import Rule, TabButton
from trainapp.desktop.safety import SafetyBlock
from trainapp.desktop.sample import SampleSheet
from trainapp.desktop.session import Session
from trainapp.desktop.shelf import RAIL, Shelf
from trainapp.desktop.steps import StepsPanel
from trainapp.desktop.verdict import VerdictStrip
from trainapp.reports.drawing.tokens import HEADING


@dataclass(frozen=True, slots=True)
class Widths:
    """Widths of shelf and right column; the shelf is a rail, the column a drawer below, where the window is narrow."""

    shelf: int
    column: int
    rail: bool
    drawer: bool


def widths(window: float) -> Widths:
    """What a window of that width in px has room for."""
    if window >= 1600:
        return Widths(180, 340, rail=False, drawer=False)
    if window >= 1366:
        return Widths(164, 300, rail=False, drawer=False)
    if window >= 1200:
        return Widths(RAIL, 280, rail=True, drawer=False)
    return Widths(RAIL, 0, rail=True, drawer=True)


class RightColumn(QWidget):
    """Findings above, one card below with its tabs, Safety at the foot."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.findings = FindingsPanel(session)
        self.steps = StepsPanel(session)
        self.card = StageCard(session)
        self.sample = SampleSheet(session)
        self.stack = QStackedWidget()
        self.tabs: dict[str, TabButton] = {}
        tab_line = QHBoxLayout()
        tab_line.setContentsMargins(4, 0, 4, 0)
        tab_line.setSpacing(2)
        for name, page in (("Worked steps", self.steps), ("Stage card", self.card), ("Sample", self.sample)):
            self.stack.addWidget(page)
            tab = TabButton(name, HEADING)
            tab.toggled.connect(self._turned)
            self.tabs[name] = tab
            tab_line.addWidget(tab)
        tab_line.addStretch(1)
        self.tabs["Worked steps"].setChecked(True)
        card = QWidget()
        below = QVBoxLayout(card)
        below.setContentsMargins(0, 0, 0, 0)
        below.setSpacing(0)
        below.addWidget(Rule())
        below.addLayout(tab_line)
        below.addWidget(self.stack, 1)
        self.split = QSplitter(Qt.Orientation.Vertical)
        self.split.setChildrenCollapsible(False)
        self.split.addWidget(self.findings)
        self.split.addWidget(card)
        self.split.setStretchFactor(0, 1)
        self.split.setStretchFactor(1, 1)
        self.safety = SafetyBlock(session)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.split, 1)
        column.addWidget(self.safety)
        self.card.sample_asked.connect(self.show_sample)

    def _turned(self, on: bool) -> None:
        if on:
            names = list(self.tabs)
            chosen = next(name for name in names if self.tabs[name].isChecked())
            self.stack.setCurrentIndex(names.index(chosen))

    def show_page(self, name: str) -> None:
        """Turn to one of the tabs."""
        self.tabs[name].setChecked(True)

    def show_sample(self) -> None:
        """Turn to the sample sheet."""
        self.show_page("Sample")


class Workspace(QWidget):
    """Everything under the bar."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.canvas = BenchCanvas(session)
        self.verdict = VerdictStrip(session)
        self.right = RightColumn(session)
        self.foot = Foot(session)
        self.slot = QWidget()
        self.middle = QWidget()
        self.split = QSplitter(Qt.Orientation.Horizontal)
        self._widths: Widths | None = None
        self._opened = False
        self._arrange()
        self.shelf = Shelf(self)
        self._connect()

    def _arrange(self) -> None:
        column = QVBoxLayout(self.middle)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.verdict)
        column.addWidget(BenchBand(self.canvas), 1)
        self.split.addWidget(self.middle)
        self.split.addWidget(self.right)
        self.split.setStretchFactor(0, 1)
        self.split.setStretchFactor(1, 0)
        self.split.setCollapsible(0, False)
        self.split.setHandleWidth(1)
        row = QHBoxLayout()
        row.setSpacing(0)
        row.addWidget(self.slot)
        row.addWidget(self.split, 1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addLayout(row, 1)
        whole.addWidget(Rule())
        whole.addWidget(self.foot)
        self.verdict.setAutoFillBackground(True)
        self.verdict.setBackgroundRole(QPalette.ColorRole.AlternateBase)

    def _connect(self) -> None:
        self.shelf.chosen.connect(self.add)
        self.shelf.toggled.connect(self.toggle_shelf)
        self.shelf.dragged.connect(self.close_shelf)
        self.canvas.hinted.connect(self.foot.hint)
        self.canvas.activated.connect(self.open_card)
        self.verdict.fit_asked.connect(self.canvas.fit)
        self.verdict.unjudged_asked.connect(self.show_unjudged)
        self.right.findings.tools.done.connect(self.foot.tell)
        self.session.selection_changed.connect(self._turn)

    def put_over(self, line: QWidget) -> None:
        """Put a line over the verdict."""
        layout = self.middle.layout()
        assert isinstance(layout, QVBoxLayout)
        layout.insertWidget(0, line)

    # Shelf --------------------------------------------------------------------------------------------------------------------

    def add(self, key: str) -> None:
        """Add something from the shelf by keyboard, and go to it."""
        self.close_shelf()
        self.canvas.put(key, self.session.selection)
        self.canvas.setFocus(Qt.FocusReason.OtherFocusReason)

    def toggle_shelf(self) -> None:
        """Open or close the shelf over the bench."""
        self._open(not self._opened)

    def close_shelf(self) -> None:
        """Go back to the rail where there is one."""
        self._open(False)

    def _open(self, opened: bool) -> None:
        application = QApplication.instance()
        if application is not None and opened != self._opened:
            # Only while it is open: a filter in Python sees every event of the application.
            (application.installEventFilter if opened else application.removeEventFilter)(self)
        self._opened = opened
        self._place_shelf()

    def open_shelf(self) -> None:
        """Open the shelf and put the keyboard into its search field."""
        self._open(True)
        self.shelf.find.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.shelf.find.selectAll()

    def _place_shelf(self) -> None:
        """The shelf lies over its slot; where that is a rail it may lie over the bench, too."""
        made = self._widths
        if made is None:
            return
        rail = made.rail and not self._opened
        self.shelf.set_rail(rail)
        text, name = ("»", "Open the shelf") if rail else ("«", "Close the shelf") if made.rail else ("", "")
        self.shelf.set_opener(text, name)
        over = made.rail and self._opened
        # Opened it lies over the bench and never over the verdict: what must be done now stands there.
        top = self.verdict.mapTo(self, QPoint(0, self.verdict.height())).y() if over else 0
        bottom = self.middle.mapTo(self, QPoint(0, self.middle.height())).y() if over else self.height() - self.foot.height() - 1
        self.shelf.setGeometry(0, top, 180 if over else made.shelf, bottom - top)
        self.shelf.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A press outside the opened shelf closes it; a drag from it does not. It stays below the verdict as that grows."""
        if self._opened and watched in (self.verdict, self.middle) and event.type() in (QEvent.Type.Resize, QEvent.Type.Move):
            self._place_shelf()
        if self._opened and event.type() == QEvent.Type.MouseButtonPress and isinstance(watched, QWidget):
            inside = watched is self.shelf or self.shelf.isAncestorOf(watched)
            if not inside and watched.window() is self.window():
                self.close_shelf()
        return False

    # Width --------------------------------------------------------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit_widths()

    def fit_widths(self) -> None:
        """Arrange for the width that there is."""
        made = widths(self.width())
        if made != self._widths:
            self._widths = made
            self._open(False)
            self.slot.setFixedWidth(made.shelf)
            self.split.setOrientation(Qt.Orientation.Vertical if made.drawer else Qt.Orientation.Horizontal)
            # In the drawer findings and card stand side by side: there is more width than height.
            self.right.split.setOrientation(Qt.Orientation.Horizontal if made.drawer else Qt.Orientation.Vertical)
            if made.drawer:
                self.right.setMinimumWidth(0)
                self.split.setSizes([self.height() * 2 // 3, self.height() // 3])
                self.right.split.setSizes([self.width() * 2 // 5, self.width() * 3 // 5])
            else:
                self.right.setMinimumWidth(made.column)
                self.split.setSizes([self.width() - made.shelf - made.column, made.column])
                self.right.split.setSizes([self.height() // 2, self.height() // 2])
        self._place_shelf()

    # Right column -------------------------------------------------------------------------------------------------------------

    def _turn(self) -> None:
        """A number shows its steps; the sample stays while it is worked on."""
        if self.session.selection[:1] == ("cell",) and self.right.stack.currentWidget() is not self.right.steps:
            self.right.show_page("Worked steps")

    def open_card(self) -> None:
        """Show the card of what is selected, and put the keyboard into its first field."""
        self.right.show_page("Stage card")
        self.right.card.focus_first()

    def show_unjudged(self) -> None:
        """Open the list of what was not judged."""
        unjudged = self.right.findings.unjudged
        unjudged.button.setChecked(True)
        self.right.findings.area.ensureWidgetVisible(unjudged.button, 0, 120)
        unjudged.button.setFocus(Qt.FocusReason.OtherFocusReason)
