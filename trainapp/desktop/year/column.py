"""The right column of the Year view: what goes wrong, the run in numbers, and Safety at the foot."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QSplitter, QVBoxLayout, QWidget

from trainapp.desktop.engine import System
from trainapp.desktop.parts import Rule
from trainapp.desktop.safety import SafetyBlock
from trainapp.desktop.session import Session
from trainapp.desktop.year.content import number_lines, wrong_lists
from trainapp.desktop.year.totals import TotalsPanel
from trainapp.desktop.year.work import Answer
from trainapp.desktop.year.wrongs import WrongPanel


class YearColumn(QWidget):
    """Beside the benches, or below them where the window is narrow."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.wrongs = WrongPanel()
        self.totals = TotalsPanel()
        self.safety = SafetyBlock(session)
        self.split = QSplitter(Qt.Orientation.Vertical)
        self.split.setChildrenCollapsible(False)
        lower = QWidget()
        below = QVBoxLayout(lower)
        below.setContentsMargins(0, 0, 0, 0)
        below.setSpacing(0)
        below.addWidget(Rule())
        below.addWidget(self.totals, 1)
        self.split.addWidget(self.wrongs)
        self.split.addWidget(lower)
        self.split.setStretchFactor(0, 1)
        self.split.setStretchFactor(1, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.split, 1)
        column.addWidget(self.safety)

    def show_answer(self, answer: Answer, system: System) -> None:
        """Show another answer, or the same in other units."""
        self.wrongs.show_lists(wrong_lists(answer))
        heads = tuple(f"{'AB'[i]}  {label}" for i, label in enumerate(answer.labels)) if answer.pair is not None else ()
        self.totals.show_lines(number_lines(answer, system), heads)

    def show_stale(self, stale: bool) -> None:
        """Show numbers as those of before, or as they are."""
        self.totals.show_stale(stale)
        self.wrongs.body.setEnabled(not stale)

    def come_after(self, before: QWidget) -> None:
        """Have Tab come to the list, its rows and the numbers from a widget that stands before them."""
        for widget in (self.wrongs.area, self.totals.area):
            QWidget.setTabOrder(before, widget)
            before = widget
        self.wrongs.in_turn()

    def stand(self) -> None:
        """Hold everything itself, one above the other."""
        self.split.setOrientation(Qt.Orientation.Vertical)
        self._lie(False)
        layout = self.layout()
        assert isinstance(layout, QVBoxLayout)
        layout.insertWidget(0, self.split, 1)
        self.split.show()

    def lie_down(self) -> None:
        """Give all but Safety away, side by side: there is more width than height."""
        self.split.setOrientation(Qt.Orientation.Horizontal)
        self._lie(True)

    def _lie(self, flat: bool) -> None:
        """Save height where there is little: no heading under a tab that says the same, Safety in one line."""
        self.safety.lie_down(flat)
        self.wrongs.title.setVisible(not flat)
        self.wrongs.counts.setVisible(not flat)
        self.totals.title.setVisible(not flat)
