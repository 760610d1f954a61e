"""One strip chart in the window: the report's own drawing, with a cursor that moves over it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QWidget

from trainapp.desktop.engine import System
from trainapp.desktop.fonts import font, measure
from trainapp.desktop.parts import FlatButton
from trainapp.desktop.theme import look
from trainapp.desktop.year.picture import Picture
from trainapp.reports.drawing.display import Box, Display, Text
from trainapp.reports.drawing.tokens import CAPTION
from trainapp.reports.year_chart import strip_chart
from trainapp.reports.year_series import ChartError, Line, Series, series_of, shown, unit_of

HEIGHT = 124


class ChartPanel(Picture):
    """A chart. Press or drag on it to go to that hour."""

    #: Signal emitted with the hour that is wanted.
    wanted = Signal(float)
    #: Signal emitted with the number of the chart when a line is to be added, or the chart to be removed.
    more_asked, remove_asked = Signal(int), Signal(int)

    def __init__(self, number: int, parent: QWidget | None = None) -> None:
        super().__init__("Chart", parent)
        self.number = number
        self.lines: Sequence[Line] = ()
        self.system: System = "us"
        self.window_days: tuple[int, int] | None = None
        self.margins = (0.0, 0.0)
        self.hour = 0.0
        self.undated = self.stale = False
        self.error = ""
        self._series: list[Series] = []
        self._plot: Box | None = None
        self.setFixedHeight(HEIGHT)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.more = FlatButton("＋", "Add a line to this chart", parent=self)
        self.remove = FlatButton("×", "Remove this chart", parent=self)
        self.more.clicked.connect(self._more)
        self.remove.clicked.connect(self._remove)

    def show_lines(self, lines: Sequence[Line], system: System, window: tuple[int, int] | None, more: bool) -> None:
        """Show other lines; `more` tells whether one more finds room."""
        self.lines, self.system, self.window_days = tuple(lines), system, window
        name = ", ".join(dict.fromkeys(f"{line.quantity.label} {line.name}" for line in lines))
        self.setAccessibleName(f"Chart: {name}")
        for button, words in ((self.more, "Add a line to the chart of"), (self.remove, "Remove the chart of")):
            button.setAccessibleName(f"{words} {name}")
        self.more.setVisible(more)
        self.refresh()

    def show_window(self, window: tuple[int, int] | None) -> None:
        """Show other days of the run."""
        if window != self.window_days:
            self.window_days = window
            self.refresh()

    def share_margins(self, margins: tuple[float, float]) -> None:
        """Leave as much beside the lines as the charts below and above."""
        if margins != self.margins:
            self.margins = margins
            self.refresh()

    def show_hour(self, hour: float) -> None:
        """Move the cursor."""
        self.hour = hour
        self.update()

    def draw(self, width: float, height: float) -> Display | None:
        self._plot, self._series, self.error = None, [], ""
        if not self.lines:
            return None
        try:
            self._series = [series_of(line, self.system, self.window_days) for line in self.lines]
            display = strip_chart(
                self.lines,
                width=width,
                height=height,
                system=self.system,
                measure=measure,
                day_window=self.window_days,
                margins=self.margins,
                undated=self.undated,
            )
        except ChartError as error:
            self.error = str(error)
            return Display(width, height, [Text(12.0, 24.0, self.error, "ink2")], "page")
        self._plot = next((group.areas[0] for group in display.groups() if group.tag[0] == "chart" and group.areas), None)
        return display

    # The cursor -------------------------------------------------------------------------------------------------------------------

    @property
    def span(self) -> tuple[float, float]:
        """Hours at both ends of the axis."""
        first = self._series[0]
        return first.start, first.start + max(len(series.values) * series.step for series in self._series)

    def values(self) -> str:
        """What each line is in the hour of the cursor."""
        told = []
        for series in self._series:
            at = series.at(self.hour)
            if at is not None:
                low, high = (shown(value, series.quantity, self.system) for value in at)
                number = low if low == high else f"{low}\u2013{high}"
                told.append(number if len(self._series) == 1 else f"{_short(series.name)} {number}")
        if not told:
            return "nothing in this hour"
        when = "in this minute" if self._series[0].step < 1.0 else "in this hour"
        return " ".join(filter(None, (", ".join(told), unit_of(self._series[0].quantity.dimension, self.system), when)))

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        plot, text = self._plot, self.values()
        if plot is None or not self._series:
            return
        start, end = self.span
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if start <= self.hour <= end:
            x = plot.x + (self.hour - start) / (end - start) * plot.w
            painter.setPen(QPen(look().colour("accent"), 1.5))
            painter.drawLine(QPointF(x, plot.y), QPointF(x, plot.bottom))
            self._write(painter, text)
        painter.end()

    def _write(self, painter: QPainter, text: str) -> None:
        """The values at the cursor, at the right of the title."""
        width = measure(text, CAPTION, True)
        right = float(self.more.x() if not self.more.isHidden() else self.remove.x()) - 6.0
        painter.fillRect(QRectF(right - width - 8.0, 3.0, width + 8.0, 20.0), look().colour("page"))
        painter.setFont(font(CAPTION, True))
        painter.setPen(look().colour("ink3" if self.stale else "ink"))
        painter.drawText(QPointF(right - width, 18.0), text)

    # Pointer ----------------------------------------------------------------------------------------------------------------------

    def hour_at(self, x: float) -> float | None:
        """The whole hour at a place, None where there is no axis."""
        if self._plot is None or not self._series:
            return None
        start, end = self.span
        share = min(max((x - self._plot.x) / self._plot.w, 0.0), 1.0)
        return float(int(min(start + share * (end - start), end - 1.0)))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._want(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.setCursor(Qt.CursorShape.CrossCursor)
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._want(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        event.accept()

    def _want(self, event: QMouseEvent) -> None:
        hour = self.hour_at(event.position().x())
        if hour is not None and event.buttons() & Qt.MouseButton.LeftButton:
            self.wanted.emit(hour)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        x = self.width() - 4
        for button in (self.remove, self.more):
            size = button.sizeHint()
            x -= size.width()
            button.setGeometry(x, 2, size.width(), size.height())

    def _more(self) -> None:
        self.more_asked.emit(self.number)

    def _remove(self) -> None:
        self.remove_asked.emit(self.number)


def _short(name: str) -> str:
    """The letter of a train, the name of a place."""
    return name[0] if name[:2] in ("A ", "B ") else name
