"""The line over the Year view: what runs and how far it is, what is stale, and what can be done with it."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from trainapp.desktop.fonts import font
from trainapp.desktop.parts import BoxButton, ElidedLabel, MarkLabel
from trainapp.desktop.theme import look
from trainapp.reports.drawing.marks import Mark
from trainapp.reports.drawing.tokens import CAPTION, MARK_CELL, TARGET

_WIDTH = 292
TEACHING = "Film, spike and power cuts: illustrative, not data."


class ProgressLine(QWidget):
    """A bar and a share in words."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name, self.share = name, 0.0
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.show_share(0.0)

    def sizeHint(self) -> QSize:
        return QSize(150, 20)

    def show_share(self, share: float) -> None:
        """Show a share from 0 to 1."""
        self.share = min(max(share, 0.0), 1.0)
        self.setAccessibleName(f"{self._name}: {self.text}")
        self.update()

    @property
    def text(self) -> str:
        """The share in words."""
        return f"{100 * self.share:.0f}\u202f%"

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        track = QRectF(0.5, 6.5, 105.0, 7.0)
        painter.setPen(QPen(look().colour("edge"), 1.0))
        painter.setBrush(look().colour("well"))
        painter.drawRect(track)
        painter.fillRect(QRectF(1.0, 7.0, 104.0 * self.share, 6.0), look().colour("ink2"))
        painter.setPen(look().colour("ink2"))
        painter.setFont(font(CAPTION))
        painter.drawText(QRectF(112, 0, 38, 20), Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, self.text)


class HeadBlock(QWidget):
    """Says what is shown; shows progress with its cancel; holds the buttons of the view."""

    #: Signals of the buttons.
    cancel_asked, run_asked, both_asked, compare_asked, export_asked = Signal(), Signal(), Signal(), Signal(), Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.mark = MarkLabel("unknown", MARK_CELL)
        self.text = ElidedLabel("ink2", CAPTION)
        self.progress = ProgressLine("Progress of the run")
        self.cancel = BoxButton("Cancel", "Stop the run")
        self.again = BoxButton("Run", "Run the train through the year")
        self.both = BoxButton("Before and after", "The year without pre-treatment beside the year with it")
        self.compare = BoxButton("Compare ▾", "Another train on the same clock")
        self.export = BoxButton("Export…", "Write charts, the animation, or the comparison to a file")
        said = QHBoxLayout()
        said.setSpacing(4)
        # as wide as what is said, over the buttons at the right
        self.text.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        said.addStretch(1)
        said.addWidget(self.mark)
        said.addWidget(self.text)
        line = QHBoxLayout()
        line.setSpacing(6)
        line.addWidget(self.progress)
        line.addStretch(1)
        for widget in (self.cancel, self.again, self.both, self.compare, self.export):
            line.addWidget(widget)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(1)
        column.addLayout(said)
        column.addLayout(line)
        self.cancel.clicked.connect(self.cancel_asked)
        self.again.clicked.connect(self.run_asked)
        self.both.clicked.connect(self.both_asked)
        self.compare.clicked.connect(self.compare_asked)
        self.export.clicked.connect(self.export_asked)
        self.say("", None)
        self.end()

    def sizeHint(self) -> QSize:
        return QSize(_WIDTH, 16 + 1 + int(TARGET))

    def say(self, text: str, mark: Mark | None) -> None:
        """Say what is shown, with a mark where something is not as it should be; "" for what always holds."""
        self.text.show_text(text or TEACHING)
        self.mark.show_mark(mark)

    def show_progress(self, share: float) -> None:
        """Show how far a run is, and let it be stopped."""
        self.progress.show_share(share)
        self._offer(running=True, again=False)

    def end(self, again: bool = False) -> None:
        """Nothing runs any more; `again` offers to run it once more."""
        self._offer(running=False, again=again)

    def _offer(self, running: bool, again: bool) -> None:
        for widget, on in ((self.progress, running), (self.cancel, running), (self.again, again), (self.both, not running)):
            widget.setVisible(on)
