"""What a class may change: one slider for each, by mouse, or by Up and Down; the lesson is worked out again as it moves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.lessons.controls import Scaled, ScaledPanel, WordButton
from trainapp.desktop.lessons.places import LEAST
from trainapp.desktop.painter import paint
from trainapp.desktop.parts import focus_ring
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Circle, Line, Shape, Text
from trainapp.reports.drawing.measure import shorten, wrap
from trainapp.reports.drawing.tokens import LESSON_TEXT

_HEADING, _LINE, _TRACK, _FOOT = 34.0, 20.0, 26.0, 44.0
#: Between the ring of the keyboard and what stands inside it.
_INSIDE = 4.0
_ENDS, _KNOB = 13.0, 8.0


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that may be changed.

    Attributes:
        key: what the lesson knows it by. label: on the screen. stops: its values in words, from left to right. at: the lesson's own.
    """

    key: str
    label: str
    stops: tuple[str, ...]
    at: int


class TrySlider(QWidget, Scaled):
    """A slider over a few values. Left and Right belong to the lesson, so that a clicker works wherever the keyboard is."""

    #: Signal emitted with the key and the index of the value that was chosen.
    moved = Signal(str, int)

    def __init__(self, change: Change, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.change, self.at = change, change.at
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._name()

    def _name(self) -> None:
        name = f"{self.change.label}: {self.change.stops[self.at]}. Up and Down change it."
        self.setAccessibleName(name)
        self.setToolTip(name)

    def put(self, at: int, tell: bool = True) -> None:
        """Go to a value, as far as there is one."""
        at = min(max(at, 0), len(self.change.stops) - 1)
        if at != self.at:
            self.at = at
            self._name()
            self.update()
            if tell:
                self.moved.emit(self.change.key, at)

    def _lines(self, width: float) -> list[str]:
        """The label on as many lines as it takes; its value stands at the end of the last, or on one of its own."""
        width -= 2 * _INSIDE
        lines = wrap(self.change.label, width, LEAST, False, measure)
        value = max(measure(stop, LEAST, True) for stop in self.change.stops)
        return lines if measure(lines[-1], LEAST, False) + 10.0 + value <= width else [*lines, ""]

    def wanted_height(self, width: float) -> float:
        """Height at 100 % for a width at 100 %."""
        return len(self._lines(width)) * _LINE + _TRACK + 2 * _INSIDE + 2.0

    def _x(self, at: int, width: float) -> float:
        last = max(len(self.change.stops) - 1, 1)
        return _ENDS + (width - 2 * _ENDS) * at / last

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = {Qt.Key.Key_Up: 1, Qt.Key.Key_Plus: 1, Qt.Key.Key_Down: -1, Qt.Key.Key_Minus: -1}
        if event.key() in steps:
            self.put(self.at + steps[Qt.Key(event.key())])
        elif event.key() in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.put(0 if event.key() == Qt.Key.Key_Home else len(self.change.stops) - 1)
        else:
            event.ignore()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._drag(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._drag(event)

    def _drag(self, event: QMouseEvent) -> None:
        width = self.width() / self.scale
        part = (event.position().x() / self.scale - _ENDS) / max(width - 2 * _ENDS, 1.0)
        self.put(round(part * (len(self.change.stops) - 1)))

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            self.put(self.at + (1 if event.angleDelta().y() > 0 else -1))
        else:
            event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.scale(self.scale, self.scale)
        width = self.width() / self.scale
        lines = self._lines(width)
        items: list[Shape] = [Text(_INSIDE, 17.0 + i * _LINE, line, "ink2", LEAST) for i, line in enumerate(lines)]
        y = 17.0 + (len(lines) - 1) * _LINE
        shown = shorten(self.change.stops[self.at], width - 2 * _INSIDE, LEAST, True, measure)
        items.append(Text(width - _INSIDE, y, shown, "ink", LEAST, "end", True))
        track, x = y + 5.0 + _TRACK / 2 - 2.0, self._x(self.at, width)
        items.append(Line(_ENDS, track, width - _ENDS, track, "edge", 3.0))
        if len(self.change.stops) <= 7:
            for i in range(len(self.change.stops)):
                items.append(Line(self._x(i, width), track - 5.0, self._x(i, width), track + 5.0, "edge", 1.5))
        items.append(Circle(x, track, _KNOB, "page", "accent", 2.5))
        paint(painter, items, look().colour)
        painter.resetTransform()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        focus_ring(painter, self)


class TryPanel(ScaledPanel):
    """All that may be changed, and how far the working out is."""

    #: Signal emitted when anything was changed, with its key and the index of its value.
    moved = Signal(str, int)
    #: Signal emitted when what is being worked out is to be given up.
    stop_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sliders: list[TrySlider] = []
        self._told = ""
        self.stop = WordButton("Stop", "Stop the working out (Esc)", LEAST, self)
        self.stop.clicked.connect(self.stop_asked)
        self.stop.hide()

    def offer(self, changes: Sequence[Change]) -> None:
        """Offer other changes."""
        for slider in self.sliders:
            slider.setParent(None)
            slider.deleteLater()
        self.sliders = [TrySlider(change, self) for change in changes]
        for slider in self.sliders:
            slider.moved.connect(self.moved)
            slider.show()
        self._arrange()

    def put(self, chosen: Mapping[str, int]) -> None:
        """Put some of it elsewhere; nobody is told."""
        for slider in self.sliders:
            if slider.change.key in chosen:
                slider.put(chosen[slider.change.key], tell=False)

    def put_back(self) -> bool:
        """Put everything back as the lesson has it; whether anything was changed."""
        changed = [slider for slider in self.sliders if slider.at != slider.change.at]
        for slider in changed:
            slider.put(slider.change.at, tell=False)
        return bool(changed)

    @property
    def chosen(self) -> dict[str, int]:
        """Index of the value of each, by key."""
        return {slider.change.key: slider.at for slider in self.sliders}

    def tell(self, text: str, busy: bool) -> None:
        """Say how far the working out is, or what came of it; while it is busy it can be stopped."""
        self.stop.setVisible(busy)
        if text != self._told:
            self._told = text
            self.setAccessibleDescription(text)
            self.update()

    def wanted_height(self, width: float) -> float:
        """Height at 100 % for a width at 100 %."""
        return _HEADING + sum(slider.wanted_height(width) for slider in self.sliders) + _FOOT

    def _arrange(self) -> None:
        width, y = self.width() / self.scale, _HEADING
        for slider in self.sliders:
            slider.scale = self.scale
            height = slider.wanted_height(width)
            slider.setGeometry(QRect(0, round(y * self.scale), self.width(), round(height * self.scale)))
            y += height
        self.stop.scale = self.scale
        size = self.stop.sizeHint()
        self.stop.setGeometry(QRect(self.width() - size.width(), round((y + 4.0) * self.scale), size.width(), size.height()))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.scale(self.scale, self.scale)
        width, height = self.width() / self.scale, self.height() / self.scale
        items: list[Shape] = [Text(0.0, 20.0, "Try", "ink", LESSON_TEXT, "start", True)]
        room = width - (self.stop.width() / self.scale + 8.0 if self.stop.isVisible() else 0.0)
        for i, line in enumerate(wrap(self._told, room, LEAST, False, measure)[:2] if self._told else ()):
            items.append(Text(0.0, height - 26.0 + 19.0 * i, line, "ink2", LEAST))
        paint(painter, items, look().colour)
