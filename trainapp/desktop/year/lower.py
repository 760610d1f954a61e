"""What stands under the benches: the charts, and in a narrow window, behind a tab, what else stands beside them."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSplitter, QStackedWidget, QVBoxLayout, QWidget

from trainapp.desktop.parts import Rule, TabButton
from trainapp.desktop.year.chart_panel import HEIGHT
from trainapp.desktop.year.charts import ChartStrip
from trainapp.desktop.year.column import YearColumn
from trainapp.reports.drawing.tokens import HEADING

_CHARTS, _WRONGS = "Charts", "What goes wrong, and the numbers"

#: Height that a bench has beside an open drawer at the least, px.
_BENCH_LEAST = 170
#: Height of a page up to which the drawer is shut, px.
_SHUT = 24


class Downward(QSplitter):
    """Benches over the drawer; says when there is another height to share."""

    #: Signal emitted when its own size is another.
    resized = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.resized.emit()


class Lower(QWidget):
    """The drawer at the lower edge."""

    #: Signal emitted when a tab is clicked, whether it is in front or not.
    tab_clicked = Signal()

    def __init__(self, charts: ChartStrip, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.charts = charts
        self.stack = QStackedWidget()
        self.stack.addWidget(charts)
        self.bar = QWidget()
        self.tabs = {name: TabButton(name, HEADING) for name in (_CHARTS, _WRONGS)}
        line = QHBoxLayout()
        line.setContentsMargins(4, 0, 4, 0)
        line.setSpacing(2)
        for tab in self.tabs.values():
            tab.toggled.connect(self._turned)
            tab.clicked.connect(self.tab_clicked)
            line.addWidget(tab)
        line.addStretch(1)
        above = QVBoxLayout(self.bar)
        above.setContentsMargins(0, 0, 0, 0)
        above.setSpacing(0)
        above.addWidget(Rule())
        above.addLayout(line)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.bar)
        column.addWidget(self.stack, 1)
        self.tabs[_CHARTS].setChecked(True)
        self.bar.setVisible(False)

    def of_whole_charts(self, wished: int, room: int) -> int:
        """The height nearest to one that is wished, px, at which no chart is cut: that of one chart at the least.

        Where `room`, shared with the benches, has none for a chart beside them, it is a line to open it by, and no more.
        """
        bar = self.bar.sizeHint().height() if not self.bar.isHidden() else 0
        around = self.charts.head_height + bar + 2
        shut = room - around - HEIGHT < _BENCH_LEAST
        count = max(round((wished - around) / HEIGHT), 1)
        self.setMinimumHeight(bar or around if shut else around + HEIGHT)
        return bar or around if shut else around + count * HEIGHT

    @property
    def last_tab(self) -> QWidget:
        """The tab before its pages."""
        return self.tabs[_WRONGS]

    @property
    def shut(self) -> bool:
        """Whether its tabs alone are in sight."""
        return self.stack.isHidden()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.stack.setVisible(self.bar.isHidden() or self.height() > self.bar.sizeHint().height() + _SHUT)

    def take(self, column: YearColumn | None) -> None:
        """Take in what the column holds, as a page of the drawer; None for the charts alone."""
        if column is not None:
            self.stack.addWidget(column.split)
        self.bar.setVisible(column is not None)
        self.charts.title.setVisible(column is None)
        if column is None:
            self.tabs[_CHARTS].setChecked(True)
        self._turned(True)

    def show_counts(self, counts: str) -> None:
        """Say on the tab how much goes wrong."""
        self.tabs[_WRONGS].setText(f"{_WRONGS}: {counts}" if counts else _WRONGS)
        self.tabs[_WRONGS].updateGeometry()

    def show_wrongs(self) -> None:
        """Turn to what goes wrong, where it stands behind a tab."""
        self.tabs[_WRONGS].setChecked(True)

    def _turned(self, on: bool) -> None:
        if on:
            self.stack.setCurrentIndex(1 if self.tabs[_WRONGS].isChecked() and self.stack.count() > 1 else 0)
