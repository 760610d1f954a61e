"""The line above the bench: the verdict in a sentence, what gives in first, and, where numbers are stale, why."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.parts import ElidedLabel, FlatButton, MarkLabel, TokenLabel, wrapped
from trainapp.desktop.session import Session
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING, PAD

#: Between what stands beside each other, px.
_GAP = 6


class VerdictStrip(QWidget):
    """Reads the session's verdict out, whatever it is; it never says safe. Nothing is cut: what has no room takes one more line."""

    #: Signal emitted when the whole train is to be shown.
    fit_asked = Signal()
    #: Signal emitted when the whole train is to be shown in small, or not any more.
    overview_asked = Signal()
    #: Signal emitted when the floor is to be given back to the program.
    tidy_asked = Signal()
    #: Signal emitted when the list of what was not judged is to be shown.
    unjudged_asked = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.mark = MarkLabel()
        self.headline = TokenLabel("", "ink", HEADING, bold=True)
        self.rest = ElidedLabel("ink2")
        #: The same on lines of its own, where there is no room beside the counts.
        self.below = wrapped("", "ink2")
        self.warning = wrapped("", "ink", HEADING)
        self.warning.setFont(self.headline.font())
        self.warning_mark = MarkLabel("fail")
        self.stale = wrapped("", "ink", BODY)
        self.stale_mark = MarkLabel("unknown")
        self.unjudged = FlatButton("", "Show what was not judged", CAPTION)
        self.unjudged.clicked.connect(self.unjudged_asked)
        self.fit = FlatButton("Fit", "Show the whole train")
        self.fit.clicked.connect(self.fit_asked)
        self.overview = FlatButton("Overview", "Show the whole train in small")
        self.overview.clicked.connect(self.overview_asked)
        self.tidy = FlatButton("Tidy up", "Spread the train out in the order of flow")
        self.tidy.clicked.connect(self.tidy_asked)
        self._rest = ""
        self._arrange()
        session.changed.connect(self.refresh)
        self.refresh()

    def _arrange(self) -> None:
        self._main = main = QHBoxLayout()
        main.setSpacing(_GAP)
        for widget, stretch in ((self.mark, 0), (self.headline, 0), (self.rest, 1), (self.unjudged, 0)):
            main.addWidget(widget, stretch)
        for button in (self.fit, self.overview, self.tidy):
            main.addWidget(button)
        self._lines = []
        column = QVBoxLayout(self)
        column.setContentsMargins(int(PAD), 2, int(PAD), 0)
        column.setSpacing(2)
        for mark, label in ((self.warning_mark, self.warning), (self.stale_mark, self.stale)):
            line = QWidget()
            row = QHBoxLayout(line)
            row.setContentsMargins(0, 0, 0, 0)
            row.setSpacing(6)
            row.addWidget(mark)
            row.addWidget(label, 1)
            column.addWidget(line)
            self._lines.append(line)
        column.addLayout(main)
        column.addWidget(self.below)
        self.below.hide()
        self.setMinimumHeight(28)

    def refresh(self) -> None:
        """Show the verdict as it is now."""
        model = self.session.model
        verdict = model.verdict if model else None
        self.mark.show_mark((verdict.mark or None) if verdict else None)
        self.headline.setText(verdict.headline if verdict else "Not evaluated yet.")
        self._rest = verdict.rest if verdict else ""
        self.warning.setText(verdict.warning if verdict else "")
        count = len(verdict.not_judged) if verdict else 0
        self.unjudged.setText(f"{count} not judged")
        self.unjudged.updateGeometry()
        self.unjudged.setVisible(count > 0)
        self._lines[0].setVisible(bool(verdict and verdict.warning))
        stale = self.session.stale
        self.stale.setText(f"Not worked out: {stale}. The numbers below are those of before." if stale else "")
        self._lines[1].setVisible(bool(stale))
        self.headline.setEnabled(not stale)
        self.tidy.setVisible(self.session.placed)
        self._place_rest()

    def _place_rest(self) -> None:
        """Beside the counts, or under them where it would be cut there."""
        others = [self.mark, self.headline, self.unjudged, self.fit, self.overview, self.tidy]
        shown = [widget for widget in others if not widget.isHidden()]
        room = self.width() - 2 * int(PAD) - sum(widget.sizeHint().width() + _GAP for widget in shown)
        beside = self.fontMetrics().horizontalAdvance(self._rest) + 4 <= room
        self.rest.show_text(self._rest if beside else "")
        self.rest.setAccessibleName(self._rest)
        self.below.setText("" if beside else self._rest)
        self.below.setVisible(not beside)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place_rest()
