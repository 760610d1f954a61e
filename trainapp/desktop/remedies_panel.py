"""What can be done about the opened finding: remedies that were tried, each with one button, and accepting it with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QAccessible, QAccessibleEvent, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp import units
from trainapp.checks.finding import Finding
from trainapp.desktop.accepting_form import AcceptLine
from trainapp.desktop.background import Errands
from trainapp.desktop.catalogues import carrying, catalogues
from trainapp.desktop.parts import BoxButton, Rule, wrapped
from trainapp.desktop.remedies_work import Question, Trier, told, told_whole, tried_whole, tried_words
from trainapp.desktop.session import Session
from trainapp.reports.drawing.tokens import BODY, CAPTION
from trainapp.reports.in_units import pipes_in

if TYPE_CHECKING:
    from trainapp.studies.remedies import Remedy, Tried

#: Edits that follow one another faster than this, as while something is dragged, are waited for, ms.
_PAUSE = 120
TRYING = "Trying remedies…"


class RemedyRow(QWidget):
    """One remedy: what is done, what that changes and costs, and the button that does it."""

    #: Signal emitted with the place of the remedy in the list when it is to be done.
    wanted = Signal(int)

    def __init__(self, place: int, remedy: Remedy, system: units.System, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._place = place
        label = units.typeset(pipes_in(remedy.label, system))
        self.label = wrapped(label.rstrip("."), "ink", BODY)
        self.told = wrapped("\n".join(told(remedy)), "ink2", CAPTION)
        self.button = BoxButton("Apply", f"Apply: {label}")
        whole = "\n".join(told_whole(remedy))
        self.told.setToolTip(whole)
        self.button.setAccessibleDescription(whole)
        self.button.clicked.connect(self._clicked)
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self.label)
        words.addWidget(self.told)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 2, 0, 2)
        row.setSpacing(8)
        row.addLayout(words, 1)
        row.addWidget(self.button, 0, Qt.AlignmentFlag.AlignTop)

    def _clicked(self) -> None:
        self.wanted.emit(self._place)


class FindingTools(QWidget):
    """Stands inside the opened finding. Remedies are worked out on another thread; an answer to an older question is dropped."""

    #: Signal emitted with a sentence once something was done.
    done = Signal(str)
    #: Signal emitted when there is more to see.
    grown = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.finding: Finding | None = None
        self.rows: list[RemedyRow] = []
        self.remedies: Sequence[Remedy] = ()
        self._question: Question | None = None
        self.said = wrapped("", "ink2", CAPTION)
        self.accept = AcceptLine(session)
        self.accept.done.connect(self.done)
        self.accept.opened.connect(self.grown)
        self._list = QVBoxLayout()
        self._list.setSpacing(2)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 0, 0)
        column.setSpacing(4)
        column.addWidget(Rule())
        column.addLayout(self._list)
        column.addWidget(self.said)
        column.addWidget(self.accept)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE)
        self._pause.timeout.connect(self._ask)
        self._errands = Errands(Trier(), "remedies", self)
        self._errands.answered.connect(self._answered)
        self._errands.failed.connect(self._failed)
        catalogues().changed.connect(self._items_changed)
        self.hide()

    @property
    def busy(self) -> bool:
        """Whether an answer is still to come."""
        return self._pause.isActive() or self._errands.busy

    # Showing ------------------------------------------------------------------------------------------------------------------

    def show_finding(self, finding: Finding | None) -> None:
        """Turn to another finding, or to none; what is shown of the same finding of the same document stays."""
        assessment = self.session.assessment
        if finding is None or assessment is None or self.session.stale:
            self._turn(None, None)
            return
        question = Question(assessment.document, finding, self.session.system, catalogues().own)
        if self._question is None or not _same(question, self._question):
            self._turn(finding, question)
            self.accept.show_finding(finding, assessment)
            self._chain()

    def _turn(self, finding: Finding | None, question: Question | None) -> None:
        self._errands.drop()
        self._clear()
        self.finding, self._question = finding, question
        self.setVisible(finding is not None)
        if finding is None:
            self._pause.stop()
            return
        self._say(TRYING)
        self._pause.start()

    def _clear(self) -> None:
        for row in self.rows:
            self._list.removeWidget(row)
            row.hide()
            row.deleteLater()
        self.rows, self.remedies = [], ()

    def _say(self, text: str) -> None:
        self.said.setText(text)
        self.said.setVisible(bool(text))

    def _items_changed(self) -> None:
        self.show_finding(self.finding)

    # Trying -------------------------------------------------------------------------------------------------------------------

    @Slot()
    def _ask(self) -> None:
        if self._question is not None:
            self._errands.ask(self._question)

    @Slot(object)
    def _answered(self, answer: Tried) -> None:
        self.remedies = answer.offered or answer.easing
        for place, remedy in enumerate(self.remedies):
            row = RemedyRow(place, remedy, self.session.system)
            row.wanted.connect(self.apply)
            self._list.addWidget(row)
            self.rows.append(row)
        self._say(tried_words(answer))
        self.said.setToolTip(tried_whole(answer))
        count = len(self.rows)
        self.setAccessibleName(f"{count} remed{'y' if count == 1 else 'ies'}" if count else self.said.text())
        QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))
        self._chain()
        self.grown.emit()

    def _chain(self) -> None:
        """The keyboard goes from the finding to its remedies, then to accepting, then to the next finding."""
        last = self.parentWidget()
        for widget in (*(row.button for row in self.rows), *self.accept.stops()):
            if last is not None:
                QWidget.setTabOrder(last, widget)
            last = widget

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        """The findings stand even so."""
        self._say(f"No remedies: the program failed at trying them, {type(error).__name__}: {error}.")

    @Slot(int)
    def apply(self, place: int) -> None:
        """Do a remedy, as one step of undo."""
        if 0 <= place < len(self.remedies):
            remedy, words = self.remedies[place], self.rows[place].label.text()
            if self.session.edit(carrying(self.session.document, remedy.edit)):
                self.done.emit(f"Done: {words}. Undo takes it back")

    # What is pressed here is not for the finding around it ----------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            super().keyPressEvent(event)


def _same(a: Question, b: Question) -> bool:
    return a.document is b.document and a.finding == b.finding and a.system == b.system and a.own is b.own
