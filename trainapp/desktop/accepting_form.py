"""The line under a finding that accepts it with a reason, or takes that back."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp.checks.finding import Finding
from trainapp.desktop.accepting import LAPSED, accept, is_acceptable, withdraw
from trainapp.desktop.engine import Assessment
from trainapp.desktop.parts import BoxButton, FlatButton, LineField, MarkLabel, wrapped
from trainapp.desktop.session import Session
from trainapp.reports.drawing.tokens import CAPTION, MARK_LEAST

NEVER = "It cannot be accepted: health or the dose is at stake."


class AcceptLine(QWidget):
    """Accepting changes neither severity nor verdict; it is written beside the finding, with who, when and why."""

    #: Signal emitted with a sentence once something was done.
    done = Signal(str)
    #: Signal emitted when the form is shown.
    opened = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self._finding: Finding | None = None
        self.opener = FlatButton("Accept with a reason", "", CAPTION)
        self.opener.setCheckable(True)
        self.opener.toggled.connect(self._open)
        self.taker = FlatButton("Withdraw", "Withdraw the acceptance", CAPTION)
        self.taker.clicked.connect(self._withdraw)
        self.state = wrapped("", "ink3", CAPTION)
        self.form = AcceptForm()
        self.form.wanted.connect(self._accept)
        self.form.left.connect(self._close)
        line = QHBoxLayout()
        line.setSpacing(8)
        for button in (self.opener, self.taker):
            line.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        line.addWidget(self.state, 1)
        line.addStretch()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(line)
        column.addWidget(self.form)
        self.form.hide()

    def show_finding(self, finding: Finding, assessment: Assessment) -> None:
        """Offer for a finding what is possible with it."""
        if self._finding is None or _key(self._finding) != _key(finding):
            self.opener.setChecked(False)
        self._finding = finding
        accepted = finding.accepted or {}
        may = is_acceptable(finding, assessment.evaluation)
        self.opener.setVisible(may and not accepted)
        self.taker.setVisible(bool(accepted) or finding.code == LAPSED)
        self.taker.setText("Withdraw" if accepted else "Remove the old acceptance")
        self.taker.updateGeometry()
        if accepted:
            self.opener.setChecked(False)
            when, who = accepted.get("date", ""), accepted.get("by", "")
            self.state.setText(f"accepted {when} {f'by {who}' if who else ''}".strip())
        else:
            self.state.setText("" if may or finding.code == LAPSED else NEVER)
        self.state.setVisible(bool(self.state.text()))

    def stops(self) -> tuple[QWidget, ...]:
        """Where the keyboard stops, in order."""
        return self.opener, self.taker, self.form.reason, self.form.by, self.form.button, self.form.cancel

    def _open(self, opened: bool) -> None:
        self.form.setVisible(opened)
        if opened:
            self.form.begin(self._last_signature())
            self.opened.emit()

    def _close(self) -> None:
        self.opener.setChecked(False)
        self.opener.setFocus(Qt.FocusReason.OtherFocusReason)

    def _last_signature(self) -> str:
        """Who accepted something in this document last."""
        return next((entry.by for entry in reversed(self.session.document.accepted) if entry.by), "")

    def _accept(self, reason: str, by: str) -> None:
        if self._finding is not None:
            title = self._finding.title
            if self.session.edit(accept(self.session.document, self._finding, reason, by, date.today())):
                self.done.emit(f"Accepted: {title}. It still counts as a {self._finding.severity}")

    def _withdraw(self) -> None:
        assessment = self.session.assessment
        if self._finding is None or assessment is None:
            return
        edit = withdraw(self.session.document, self._finding, assessment.findings)
        if edit is not None and self.session.edit(edit):
            self.done.emit("The acceptance is withdrawn")


class AcceptForm(QWidget):
    """Asks why, and by whom."""

    #: Signal emitted with reason and name.
    wanted = Signal(str, str)
    #: Signal emitted when nothing is to be accepted after all.
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.reason = LineField()
        self.by = LineField()
        for field, prompt, name in ((self.reason, "why it may stay", "Reason"), (self.by, "who accepts it", "Accepted by")):
            field.setPlaceholderText(prompt)
            field.setAccessibleName(name)
            field.setMaxLength(400)
            field.returnPressed.connect(self._take)
        self.reason.textEdited.connect(self._edited)
        self.mark = MarkLabel("fail", MARK_LEAST)
        self.said = wrapped("", "ink", CAPTION)
        self.button = BoxButton("Accept", "Accept the finding with this reason")
        self.button.clicked.connect(self._take)
        self.cancel = FlatButton("Cancel", "Do not accept it", CAPTION)
        self.cancel.clicked.connect(self.left)
        self._arrange()

    def _arrange(self) -> None:
        said = QHBoxLayout()
        said.setSpacing(4)
        said.addWidget(self.mark)
        said.addWidget(self.said, 1)
        buttons = QHBoxLayout()
        buttons.addWidget(self.by, 1)
        buttons.addWidget(self.button)
        buttons.addWidget(self.cancel)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.reason)
        column.addLayout(said)
        column.addLayout(buttons)

    def begin(self, by: str) -> None:
        """Ask anew; the name is what was signed with last."""
        self.reason.clear()
        self.by.setText(by)
        self._say("")
        self.reason.setFocus(Qt.FocusReason.OtherFocusReason)

    def _edited(self, _text: str) -> None:
        self._say("")

    def _say(self, text: str) -> None:
        self.said.setText(text)
        for widget in (self.mark, self.said):
            widget.setVisible(bool(text))

    def _take(self) -> None:
        reason = self.reason.text().strip()
        if not reason:
            self._say("say why it may stay: without a reason nothing is accepted")
            self.reason.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self.wanted.emit(reason, self.by.text().strip())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)


def _key(finding: Finding) -> tuple[str, str, str]:
    return finding.code, finding.stage, finding.analyte
