"""Strip charts below the bench: as many as the user picks, all on the clock of the view."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from trainapp.desktop.engine import System
from trainapp.desktop.finder import Finder
from trainapp.desktop.fonts import measure
from trainapp.desktop.parts import BoxButton, ChoiceBox, TokenLabel, caption, quiet, wrapped
from trainapp.desktop.year import chart_choice as choosing
from trainapp.desktop.year.calendar import DAY_HOURS
from trainapp.desktop.year.chart_choice import Chart
from trainapp.desktop.year.chart_panel import ChartPanel
from trainapp.desktop.year.work import Answer
from trainapp.reports.drawing.tokens import BODY, HEADING, PAD
from trainapp.reports.year_chart import margins_of, usual
from trainapp.reports.year_moment import undated
from trainapp.reports.year_series import ChartError, Line

#: Stretches that can be looked at: words, and days; 0 for all of the run.
WINDOWS: tuple[tuple[str, int], ...] = (("whole run", 0), ("quarter", 91), ("month", 30), ("week", 7), ("day", 1))


class ChartStrip(QWidget):
    """Charts in a scroll area, a head with what can be done to all of them."""

    #: Signal emitted with the hour that is wanted.
    wanted = Signal(float)
    #: Signal emitted with why something was not done.
    told = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.charts: list[Chart] = []
        self.panels: list[ChartPanel] = []
        self.answer: Answer | None = None
        self.system: System = "us"
        self.hour = 0.0
        self._grows: int | None = None
        self._begun = False
        self._make()

    def _make(self) -> None:
        self.add = BoxButton("Add a chart…", "Pick a quantity and add its chart")
        self.add.clicked.connect(self.pick)
        self.stretch = ChoiceBox()
        self.stretch.setAccessibleName("Stretch of time that the charts show")
        self.stretch.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.stretch.setFixedWidth(int(measure("whole run", BODY)) + 34)
        for words, days in WINDOWS:
            self.stretch.addItem(words, days)
        self.stretch.activated.connect(self._stretched)
        self.none = wrapped("No chart is shown. Add one, or click on a number under the bench.", "ink2", BODY)
        self._head = head = QHBoxLayout()
        head.setContentsMargins(int(PAD), 4, int(PAD), 2)
        head.setSpacing(8)
        self.title = TokenLabel("Charts", "ink", HEADING, bold=True)
        head.addWidget(self.title)
        head.addWidget(caption("showing"))
        head.addWidget(self.stretch)
        head.addStretch(1)
        head.addWidget(self.add)
        self.body = QWidget()
        self.column = QVBoxLayout(self.body)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(0)
        self.none.setContentsMargins(int(PAD), 4, int(PAD), 4)
        self.column.addWidget(self.none)
        self.column.addStretch(1)
        self.area = QScrollArea()
        quiet(self.area)
        self.area.setWidgetResizable(True)
        self.area.setWidget(self.body)
        self.area.setAccessibleName("Charts")
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setMinimumHeight(1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(0)
        outer.addLayout(head)
        outer.addWidget(self.area, 1)
        self.setAutoFillBackground(True)
        self._fit()

    @property
    def head_height(self) -> int:
        """Height of what stands over the charts, px."""
        return self._head.sizeHint().height()

    # Shown ------------------------------------------------------------------------------------------------------------------------

    def show_answer(self, answer: Answer, system: System) -> None:
        """Show another answer, or the same in other units."""
        self.answer, self.system = answer, system
        if not self._begun:
            self._begun = True
            self.charts = [(shown,) for shown in usual(answer.year)]
        self.charts = choosing.kept(answer, self.charts)
        self._fit()

    def show_hour(self, hour: float) -> None:
        """Move the cursors, and the stretch that is shown with them."""
        self.hour = hour
        window = self.day_window()
        turned = any(panel.window_days != window for panel in self.panels)
        for panel in self.panels:
            panel.show_window(window)
            panel.show_hour(hour)
        if turned:
            self._line_up()

    def describe(self) -> None:
        """Say what the charts show where a screen reader looks."""
        for panel in self.panels:
            if panel.isVisible():
                panel.setAccessibleDescription(panel.values())

    def show_stale(self, stale: bool) -> None:
        """Show values as those of before, or as they are."""
        for panel in self.panels:
            panel.stale = stale
            panel.update()

    def day_window(self) -> tuple[int, int] | None:
        """First day and days that the charts show, None for the whole run."""
        days = int(self.stretch.currentData() or 0)
        if self.answer is None or days == 0:
            return None
        whole = self.answer.hours // DAY_HOURS
        days = min(days, whole)
        first = int(self.hour) // DAY_HOURS // days * days
        return min(first, whole - days), days

    def shown_lines(self) -> list[list[Line]]:
        """The lines of every chart."""
        return [choosing.lines_of(self.answer, chart) for chart in self.charts] if self.answer is not None else []

    def _stretched(self, _index: int) -> None:
        self.show_hour(self.hour)

    def _fit(self) -> None:
        """As many panels as charts, each with its lines."""
        while len(self.panels) > len(self.charts):
            panel = self.panels.pop()
            self.column.removeWidget(panel)
            panel.hide()
            panel.deleteLater()
        while len(self.panels) < len(self.charts):
            panel = ChartPanel(len(self.panels))
            panel.wanted.connect(self.wanted)
            panel.more_asked.connect(self._more)
            panel.remove_asked.connect(self.remove)
            self.column.insertWidget(self.column.count() - 1, panel)
            self.panels.append(panel)
        window = self.day_window()
        for panel, chart, lines in zip(self.panels, self.charts, self.shown_lines(), strict=False):
            panel.undated = self.answer is not None and undated(self.answer.years)
            panel.show_lines(lines, self.system, window, self.answer is not None and choosing.room_for(self.answer, chart))
            panel.show_hour(self.hour)
        self.none.setVisible(not self.charts)
        self._line_up()
        self._in_turn()

    def _in_turn(self) -> None:
        """Let Tab walk from the head to the buttons of each chart, which are younger than what stands below."""
        buttons = [button for panel in self.panels for button in (panel.more, panel.remove)]
        for before, button in pairwise((self.add, *buttons)):
            QWidget.setTabOrder(before, button)

    def _line_up(self) -> None:
        """Let an hour stand at one place in all charts."""
        rows = [panel.lines for panel in self.panels if panel.lines]
        try:
            margins = margins_of(
                rows, width=float(self.area.viewport().width()), system=self.system, measure=measure, day_window=self.day_window()
            )
        except ChartError:
            return
        for panel in self.panels:
            panel.share_margins(margins)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._line_up()

    # Picked -----------------------------------------------------------------------------------------------------------------------

    def pick(self) -> None:
        """Let a quantity be found for a chart of its own."""
        self._open(None, self.add)

    def _more(self, number: int) -> None:
        self._open(number, self.panels[number].more)

    def _open(self, number: int | None, button: QWidget) -> None:
        if self.answer is None:
            return
        self._grows = number
        beside = self.charts[number] if number is not None else ()
        finder = Finder("Find a quantity", choosing.offered(self.answer, beside), self.window())
        finder.taken.connect(self._taken)
        finder.open_at(button.mapToGlobal(QPoint(0, button.height())))

    def _taken(self, key: str) -> None:
        at, _, name = key.partition(" ")
        if self._grows is None:
            self.put((at, name))
        else:
            self.charts[self._grows] = (*self.charts[self._grows], (at, name))
            self._fit()

    def put(self, shown: choosing.Shown) -> None:
        """Add the chart of a quantity, and bring it into sight; one that is there already is brought into sight."""
        if (shown,) not in self.charts:
            self.charts.append((shown,))
            self._fit()
        panel = self.panels[self.charts.index((shown,))]
        self.body.adjustSize()
        self.area.ensureWidgetVisible(panel, 0, 0)

    def add_cell(self, analyte: str, node: str, index: int) -> None:
        """Add the chart of a number of the ledger: the water that arrives at a node of one of the trains."""
        if self.answer is None:
            return
        at = choosing.feeding(self.answer.years[index].document, node)
        if at is not None and choosing.has(self.answer.years[index], (at, analyte)):
            self.put((at, analyte))
        else:
            self.told.emit("No course of that number is kept through the year")

    def remove(self, number: int) -> None:
        """Take a chart away."""
        if 0 <= number < len(self.charts):
            del self.charts[number]
            self._fit()
            self.add.setFocus(Qt.FocusReason.OtherFocusReason)
