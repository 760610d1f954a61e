"""How sure one train is: counts of drawn cases in words, which uncertain thing matters most, and the spreads, which can be typed over."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from trainapp.desktop.background import Cancelled, Errands, Progress
from trainapp.desktop.busy import Busy
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.editors.scroll import Sentences, column_area
from trainapp.desktop.editors.sheet import Sheet
from trainapp.desktop.fields import TypedField
from trainapp.desktop.fonts import font, measure
from trainapp.desktop.options import sure_content
from trainapp.desktop.options.desk import DRAWS, SEED, GivenUp
from trainapp.desktop.parts import BoxButton, TokenLabel, caption, wrapped
from trainapp.desktop.theme import look
from trainapp.reports.drawing.measure import shorten
from trainapp.reports.drawing.tokens import BODY, HEADING
from trainapp.studies.confidence import Confidence, Spreads, confidence, default_spreads
from trainapp.studies.confidence.spreads import SpreadsError
from trainapp.studies.confidence.study import Share
from trainapp.studies.options.contender import Contender
from trainapp.train.document import Document

_MOST_DRAWS, _SHARES = 200_000, 6


@dataclass(frozen=True, slots=True)
class Draw:
    """Draw so many cases of a train."""

    document: Document
    draws: int
    seed: int
    spreads: Spreads
    progress: Progress


def drawn(question: Draw, cancelled: Cancelled) -> Confidence:
    """The answer; given up where nobody waits."""

    def told(share: float) -> None:
        question.progress.tell(share)
        if cancelled():
            raise GivenUp

    return confidence(question.document, question.draws, question.seed, question.spreads, progress=told)


class Shares(QWidget):
    """What each uncertain thing adds to the variance, as bars of one scale with their names and figures."""

    _ROW = 22

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.shares: tuple[Share, ...] = ()

    def show_shares(self, shares: tuple[Share, ...]) -> None:
        """Show the greatest."""
        self.shares = tuple(share for share in shares if share.total >= 0.01)[:_SHARES]
        self.setFixedHeight(self._ROW * len(self.shares))
        self.setAccessibleName("; ".join(f"{share.label}: {share.total:.2f} of the variance" for share in self.shares) or "nothing matters")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(font(BODY))
        left = 0.56 * self.width()
        for place, share in enumerate(self.shares):
            top = place * self._ROW
            name = shorten(share.label[:1].upper() + share.label[1:], left - 50.0, BODY, False, measure)
            painter.setPen(look().colour("ink2"))
            line = Qt.AlignmentFlag.AlignVCenter
            painter.drawText(QRectF(0, top, left - 46, self._ROW), line, name)
            painter.drawText(QRectF(left - 46, top, 38, self._ROW), line | Qt.AlignmentFlag.AlignRight, f"{share.total:.2f}")
            wide = (self.width() - left) * min(share.total, 1.0)
            painter.fillRect(QRectF(left, top + self._ROW / 2 - 4, wide, 8), look().colour("ink2" if place == 0 else "ghost"))


class SureWindow(SideWindow):
    """How sure one column is."""

    #: Signal emitted with spreads that every column is to be drawn with.
    spreads_chosen = Signal(object)

    def __init__(self, contender: Contender, spreads: Spreads, parent: QWidget | None = None) -> None:
        super().__init__("How sure", QSize(1080, 660), parent)
        self.contender, self.spreads = contender, spreads
        self.answer: Confidence | None = None
        self.title = TokenLabel(contender.name, "ink", HEADING, bold=True)
        self.busy = Busy()
        self.busy.given_up.connect(self.do_cancel)
        self.list, self.shares = Sentences(), Shares()
        self.sheet = Sheet("Spreads")
        self.sheet.sheet.edited.connect(self._edited)
        draws = contender.sure.draws if contender.sure is not None else DRAWS
        self.draws, self.seed = self._number("Draws", str(draws)), self._number("Seed", str(SEED))
        self.button = BoxButton("Draw", "Draw again with these spreads, draws and seed")
        self.button.clicked.connect(self.do_draw)
        self.usual = BoxButton("Usual spreads", "Back to the program's own spreads")
        self.usual.clicked.connect(self.do_usual)
        self.all = BoxButton("Use for the board", "Draw every column of the board with these spreads")
        self.all.clicked.connect(self.do_all)
        self.column.addWidget(self.title)
        self.column.addWidget(self.busy)
        halves = QHBoxLayout()
        halves.setSpacing(16)
        halves.addWidget(self._words(), 1)
        halves.addWidget(self._spreads(), 1)
        self.column.addLayout(halves, 1)
        self._errands = Errands(drawn, "draws", self)
        self._errands.answered.connect(self._came)
        self._errands.failed.connect(self._failed)
        self._show_spreads()
        if contender.sure is not None and contender.sure.spreads is spreads:
            self._came(contender.sure)
        else:
            self.do_draw()
        self.sheet.setFocus(Qt.FocusReason.OtherFocusReason)

    def _number(self, name: str, text: str) -> TypedField:
        field = TypedField()
        field.setAccessibleName(name)
        field.show_text(text)
        field.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        field.setFixedWidth(76)
        return field

    def _words(self) -> QWidget:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(10)
        column.addWidget(self.list)
        matters = TokenLabel("What matters most, share of the variance", "ink", BODY, bold=True)
        matters.setWordWrap(True)
        column.addWidget(matters)
        column.addWidget(self.shares)
        column.addStretch(1)
        return column_area(inside, "How sure")

    def _spreads(self) -> QWidget:
        right = QWidget()
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(wrapped("Every spread is a default to be typed over. A bottle stands for a year.", "ink2", BODY))
        column.addWidget(self.sheet, 1)
        row = QHBoxLayout()
        for widget in (caption("Draws"), self.draws, caption("Seed"), self.seed, self.button, self.usual, self.all):
            row.addWidget(widget)
        row.addStretch(1)
        column.addLayout(row)
        return right

    def _show_spreads(self) -> None:
        self.sheet.show_lines(sure_content.SHEET, list(sure_content.lines(self.spreads)))

    # Doing --------------------------------------------------------------------------------------------------------------------

    def _edited(self, key: str, _column: str, text: str) -> None:
        try:
            self.spreads = sure_content.edited(self.spreads, key, text)
        except SpreadsError as error:
            self.sheet.hold()
            self.say(f"Not changed: {error}.", refused=True)
            return
        self.say("")
        self._show_spreads()
        self.do_draw()

    def do_draw(self) -> None:
        """Draw with what is typed."""
        counts = []
        for field, most in ((self.draws, _MOST_DRAWS), (self.seed, 2**31)):
            text = field.text().strip()
            if not (text.isascii() and text.isdigit()) or not 1 <= int(text) <= most:
                self.say(f'Not drawn: "{text}" is not a whole number from 1 to {most:,}.', refused=True)
                return
            counts.append(int(text))
        self.say("")
        progress = Progress()
        self._errands.ask(Draw(self.contender.document, counts[0], counts[1], self.spreads, progress))
        self.busy.begin("Drawing", progress)

    def do_cancel(self) -> None:
        """Give the draws up."""
        self._errands.drop()
        self.busy.end()
        self.say("Given up: what is shown is of the draws before." if self.answer is not None else "Given up.")

    def do_usual(self) -> None:
        """Go back to the program's own spreads."""
        self.spreads = default_spreads()
        self._show_spreads()
        self.do_draw()

    def do_all(self) -> None:
        """Let the board be drawn with these spreads."""
        self.spreads_chosen.emit(self.spreads)
        self.say("Every column of the board is drawn with these spreads.")

    @property
    def working(self) -> bool:
        """Whether draws are under way."""
        return self._errands.busy

    @Slot(object)
    def _came(self, answer: Confidence) -> None:
        self.busy.end()
        self.answer = answer
        self.list.show_sentences(list(sure_content.told(answer)))
        self.shares.show_shares(answer.shares)

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self.busy.end()
        if not isinstance(error, GivenUp):
            self.say(f"Not drawn: {error}.", refused=True)
