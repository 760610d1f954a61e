"""The slider over the whole run: drag it, click on what goes wrong, or walk by hours, days and months with the keys."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from trainapp.desktop.fonts import font, measure
from trainapp.desktop.painter import paint
from trainapp.desktop.theme import look
from trainapp.desktop.year.calendar import DAY_HOURS, MONTH_STEP, ticks
from trainapp.desktop.year.stops import knob
from trainapp.reports.drawing.marks import Mark, mark
from trainapp.reports.drawing.tokens import CAPTION, MARK_CELL

_SIDE, _MARKS, _TRACK, _HEIGHT = 18.0, 9.0, 25.0, 50
_KEYS = {
    Qt.Key.Key_Left: -1.0,
    Qt.Key.Key_Right: 1.0,
    Qt.Key.Key_Down: -float(DAY_HOURS),
    Qt.Key.Key_Up: float(DAY_HOURS),
    Qt.Key.Key_PageDown: -float(MONTH_STEP),
    Qt.Key.Key_PageUp: float(MONTH_STEP),
}


@dataclass(frozen=True, slots=True)
class Milestone:
    """A moment that the slider marks: its hour, what mark, and what is said of it."""

    hour: float
    mark: Mark
    words: str


class Scrub(QWidget):
    """The slider. It only asks to stand elsewhere; who owns the clock moves it."""

    #: Signal emitted with the hour where it is wanted.
    wanted = Signal(float)
    #: Signal emitted with hours to step by.
    stepped = Signal(float)
    #: Signal emitted when Space is pressed on it.
    play_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.hour, self.hours, self.start_day, self.undated = 0.0, 8760, 0, False
        self.milestones: Sequence[Milestone] = ()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setMouseTracking(True)
        self.setFixedHeight(_HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleDescription("Left and Right an hour, Up and Down a day, Page Up and Page Down a month, Space plays")
        self.tell("")

    def sizeHint(self) -> QSize:
        return QSize(600, _HEIGHT)

    def show_run(self, hours: int, start_day: int, milestones: Sequence[Milestone], undated: bool = False) -> None:
        """Stand for another run; without dates where what is shown over it has none."""
        self.hours, self.start_day, self.milestones, self.undated = hours, start_day, tuple(milestones), undated
        self.show_hour(self.hour)

    def show_hour(self, hour: float) -> None:
        """Stand at an hour."""
        self.hour = hour
        self.update()

    def tell(self, when: str) -> None:
        """Let a screen reader say when that is."""
        self.setAccessibleName(f"Time in the run: {when}" if when else "Time in the run")

    def x(self, hour: float) -> float:
        """Where an hour is, px."""
        return _SIDE + hour / max(self.hours - 1, 1) * (self.width() - 2 * _SIDE)

    def hour_at(self, x: float) -> float:
        """The whole hour at a place, held to the run."""
        share = (x - _SIDE) / max(self.width() - 2 * _SIDE, 1.0)
        return float(round(min(max(share, 0.0), 1.0) * (self.hours - 1)))

    def milestone_at(self, x: float, y: float) -> Milestone | None:
        """The mark under a place."""
        reach = MARK_CELL / 2 + 3
        near = [m for m in self.milestones if abs(self.x(m.hour) - x) <= reach]
        return min(near, key=lambda m: abs(self.x(m.hour) - x), default=None) if y <= _MARKS + reach - 1 else None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            at = event.position()
            found = self.milestone_at(at.x(), at.y())
            self.wanted.emit(found.hour if found is not None else self.hour_at(at.x()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        found = self.milestone_at(event.position().x(), event.position().y())
        self.setToolTip(found.words if found is not None else "")
        if event.buttons() & Qt.MouseButton.LeftButton:
            self.wanted.emit(self.hour_at(event.position().x()))

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key in _KEYS:
            self.stepped.emit(_KEYS[key])
        elif key == Qt.Key.Key_Space:
            self.play_asked.emit()
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.wanted.emit(0.0 if key == Qt.Key.Key_Home else float(self.hours - 1))
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("edge"), 3.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawLine(QPointF(_SIDE, _TRACK), QPointF(self.width() - _SIDE, _TRACK))
        self._axis(painter)
        for each in self.milestones:
            paint(painter, mark(each.mark, self.x(each.hour), _MARKS, MARK_CELL), look().colour)
        x = self.x(self.hour)
        painter.setPen(QPen(look().colour("accent"), 2.0))
        painter.drawLine(QPointF(x, _MARKS + 7), QPointF(x, _TRACK))
        knob(painter, x, _TRACK, self.hasFocus())

    def _axis(self, painter: QPainter) -> None:
        """Words under the track, as many as there is room for."""
        painter.setFont(font(CAPTION))
        free = 0.0
        for hour, words in ticks(self.start_day, self.hours // DAY_HOURS, self.undated):
            x, width = self.x(hour), measure(words, CAPTION)
            painter.setPen(QPen(look().colour("edge"), 1.0))
            painter.drawLine(QPointF(x, _TRACK + 3), QPointF(x, _TRACK + 8))
            left = min(max(x - width / 2, 2.0), self.width() - width - 2.0)
            if left >= free:
                painter.setPen(look().colour("ink2"))
                painter.drawText(QPointF(left, _HEIGHT - 5.0), words)
                free = left + width + 8.0
