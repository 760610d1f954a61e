"""The bar at the foot of a lesson: its four steps, the clock, and which keys go on."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.lessons.controls import LessonButton, ScaledPanel, WordButton
from trainapp.desktop.lessons.places import FOOT, LEAST, MARGIN
from trainapp.desktop.lessons.steps import STEPS, Step, Walk
from trainapp.desktop.painter import paint
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Line, Rect, Shape, Text
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.measure import shorten
from trainapp.reports.drawing.tokens import LESSON_TEXT

_TICK = 22.0


class StepButton(LessonButton):
    """One step: ticked when it lies behind, underlined while the class is in it."""

    def __init__(self, step: Step, parent: QWidget | None = None) -> None:
        super().__init__(step, parent)
        self.step: Step = step
        self.here, self.done = False, False

    def stand(self, here: bool, done: bool) -> None:
        """Show where it stands."""
        self.here, self.done = here, done
        self.setAccessibleName(f"{self.step}, {'now' if here else 'done' if done else 'to come'}")
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(int(self.scale * (measure(self.step, LESSON_TEXT, True) + _TICK + 12.0)), int(self.scale * 40.0))

    def shapes(self, width: float, height: float) -> list[Shape]:
        left, y = _TICK + 4.0, height / 2 + 7.0
        token = "ink" if self.here else "ink2" if self.done else "ink3"
        items: list[Shape] = [Text(left, y, self.step, token, LESSON_TEXT, "start", self.here)]
        if self.here:
            items.append(Rect(left - 2.0, height - 5.0, measure(self.step, LESSON_TEXT, True) + 4.0, 4.0, "accent", "", 0.0))
        elif self.done:
            items += mark("ok", _TICK / 2, height / 2, 14.0)
        return items


class StepBar(ScaledPanel):
    """The bar."""

    #: Signal emitted with the step that is asked for, and when the clock is to be started or held.
    step_asked = Signal(str)
    play_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.steps = {step: StepButton(step, self) for step in STEPS}
        for button in self.steps.values():
            button.clicked.connect(self._clicked)
        self.play = WordButton("Play", "Play the clock (Space)", LEAST, self)
        self.play.clicked.connect(self.play_asked)
        self._clock, self._hint = "", ""

    def show_walk(self, walk: Walk) -> None:
        """Show where the class stands."""
        for step, button in self.steps.items():
            button.stand(step == walk.step, step in walk.done)

    def show_clock(self, text: str, playing: bool, can: bool) -> None:
        """Show the time that the clock stands at; `can`: whether there is a clock in sight."""
        self._clock = text
        self.play.setVisible(can)
        self.play.show_text("Hold" if playing else "Play", "Hold the clock (Space)" if playing else "Play the clock (Space)")
        self.update()

    def hint(self, text: str) -> None:
        """Say which keys go on."""
        if text != self._hint:
            self._hint = text
            self.update()

    def _clicked(self) -> None:
        button = self.sender()
        if isinstance(button, StepButton):
            self.step_asked.emit(button.step)

    def _arrange(self) -> None:
        x = MARGIN * self.scale - _TICK * self.scale * 0.25
        for button in (*self.steps.values(), self.play):
            button.scale = self.scale
            size = button.sizeHint()
            x += 12.0 * self.scale if button is self.play else 0.0
            button.setGeometry(QRect(round(x), round((self.height() - size.height()) / 2), size.width(), size.height()))
            x += size.width() + 2.0 * self.scale
        self._after = x / self.scale + 14.0

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), look().colour("page"))
        painter.scale(self.scale, self.scale)
        width, y = self.width() / self.scale, FOOT / 2 + 6.0
        items: list[Shape] = [Line(0.0, 0.5, width, 0.5, "hair")]
        left = self._after
        if self._clock:
            items.append(Text(left, y, self._clock, "ink2", LEAST))
            left += measure(self._clock, LEAST, False) + 24.0
        hint = shorten(self._hint, width - MARGIN - left, LEAST, False, measure)
        items.append(Text(width - MARGIN, y, hint, "ink3", LEAST, "end"))
        paint(painter, items, look().colour)
