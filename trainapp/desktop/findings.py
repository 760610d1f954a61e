"""The list of findings: each with mark, word and place; the selected one opened with its sentence, figures, source and cautions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from PySide6.QtCore import QEvent, QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from trainapp import units
from trainapp.checks.context import analyte_inside
from trainapp.checks.finding import Amount, Finding
from trainapp.desktop.headed_list import HeadedList
from trainapp.desktop.parts import ElidedLabel, FlatButton, MarkLabel, Rule, TokenLabel, wrapped
from trainapp.desktop.remedies_panel import FindingTools
from trainapp.desktop.session import Session
from trainapp.desktop.steps_content import cited
from trainapp.desktop.theme import look
from trainapp.dimensions import DIMENSIONS
from trainapp.reports.drawing.model import FindingModel
from trainapp.reports.drawing.tokens import BODY, CAPTION, CARD_CORNER, GAP, PAD
from trainapp.spelling import spelt
from trainapp.units import System


class FindingRow(QFrame):
    """One finding."""

    #: Signal emitted with the number of the finding when it is clicked or Return is pressed on it.
    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.number = 0
        self.opened = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.mark = MarkLabel()
        self.word = TokenLabel("", "ink", BODY)
        self.place = ElidedLabel("ink3", CAPTION)
        self.place.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.title = wrapped("", "ink", BODY)
        bold = self.title.font()
        bold.setBold(True)
        self.title.setFont(bold)
        self.figures = wrapped("", "ink2", CAPTION)
        self.message = wrapped("", "ink", BODY)
        self.source = wrapped("", "ink3", CAPTION)
        self.cautions = wrapped("", "ink2", CAPTION)
        head = QHBoxLayout()
        head.setSpacing(4)
        head.addWidget(self.mark)
        head.addWidget(self.word)
        head.addWidget(self.place, 1)
        self.column = column = QVBoxLayout(self)
        column.setContentsMargins(int(PAD) - 4, 6, int(PAD) - 4, 6)
        column.setSpacing(2)
        column.addLayout(head)
        for label in (self.title, self.figures, self.message, self.cautions, self.source):
            column.addWidget(label)

    def show_finding(self, finding: Finding, model: FindingModel, opened: bool, system: System) -> None:
        """Show a finding, opened or closed."""
        self.number, self.opened = model.number, opened
        self.mark.show_mark("accepted" if model.accepted else model.severity)
        self.word.setText(f"<b>{model.number}</b> {model.severity}" + (", accepted" if model.accepted else ""))
        self.place.show_text(model.place)
        self.title.setText(model.title)
        figures = figures_of(finding, system)
        self.message.setText(model.message)
        self.source.setText(_source_line(finding))
        accepted = f"Accepted: {finding.accepted.get('reason', '')}\n" if finding.accepted else ""
        self.cautions.setText((accepted + "\n".join(model.cautions)).strip())
        self.figures.setText(figures)
        self.figures.setVisible(bool(figures))
        for label in (self.message, self.source, self.cautions):
            label.setVisible(opened and bool(label.text()))
        self.setAccessibleName(f"{model.number} {model.severity}: {model.title}. {figures}".strip())
        self.setAccessibleDescription(model.message)
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self.rect().contains(event.position().toPoint()):
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.chosen.emit(self.number)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.chosen.emit(self.number)
            return
        if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
            return
        super().keyPressEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self.opened and not self.hasFocus():
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look().colour("accent"), 2.0))
        painter.setBrush(look().colour("sheet") if self.opened else Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), CARD_CORNER, CARD_CORNER)


class FindingsPanel(HeadedList):
    """Everything found, worst first, and what was not judged."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("Findings", "Findings", parent)
        self.session = session
        self.rows: list[FindingRow] = []
        self.nothing = wrapped("", "ink2")
        self.nothing.setContentsMargins(int(GAP), int(GAP), int(GAP), int(GAP))
        self.unjudged = NotJudged()
        self.column.insertWidget(0, self.nothing)
        self.column.insertWidget(1, self.unjudged)
        self.tools = FindingTools(session, self.body)
        self.tools.done.connect(self._done)
        # Queued: what came in has no size before the layout has run.
        self.tools.grown.connect(self._scroll_to_tools, Qt.ConnectionType.QueuedConnection)
        session.changed.connect(self.refresh)
        session.selection_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the findings of the session's last evaluation."""
        assessment = self.session.assessment
        findings = assessment.findings if assessment else ()
        models = assessment.model.findings if assessment else ()
        self._fit(len(findings))
        for row, finding, model in zip(self.rows, findings, models, strict=False):
            row.show_finding(finding, model, model.number == self.session.finding, self.session.system)
        self.counts.setText(counted([finding.severity for finding in findings]))
        self.nothing.setText("" if findings or assessment is None else "Nothing found among what was measured and modelled.")
        self.nothing.setVisible(bool(self.nothing.text()))
        self._place_tools(findings)
        self.unjudged.show_list(assessment.not_judged if assessment else ())
        self.body.setEnabled(not self.session.stale)
        self._scroll_to_opened()

    def _fit(self, count: int) -> None:
        """As many rows as findings; those that stay keep the keyboard."""
        while len(self.rows) > count:
            row = self.rows.pop()
            if self.tools.parentWidget() is row:
                self.tools.setParent(self.body)
            self.column.removeWidget(row)
            row.hide()
            row.deleteLater()
        while len(self.rows) < count:
            row = FindingRow()
            row.chosen.connect(self._chosen)
            self.column.insertWidget(len(self.rows), row)
            self.rows.append(row)

    def _place_tools(self, findings: Sequence[Finding]) -> None:
        """What can be done about the opened finding stands inside it."""
        number = self.session.finding or 0
        opened = self.rows[number - 1] if 0 < number <= len(findings) else None
        if opened is not None and self.tools.parentWidget() is not opened:
            opened.column.insertWidget(opened.column.indexOf(opened.source), self.tools)
        self.tools.show_finding(findings[number - 1] if opened is not None else None)

    def _done(self, _sentence: str) -> None:
        """The button that was pressed may be gone: the keyboard goes to the list."""
        self.focus_list()

    def _chosen(self, number: int) -> None:
        self.session.open_finding(None if number == self.session.finding else number)

    def _scroll_to_opened(self) -> None:
        number = self.session.finding
        if number is not None and 0 < number <= len(self.rows):
            self.body.adjustSize()
            self.area.ensureWidgetVisible(self.rows[number - 1], 0, 4)

    def _scroll_to_tools(self) -> None:
        """What came into the opened finding comes into sight, its own head with it as far as there is room."""
        opened, bar = self.tools.parentWidget(), self.area.verticalScrollBar()
        if not isinstance(opened, FindingRow):
            return
        self.body.adjustSize()
        self.area.ensureWidgetVisible(self.tools, 0, 4)
        if not self.tools.accept.form.isVisible():
            bar.setValue(min(bar.value(), max(opened.y() - 4, 0)))

    def focus_list(self) -> None:
        """Put the keyboard on the opened finding, else on the first."""
        number = self.session.finding or 1
        if self.rows:
            self.rows[min(number, len(self.rows)) - 1].setFocus(Qt.FocusReason.ShortcutFocusReason)


