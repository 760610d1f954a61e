"""The line above the bench: the verdict in a sentence, what gives in first, and, where numbers are stale, why."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.parts import ElidedLabel, FlatButton, MarkLabel, TokenLabel
from trainapp.desktop.session import Session
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING, PAD


class VerdictStrip(QWidget):
    """Reads the session's verdict out, whatever it is; it never says safe."""

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
        self.warning = ElidedLabel("ink", HEADING, bold=True)
        self.warning_mark = MarkLabel("fail")
        self.stale = ElidedLabel("ink", BODY)
        self.stale_mark = MarkLabel("unknown")
        self.unjudged = FlatButton("", "Show what was not judged", CAPTION)
        self.unjudged.clicked.connect(self.unjudged_asked)
        self.fit = FlatButton("Fit", "Show the whole train")
        self.fit.clicked.connect(self.fit_asked)
        self.overview = FlatButton("Overview", "Show the whole train in small")
        self.overview.clicked.connect(self.overview_asked)
        self.tidy = FlatButton("Tidy up", "Spread the train out in the order of flow")
        self.tidy.clicked.connect(self.tidy_asked)
        self._arrange()
        session.changed.connect(self.refresh)
        self.refresh()

    def _arrange(self) -> None:
        main = QHBoxLayout()
        main.setSpacing(6)
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
        self.setMinimumHeight(28)

    def refresh(self) -> None:
        """Show the verdict as it is now."""
        model = self.session.model
        verdict = model.verdict if model else None
        self.mark.show_mark((verdict.mark or None) if verdict else None)
        self.headline.setText(verdict.headline if verdict else "Not evaluated yet.")
        self.rest.show_text(verdict.rest if verdict else "")
        self.warning.show_text(verdict.warning if verdict else "")
        count = len(verdict.not_judged) if verdict else 0
        self.unjudged.setText(f"{count} not judged")
        self.unjudged.updateGeometry()
        self.unjudged.setVisible(count > 0)
        self._lines[0].setVisible(bool(verdict and verdict.warning))
        stale = self.session.stale
        self.stale.show_text(f"Not worked out: {stale}. The numbers below are those of before." if stale else "")
        self._lines[1].setVisible(bool(stale))
        self.headline.setEnabled(not stale)
        self.tidy.setVisible(self.session.placed)
