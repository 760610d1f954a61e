"""The answers that a class chooses from: each counts its guesses, and shows them against the right one once that is out."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRect, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.lessons.controls import LessonButton, ScaledPanel
from trainapp.desktop.lessons.guesses import Guessed
from trainapp.desktop.lessons.places import LEAST
from trainapp.desktop.painter import paint
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Rect, Shape, Text
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.measure import shorten, wrap
from trainapp.reports.drawing.tokens import CORNER, LESSON_TEXT

_KEY, _BAR, _LEADING = 22.0, 12.0, 24.0
_HEADING = 34.0
#: Bars stand beside texts that take no more than this share of the width.
_BESIDE = 0.36


class AnswerRow(LessonButton):
    """One answer. A click counts a guess for it."""

    def __init__(self, number: int, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.number, self.answer = number, text
        self.count, self.most = 0, 1
        self.right: bool | None = None
        #: Whether it stands on one line without a bar, where there is little room.
        self.tight = False
        #: Width that the texts before all bars take, where the bars stand beside them; 0 where they stand below.
        self.label = 0.0

    def show_count(self, count: int, most: int, right: bool | None) -> None:
        """Show its guesses beside those of the answer with the most; `right` is None while the answer is not out."""
        self.count, self.most, self.right = count, max(most, 1), right
        told = {None: "", True: ", the right answer", False: ", not right"}[right]
        name = f"{self.number}: {self.answer}, {count} {'guess' if count == 1 else 'guesses'}{told}"
        self.setAccessibleName(name)
        self.setToolTip(name)
        self.update()

    def wanted_height(self, width: float) -> float:
        """Height at 100 % for a width at 100 %."""
        return _LEADING + 6.0 if self.tight else _LEADING + 12.0 if self.label else _LEADING * len(self._lines(width)) + _BAR + 16.0

    def label_width(self) -> float:
        """Width at 100 % of its text on one line."""
        return measure(self.answer, LESSON_TEXT, True)

    def _lines(self, width: float) -> list[str]:
        return wrap(self.answer, width - _KEY - 14.0, LESSON_TEXT, True, measure)

    def shapes(self, width: float, height: float) -> list[Shape]:
        bold, left = self.right is True, 4.0 + _KEY + 8.0
        token = "ink" if self.right is not False else "ink2"
        if self.tight:
            return self._one_line(width, left, token, bold)
        y = 25.0 if self.label else 23.0
        items: list[Shape] = [
            Rect(4.0, y - 18.0, _KEY, _KEY, "page", "edge", 1.0, CORNER),
            Text(4.0 + _KEY / 2, y - 1.0, str(self.number), "ink2", LEAST, "middle"),
        ]
        for line in [self.answer] if self.label else self._lines(width):
            items.append(Text(left, y, line, token, LESSON_TEXT, "start", bold))
            y += _LEADING
        return items + self._bar(width, left + self.label, y - _LEADING + (-7.0 if self.label else 16.0), token, bold)

    def _bar(self, width: float, left: float, middle: float, token: str, bold: bool) -> list[Shape]:
        """The guesses as a bar with their count behind it."""
        items: list[Shape] = []
        count = str(self.count)
        room = max(width - left - measure(count, LESSON_TEXT, True) - 8.0 - 26.0, 4.0)
        bar = max(room * self.count / self.most, 2.0 if self.count else 0.0)
        if bar:
            items.append(Rect(left, middle - _BAR / 2, bar, _BAR, "ink2" if self.right is not False else "ghost", "", 0.0))
        x = left + bar + (8.0 if bar else 0.0)
        items.append(Text(x, middle + 7.0, count, token, LESSON_TEXT, "start", bold))
        if self.right:
            items += mark("ok", x + measure(count, LESSON_TEXT, True) + 16.0, middle, 16.0)
        return items

    def _one_line(self, width: float, left: float, token: str, bold: bool) -> list[Shape]:
        count = str(self.count)
        end = width - 4.0 - (22.0 if self.right is not None else 0.0)
        room = end - measure(count, LESSON_TEXT, True) - 8.0 - left
        items: list[Shape] = [
            Rect(4.0, 4.0, _KEY, _KEY, "page", "edge", 1.0, CORNER),
            Text(4.0 + _KEY / 2, 21.0, str(self.number), "ink2", LEAST, "middle"),
            Text(left, 22.0, shorten(self.answer, room, LESSON_TEXT, bold, measure), token, LESSON_TEXT, "start", bold),
            Text(end, 22.0, count, token, LESSON_TEXT, "end", bold),
        ]
        return items + (mark("ok", width - 12.0, 16.0, 16.0) if self.right else [])


class GuessPanel(ScaledPanel):
    """The answers below one another."""

    #: Signal emitted with the index of an answer that one guesses, and with the index of one that is to be taken back.
    guessed = Signal(int)
    taken_back = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows: list[AnswerRow] = []
        self._told, self._out = "", False

    def ask(self, answers: Sequence[str]) -> None:
        """Show other answers."""
        for row in self.rows:
            row.setParent(None)
            row.deleteLater()
        self.rows = [AnswerRow(i + 1, text, self) for i, text in enumerate(answers)]
        for row in self.rows:
            row.clicked.connect(self._clicked)
            row.show()
        self._arrange()

    def show_guesses(self, guessed: Guessed, right: int | None, left_open: str = "") -> None:
        """Show the counts.

        Args:
            right: index of the right answer once it is out. left_open: why there is none, once that is out.
        """
        self._out = right is not None or bool(left_open)
        most, total = max(guessed.counts, default=0), guessed.total
        for i, row in enumerate(self.rows):
            row.show_count(guessed.counts[i], most, None if right is None else i == right)
        if left_open:
            self._told = left_open
        elif right is None:
            self._told = "Number keys count a guess." if not total else f"{total} counted; Backspace takes the last back."
        else:
            self._told = f"{guessed.counts[right]} of {total} guessed right." if total else "Nobody guessed."
        self._arrange()
        self.update()

    def set_tight(self, tight: bool) -> None:
        """Whether every answer stands on one line."""
        for row in self.rows:
            row.tight = tight

    def _clicked(self) -> None:
        row = self.sender()
        if isinstance(row, AnswerRow):
            self.guessed.emit(row.number - 1)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """The right button on an answer takes one of its guesses back."""
        child = self.childAt(event.position().toPoint())
        if event.button() == Qt.MouseButton.RightButton and isinstance(child, AnswerRow):
            self.taken_back.emit(child.number - 1)
        else:
            super().mousePressEvent(event)

    def _lead(self, width: float) -> None:
        """Bars stand beside the texts where all of them are short."""
        widest = max((row.label_width() for row in self.rows), default=0.0)
        for row in self.rows:
            row.label = widest + 12.0 if widest <= _BESIDE * width else 0.0

    def wanted_height(self, width: float) -> float:
        """Height at 100 % for a width at 100 %."""
        self._lead(width)
        foot = 21.0 * len(wrap(self._told, width, LEAST, False, measure)) + 8.0
        return _HEADING + sum(row.wanted_height(width) for row in self.rows) + foot

    def _arrange(self) -> None:
        width, y = self.width() / self.scale, _HEADING
        self._lead(width)
        for row in self.rows:
            row.set_scale(self.scale)
            height = row.wanted_height(width)
            row.setGeometry(QRect(0, round(y * self.scale), self.width(), round(height * self.scale)))
            y += height

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.scale(self.scale, self.scale)
        width = self.width() / self.scale
        items: list[Shape] = [Text(0.0, 20.0, "The class guessed" if self._out else "The class guesses", "ink", LESSON_TEXT, "start", True)]
        y = self.wanted_height(width) - 21.0 * len(wrap(self._told, width, LEAST, False, measure))
        for line in wrap(self._told, width, LEAST, False, measure):
            items.append(Text(0.0, y + 10.0, line, "ink2", LEAST))
            y += 21.0
        paint(painter, items, look().colour)
