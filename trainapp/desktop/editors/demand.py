"""Demand: a typed peak, or fixtures with several published answers side by side, of which one is chosen."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from trainapp.desktop.editors.counts import CountSheet
from trainapp.desktop.editors.demand_content import (
    FIXTURE_COLUMNS,
    Answer,
    answer_in_force,
    answers_of,
    choose,
    fixture_lines,
    groups_of,
    set_count,
    summary,
    table_titles,
    use_of,
)
from trainapp.desktop.editors.dialog import Editor, heading
from trainapp.desktop.editors.form import Form
from trainapp.desktop.editors.pick import Pick
from trainapp.desktop.editors.scroll import column_area
from trainapp.desktop.parts import BoxButton, TokenLabel, caption, wrapped
from trainapp.desktop.theme import look
from trainapp.hydraulics.demand import DemandError, fixture_labels, peak_demand
from trainapp.reports.drawing.tokens import BODY, CAPTION, CARD_CORNER, SELECTION, TITLE

_ABREAST = 3


class DemandEditor(Editor):
    """The demand of the house."""

    opens = QSize(1060, 720)

    def build(self) -> None:
        self.form = Form(self, label=84)
        self.told = wrapped("", "ink2")
        self.fixtures = CountSheet("Fixtures")
        self.fixtures.counted.connect(self._count)
        self.fixtures.refused.connect(self._refused)
        self.also = Pick("Also show", 0, 0)
        self.also.picked.connect(self._show_also)
        self._also = ""
        self._gesture = ""
        right = self._right()
        self.put_beside(self._left(), right, grows=right)

    def _left(self) -> QWidget:
        left = QWidget()
        left.setFixedWidth(400)
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.form)
        column.addSpacing(4)
        column.addWidget(self.fixtures.head("Fixtures"))
        column.addWidget(self.fixtures, 1)
        column.addWidget(caption("Type a count, or press + and −."))
        return left

    def _right(self) -> QWidget:
        right = QWidget()
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(heading("Peak"))
        column.addWidget(self.told)
        self.cards = Cards()
        self.cards.chosen.connect(self._choose)
        column.addWidget(column_area(self.cards, "Answers side by side"), 1)
        column.addWidget(self.also)
        return right

    # Showing ------------------------------------------------------------------------------------------------------------------

    def first(self) -> QWidget | None:
        return self.form.first()

    def refresh(self) -> None:
        document, system = self.session.document, self.session.system
        self.form.show_groups(groups_of(document, system))
        self.told.setText(summary(document, system))
        answer = answer_in_force(document)
        if answer is None and document.demand.fixture_counts:
            try:
                answer = peak_demand(document.demand.fixture_counts, document.demand.word("table"), use_of(document))
            except DemandError:
                answer = None
        self.fixtures.show_lines(FIXTURE_COLUMNS, fixture_lines(document, answer, self.session.system))
        self.cards.show_answers(answers_of(document, self._also, system))
        self.also.show_choices([("", "no other table"), *table_titles(document)], self._also)

    def _show_also(self, table: str) -> None:
        self._also = table
        self.refresh()

    # Doing --------------------------------------------------------------------------------------------------------------------

    def _count(self, fixture: str, count: int, on: bool) -> None:
        """Presses in a row on one fixture are one step of undo."""
        self._gesture = self._gesture if on else self.session.begin_gesture("count")
        reason = self.attempt(set_count(self.session.document, fixture, count), self._gesture)
        self.say(f"{fixture_labels()[fixture]}: {reason}." if reason else "", refused=bool(reason))

    def _refused(self, reason: str) -> None:
        self.say(reason, refused=True)

    def _choose(self, table: str) -> None:
        self.fixtures.ended()
        self.do(choose(self.session.document, table))


class Cards(QWidget):
    """Answers beside each other."""

    #: Signal emitted with the table of the answer that is chosen.
    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.cards: dict[str, AnswerCard] = {}
        self.empty = wrapped("Count fixtures to see what several tables make of them.", "ink3")
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 4, 8, 4)
        self._grid.setSpacing(12)
        self._grid.addWidget(self.empty, 0, 0, 1, _ABREAST, Qt.AlignmentFlag.AlignTop)
        for column in range(_ABREAST):
            self._grid.setColumnStretch(column, 1)

    def show_answers(self, answers: Sequence[Answer]) -> None:
        """Show these answers."""
        if [answer.table for answer in answers] != list(self.cards):
            for card in self.cards.values():
                self._grid.removeWidget(card)
                card.hide()
                card.deleteLater()
            self.cards = {answer.table: AnswerCard(answer.table) for answer in answers}
            for i, card in enumerate(self.cards.values()):
                card.chosen.connect(self.chosen)
                self._grid.addWidget(card, i // _ABREAST, i % _ABREAST, Qt.AlignmentFlag.AlignTop)
            self._grid.setRowStretch(len(answers) // _ABREAST + 1, 1)
        for answer in answers:
            self.cards[answer.table].show_answer(answer)
        self.empty.setVisible(not answers)


class AnswerCard(QWidget):
    """One answer, with a button that makes it hold."""

    #: Signal emitted with its table.
    chosen = Signal(str)

    def __init__(self, table: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.table = table
        self.holds = False
        self.title = TokenLabel("", "ink", BODY, bold=True)
        self.title.setWordWrap(True)
        self.flow = TokenLabel("", "ink", TITLE, bold=True)
        self.how, self.comes = wrapped("", "ink2"), wrapped("", "ink3", CAPTION)
        self.notes = wrapped("", "ink2", CAPTION)
        self.button = BoxButton("Use this")
        self.button.clicked.connect(self._press)
        self.state = TokenLabel("in use", "ink", BODY, bold=True)
        self.state.setFixedHeight(self.button.sizeHint().height())
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 12, 12, 12)
        column.setSpacing(6)
        for widget in (self.title, self.flow, self.how, self.button, self.state, self.comes, self.notes):
            column.addWidget(widget)
        self.setMinimumWidth(150)

    def show_answer(self, answer: Answer) -> None:
        """Show an answer of its table."""
        self.holds = answer.holds
        self.title.setText(answer.title)
        self.flow.setText(answer.flow)
        self.how.setText(answer.how)
        self.comes.setText(answer.comes)
        self.notes.setText("\n".join(answer.notes))
        self.notes.setVisible(bool(answer.notes))
        self.button.setAccessibleName(f"Use {answer.flow} by {answer.title}")
        had = self.button.hasFocus()
        self.button.setVisible(not answer.holds)
        self.state.setVisible(answer.holds)
        if had and answer.holds:
            self.window().setFocus()
        self.update()

    def _press(self) -> None:
        self.chosen.emit(self.table)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("accent" if self.holds else "hair"), SELECTION if self.holds else 1.0))
        painter.setBrush(look().colour("page"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), CARD_CORNER, CARD_CORNER)


EDITOR = DemandEditor
