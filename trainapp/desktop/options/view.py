"""The Options view: the bar that supposes, the board, what stands under it; and who asks the threads for what."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtWidgets import QVBoxLayout, QWidget

from trainapp.desktop.background import Errands, Progress
from trainapp.desktop.busy import Busy
from trainapp.desktop.catalogues import catalogues
from trainapp.desktop.options.bar import WhatIfBar
from trainapp.desktop.options.board import BoardArea
from trainapp.desktop.options.desk import (
    DRAWS,
    Count,
    Counted,
    Deepen,
    GivenUp,
    Ground,
    Lay,
    Seek,
    Seeker,
    counted,
    deepen,
    merged,
)
from trainapp.desktop.options.doing import OptionsDoing
from trainapp.desktop.options.foot import Foot
from trainapp.desktop.options.price_files import note_held
from trainapp.desktop.options.price_files import read as read_list
from trainapp.desktop.options.rows import Style
from trainapp.desktop.options.unsaved import OptionsUnsaved
from trainapp.desktop.parts import wrapped
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.reports.options_cells import Board
from trainapp.studies.confidence import default_spreads
from trainapp.studies.cost import PriceList, default_prices
from trainapp.studies.options import Proposal
from trainapp.studies.options.contender import Contender
from trainapp.studies.options.what_if import WhatIf
from trainapp.train.document import Document, DocumentError
from trainapp.train.zones import HOUSE

#: Type on the customer's side, px, and rows where the window is low.
_CUSTOMER_PX, _LOW, _LOW_ROW = 16.0, 860, 22
#: Edits that follow one another faster than this are waited for, ms.
_PAUSE = 60
SEEKING = "Trains are being built from the catalogue and evaluated; the best few, each for a reason of its own, will stand here."

GIVEN_UP = "The search has not ended, so no option stands here. Look again{} begins it anew."


class OptionsView(QWidget, OptionsDoing, OptionsUnsaved):
    """The view."""

    #: Signals that the window listens to: turn to the bench; open a document in a window of its own; say something.
    bench_asked = Signal()
    document_asked = Signal(object)
    told = Signal(str)
    #: Signal emitted when another board is shown.
    shown = Signal()

    def __init__(self, session: Session, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self.prefs = session, prefs
        self.prices, self.spreads = session.prices or default_prices(), default_spreads()
        self.draws = DRAWS
        self.columns: tuple[Contender, ...] = ()
        self.removed: dict[str, Contender] = {}
        #: Place from the left of each that was removed.
        self.stood: dict[str, int] = {}
        #: Name and train of each option as its own file has them.
        self.filed: dict[str, tuple[str, object]] = {}
        self.proposal: Proposal | None = None
        self.counted: Counted | None = None
        self.ground: Ground | None = None
        self.sought: Ground | None = None
        self.customer, self.stale, self.here = False, False, False
        #: Key of the column that takes the keyboard once the next board is shown, "" for none.
        self.refocus = ""
        #: The train that was taken over last, as long as it stands on the bench.
        self.taken: Document | None = None
        self._opened = False
        self.bar, self.busy, self.area, self.foot = WhatIfBar(), Busy(), BoardArea(), Foot()
        self.problem = wrapped("", "ink")
        self.problem.setMargin(24)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for widget, stretch in ((self.bar, 0), (self.busy, 0), (self.problem, 0), (self.area, 1), (self.foot, 0)):
            column.addWidget(widget, stretch)
        self.problem.hide()
        self.foot.hide()
        self._errands()
        self._listen()
        self.setAccessibleName("Options")

    def _errands(self) -> None:
        self.counting = Errands(counted, "options count", self)
        self.seeking = Errands(Seeker(), "options search", self)
        self.deepening = Errands(deepen, "options year and draws", self)
        self.counting.answered.connect(self._counted)
        self.seeking.answered.connect(self._sought)
        self.deepening.answered.connect(self._deepened)
        for errands in (self.counting, self.seeking, self.deepening):
            errands.failed.connect(self._failed)
        self.reading = Errands(read_list, "price list of last time", self)
        self.reading.answered.connect(self._priced_as_before)
        self.reading.failed.connect(self._not_priced)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE)
        self._pause.timeout.connect(self._ask)

    def _listen(self) -> None:
        self.bar.supposed.connect(self._supposed)
        self.bar.prices_wanted.connect(self.do_options_prices)
        self.bar.customer_wanted.connect(self.do_options_customer)
        self.bar.print_wanted.connect(self.do_options_print)
        self.busy.given_up.connect(self.do_options_cancel)
        self.area.cell_opened.connect(self.open_cell)
        self.area.asked.connect(self.act)
        self.area.renamed.connect(self.rename)
        self.foot.wanted.connect(self.read_whole)
        self.foot.back_wanted.connect(self.do_options_take_back)
        self.session.changed.connect(self.follow)
        catalogues().changed.connect(self.follow)

    # Turned to and away -------------------------------------------------------------------------------------------------------

    def entered(self) -> None:
        """The window turned to it."""
        self.here = True
        if not self._opened and self.session.prices is None and self.prefs.price_list is not None:
            self.reading.ask(self.prefs.price_list)
        self._opened = True
        self.follow()
        if self.counted is not None:
            self.area.go_to(*self.area.current)
        else:
            self.bar.fields["people"].setFocus(Qt.FocusReason.OtherFocusReason)

    def left(self) -> None:
        """The window turned away: nothing is counted for nobody."""
        self.here = False
        self._drop()
        self.busy.end()

    @property
    def style_(self) -> Style:
        """How large all is."""
        low = self.height() < _LOW
        return Style(_CUSTOMER_PX, 24, True) if self.customer else Style(row=_LOW_ROW if low else 24, low=low)

    @property
    def board(self) -> Board | None:
        """What is shown."""
        return self.counted.board if self.counted is not None else None

    @property
    def counting_or_seeking(self) -> bool:
        """Whether figures or trains are still on their way."""
        return self._pause.isActive() or self.counting.busy or self.seeking.busy

    @property
    def working(self) -> bool:
        """Whether anything is still on its way."""
        return self.counting_or_seeking or self.deepening.busy

    @Slot(object)
    def _priced_as_before(self, answer: tuple[Path, PriceList]) -> None:
        """The user's own list of last time."""
        note_held(*answer)
        self.prices = answer[1]
        self.follow()

    @Slot(object)
    def _not_priced(self, error: Exception) -> None:
        self.bar.say(f"The price list of last time is not loaded: {error}. Prices are the program's invented ones.", refused=True)

    # Asking -------------------------------------------------------------------------------------------------------------------

    def follow(self) -> None:
        """Bring the board up to what is so now, once the edits pause; where nobody looks it waits."""
        if self.session.document is not self.taken:
            self.bar.unsay("bench")
        if self.here:
            self._pause.start()

    def _now(self) -> Ground:
        return Ground(self.session.document, self.bar.what_if, self.prices, self.session.system, catalogues().own)

    @Slot(object)
    def _supposed(self, _what_if: WhatIf) -> None:
        self._ask()

    def _ask(self) -> None:
        """Count the columns on what is so now."""
        ground = self._now()
        self._show_figures()
        if self.ground is not None and self.ground.is_as(ground) and not self.stale:
            self._seek_or_deepen()
            return
        self.ground, self.stale = ground, True
        self._drop()
        self.counting.ask(Count(ground, self.columns, self.proposal))
        self.show_board()

    def _drop(self) -> None:
        """Give up what nobody waits for now; a search that had not ended is begun anew when it is wanted."""
        if self.seeking.busy:
            self.sought = None
        self.seeking.drop()
        self.deepening.drop()

    def _show_figures(self) -> None:
        assessment = self.session.assessment
        peak = float(assessment.evaluation.plan.demands[HOUSE].flows[2]) if assessment is not None else 0.0
        self.bar.show_figures(self.session.document, peak, self.prices, self.session.system)
        self.bar.turn(self.customer)

    def proposal_now(self) -> Proposal:
        """The search with what the columns are counted with now.

        Raises:
            ValueError: nothing was sought yet.
        """
        if self.proposal is None or self.ground is None:
            raise ValueError("the search has not ended")
        return replace(self.proposal, prices=self.ground.supposed_prices, years=self.ground.years)

    def lay(self) -> None:
        """Show the columns as they are now called, kept and ordered."""
        if self.counted is not None and self.ground is not None and not self.stale:
            self.counting.ask(Lay(self.ground, self.counted.site, self.columns, self.proposal))

    @Slot(object)
    def _counted(self, answer: Counted) -> None:
        """The board of what is so now."""
        if self.ground is None or not self.ground.is_as(answer.ground):
            return
        self.problem.hide()
        asked = [(c.key, c.name, c.kept) for c in answer.contenders]
        if self.stale:
            self.columns = tuple(self._as_called(c) for c in answer.contenders if c.key not in self.removed)
        self.counted, self.stale = answer, False
        if [(c.key, c.name, c.kept) for c in self.columns] != asked:
            self.lay()
        self.show_board()
        self._seek_or_deepen()

    def _as_called(self, contender: Contender) -> Contender:
        """A column that was counted, under the name that it has meanwhile."""
        now = next((c for c in self.columns if c.key == contender.key), None)
        return contender if now is None or contender.kind != "option" else replace(contender, name=now.name, kept=now.kept)

    def _seek_or_deepen(self) -> None:
        if not self.here or self.ground is None or self.stale:
            return
        if self.sought is None or not self.ground.asks_the_same(self.sought):
            if not self.seeking.busy:
                self.seek()
        elif not self.deepening.busy:
            self._deepen()

    def seek(self) -> None:
        """Look for trains."""
        if self.ground is not None:
            progress = Progress()
            self.sought = self.ground
            self.bar.unsay("search", "draws", "print")
            self.seeking.ask(Seek(self.ground, progress))
            self.busy.begin("Looking for trains", progress)
            self.show_board()

    @Slot(object)
    def _sought(self, answer: tuple[Ground, Proposal]) -> None:
        ground, proposal = answer
        self.busy.end()
        if self.ground is None or not self.ground.asks_the_same(ground):
            return
        self.proposal = proposal
        self.bar.unsay("search", "print")
        self.columns = merged(self.columns, proposal, frozenset(self.removed))
        self.lay()
        self._deepen()

    def _deepen(self) -> None:
        """Run a year and draws of the first column that has none yet."""
        waiting = [c for c in self.columns if c.served is None or (c.sure is None and c.measured.evaluation.stages)]
        if not waiting or self.ground is None or not self.here:
            self.busy.end()
            return
        question = Deepen(self.ground, waiting[0], self.spreads, self.draws)
        self.bar.unsay("draws")
        self.deepening.ask(question)
        self.busy.begin(f"A year and {question.draws:,} draws of {waiting[0].name}", question.progress)

    @Slot(object)
    def _deepened(self, answer: Contender) -> None:
        self.columns = tuple(
            replace(c, served=answer.served, sure=answer.sure) if c.key == answer.key and c.measured is answer.measured else c
            for c in self.columns
        )
        self.lay()
        self._deepen()

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self.busy.end()
        if isinstance(error, GivenUp):
            return
        if isinstance(error, DocumentError):
            self.bar.say(f"Not counted: {error}.", refused=True)
            if self.counted is None:
                self.problem.setText(f"Nothing can stand side by side: {error}.")
                self.problem.show()
            return
        self.bar.say(f"The program failed at it, {type(error).__name__}: {error}.", refused=True)
        sys.excepthook(type(error), error, error.__traceback__)

    # Showing ------------------------------------------------------------------------------------------------------------------

    def show_board(self) -> None:
        """Show what is counted; faintly while something else is on its way."""
        board = self.board
        self.area.show_board(board, self.style_, self.stale, self._awaited())
        self.foot.setVisible(board is not None)
        if board is not None:
            last = next(reversed(self.removed.values()), None)
            self.foot.show_board(board, last.name if last is not None else "", self.style_, self.keys_of("options_take_back"))
        if self.refocus and not self.stale:
            key, self.refocus = self.refocus, ""
            self.area.return_to(key)
        self.refresh_windows()
        self.shown.emit()

    def _awaited(self) -> str:
        """What is said where options are to stand."""
        if self.proposal is not None or not self.here:
            return ""
        is_over = self.sought is not None and not self.seeking.busy
        return GIVEN_UP.format(self.keys_of("options_again")) if is_over else SEEKING

    def resizeEvent(self, event) -> None:  # type: ignore[no-untyped-def]
        super().resizeEvent(event)
        if self.counted is not None and (event.oldSize().height() < _LOW) != (event.size().height() < _LOW):
            self.show_board()
