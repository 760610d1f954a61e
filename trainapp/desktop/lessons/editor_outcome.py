"""Beside the lesson that is written: what is still wrong with it, or the numbers and the right answer that come of it."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.parts import BoxButton, FlatButton, MainButton, MarkLabel, TokenLabel, beside_mark, wrapped
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING
from trainapp.studies.lessons import Played
from trainapp.units import System, typeset

_WIDE = 280


class OutcomePanel(QWidget):
    """The panel, with what can be done."""

    #: Signal emitted with the id of a command, or "explain".
    asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedWidth(_WIDE)
        self.played: Played | None = None
        self._system: System = "us"
        self.mark = MarkLabel("fail")
        self.said = wrapped("", "ink", BODY)
        self.numbers = wrapped("", "ink", BODY)
        self.point = wrapped("", "ink2", BODY)
        self.stop = self._button("stop", "Stop", BoxButton, "Stop the working out")
        self.explain = self._button("explain", "Let the point explain that", BoxButton)
        self._arrange()
        self.say("")

    def _button(self, command: str, text: str, kind: type[FlatButton], name: str = "") -> FlatButton:
        button = kind(text, name or text)
        button.setObjectName(command)
        button.clicked.connect(self._clicked)
        return button

    def _arrange(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 12)
        column.setSpacing(8)
        column.addWidget(TokenLabel("What comes of it", "ink", HEADING, bold=True))
        column.addLayout(beside_mark(self.mark, self.said))
        column.addWidget(self.stop)
        column.addWidget(self.numbers)
        column.addWidget(self.explain)
        column.addWidget(self.point)
        column.addStretch(1)
        column.addWidget(wrapped("Worked out as you write. What is right nobody types: it follows from the numbers.", "ink3", CAPTION))
        self.buttons = {
            "lesson_try": self._button("lesson_try", "Try it", MainButton, "Play the lesson as it is written (Ctrl+Alt+T)"),
            "lesson_save": self._button("lesson_save", "Save", BoxButton, "Save the lesson (Ctrl+Alt+S)"),
            "lesson_save_as": self._button("lesson_save_as", "Save as\u2026", BoxButton, "Save the lesson to another file"),
            "lesson_worksheet": self._button("lesson_worksheet", "Worksheet, PDF\u2026", BoxButton),
            "lesson_answers": self._button("lesson_answers", "Answer sheet, PDF\u2026", BoxButton),
            "lesson_list": self._button("lesson_list", "Back to the list", BoxButton, "Back to the list of lessons (Ctrl+Alt+L)"),
        }
        for pair in (("lesson_try",), ("lesson_save", "lesson_save_as"), ("lesson_worksheet",), ("lesson_answers",), ("lesson_list",)):
            row = QHBoxLayout()
            row.setSpacing(8)
            for command in pair:
                row.addWidget(self.buttons[command])
            row.addStretch(1)
            column.addLayout(row)

    def _clicked(self) -> None:
        sender = self.sender()
        if sender is not None:
            self.asked.emit(sender.objectName())

    def say(self, text: str, refused: bool = False) -> None:
        """Say something; `refused` with the mark of what is wrong, and then there are no numbers."""
        self.said.setText(typeset(text))
        self.said.setVisible(bool(text))
        self.mark.setVisible(refused and bool(text))
        self.stop.hide()
        if refused:
            self._show(None)

    def wait(self, share: float) -> None:
        """Say how far the working out is."""
        self.say(f"Working it out, {100 * share:.0f}\u202f%")
        self.stop.show()

    def use_units(self, system: System) -> None:
        """Tell numbers in these units."""
        if system != self._system:
            self._system = system
            self._show(self.played)

    def show_played(self, played: Played | None, system: System) -> None:
        """Show what came of the lesson; None for nothing yet."""
        self._system = system
        self.say("")
        self._show(played)

    def _show(self, played: Played | None) -> None:
        self.played = played
        for widget in (self.numbers, self.point):
            widget.setVisible(played is not None)
        self.explain.setVisible(played is not None and played.right is not None and not played.as_told)
        if played is None:
            return
        lines = []
        for bench in played.benches:
            number = f"{played.number(bench.letter, self._system)} {bench.number.unit(self._system)}".rstrip()
            said = (number, "illustrative" if bench.number.illustrative else "", played.verdict(bench.letter, self._system))
            lines.append(f"{bench.letter}: {', '.join(filter(None, said))}")
        lines.append(f"Right answer: {played.answer_text()}")
        if not played.as_told:
            lines.append(f"The point explains: {played.lesson.point.answer}")
        self.numbers.setText(typeset("\n".join(lines)))
        self.point.setText(played.point(self._system))