class NotJudged(QWidget):
    """What was not measured or not modelled: one line that opens."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sentences: Sequence[str] = ()
        self.button = FlatButton("", "", CAPTION, "ink2")
        self.button.setCheckable(True)
        self.list = wrapped("", "ink2", CAPTION)
        column = QVBoxLayout(self)
        column.setContentsMargins(2, int(GAP), 8, 0)
        column.setSpacing(2)
        column.addWidget(Rule())
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.list)
        self.button.toggled.connect(self._show)

    def show_list(self, sentences: Sequence[str]) -> None:
        """Show other sentences."""
        self._sentences = sentences
        self.list.setText("\n".join(f"{text[:1].upper()}{text[1:]}." for text in sentences))
        self._show(self.button.isChecked())

    def _show(self, opened: bool) -> None:
        self.button.setText(f"{'▾' if opened else '▸'} Not judged: {len(self._sentences)} things")
        self.button.setAccessibleName(self.button.text()[2:])
        self.button.updateGeometry()
        self.list.setVisible(opened)
        self.setVisible(bool(self._sentences))


def counted(severities: Sequence[str]) -> str:
    """Counts as a heading has them: "3 fails, 1 caution"."""
    counts = Counter(severities)
    parts = [f"{counts[word]} {word}{'' if counts[word] == 1 else 's'}" for word in ("fail", "caution", "note") if counts[word]]
    return ", ".join(parts) or "nothing found"


def figures_of(finding: Finding, system: System) -> str:
    """What the value is of, the value, its limit; "" where the finding has no value."""
    if finding.value is None:
        return ""
    what = finding.what or (spelt(analyte_inside(finding.analyte)) if finding.analyte else "")
    value = f"{what} {_amount(finding.value, finding, system)}".lstrip()
    if finding.limit is None:
        return value
    limit = "limit pH" if finding.limit.dimension == "ph" else "limit"
    return f"{value}, {limit} {_amount(finding.limit, finding, system)}"


def _amount(amount: Amount, finding: Finding, system: System) -> str:
    low = _number(amount.low, amount, finding, system)
    if amount.high is None:
        return f"more than {low}"
    high = _number(amount.high, amount, finding, system)
    return low if low == high else f"{low} to {high}" if amount.low > 0 else f"up to {high}"


def _number(value: float, amount: Amount, finding: Finding, system: System) -> str:
    if amount.dimension not in DIMENSIONS or amount.dimension == "none":
        return units.typeset(f"{value:.3g} {amount.unit}".strip())
    edge = finding.limit.low if finding.limit is not None and amount is finding.value else None
    if edge is not None and edge != value:
        return units.typeset(units.show_against_limit(value, edge, amount.dimension, system, analyte=finding.analyte))
    return units.typeset(units.show(value, amount.dimension, system, analyte=finding.analyte))


def _source_line(finding: Finding) -> str:
    text = cited(finding.source)
    name = text.rpartition(" (")[0] or text
    return f"Source: {name} ({finding.status})."
