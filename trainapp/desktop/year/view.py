"""The Year view: the session's train through time. It runs anew whenever the train or what is asked is another, off the window's thread."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from PySide6.QtCore import QPointF, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QSplitter, QVBoxLayout, QWidget

from trainapp.desktop.export_form import folder_of
from trainapp.desktop.parts import Rule
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.workspace import widths
from trainapp.desktop.year import work
from trainapp.desktop.year.benches import Benches
from trainapp.desktop.year.charts import ChartStrip
from trainapp.desktop.year.column import YearColumn
from trainapp.desktop.year.content import letter, milestones, wrong_lists
from trainapp.desktop.year.controls import Controls
from trainapp.desktop.year.doing import YearDoing
from trainapp.desktop.year.head import HeadBlock
from trainapp.desktop.year.lower import Downward, Lower
from trainapp.desktop.year.playback import Playback
from trainapp.desktop.year.runner import Runner
from trainapp.desktop.year.settings import days_text
from trainapp.desktop.year.transport import Transport
from trainapp.desktop.year.work import Answer, Asked, Beside
from trainapp.reports.drawing.display import Tag
from trainapp.reports.year_moment import undated
from trainapp.studies.year.options import Cancelled, YearError
from trainapp.train.errors import DocumentError

#: Widths from which two benches leave room for the column, and the clock for its buttons, px.
_BOTH_BESIDE, _STEPS_FROM = 1500, 1000
_UNBOUND = 16_777_215
#: Height of what is under the benches at the most, px.
_LOWER_MOST = 420
#: Height at which two benches beside each other show their vessels and what is near in the ledger, px.
_BENCHES = 375


class YearView(YearDoing, QWidget):
    """Everything under the bar while the year is turned to."""

    #: Signal emitted with a sentence for the foot line.
    told = Signal(str)
    #: Signal emitted when the bench is to be turned to.
    bench_asked = Signal()

    def __init__(self, session: Session, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self.prefs = session, prefs
        self.answer: Answer | None = None
        self.beside = Beside()
        self.asked: Asked | None = None
        self.playback = Playback(self)
        self.runner = Runner(work.answer, "year", self)
        self.controls = Controls(session)
        self.head = HeadBlock()
        self.benches = Benches()
        self.charts = ChartStrip()
        self.lower = Lower(self.charts)
        self.column = YearColumn(session)
        self.transport = Transport(self.playback)
        self.across = QSplitter(Qt.Orientation.Horizontal)
        self.down = Downward()
        self._turned_to = False
        self._stale = False
        self._moved_by_hand = False
        self._fitted: tuple[int, bool] | None = None
        self._arrange()
        self._connect()

    # Arranged ---------------------------------------------------------------------------------------------------------------------

    def _arrange(self) -> None:
        self.setAutoFillBackground(True)
        self.down.addWidget(self.benches)
        self.down.addWidget(self.lower)
        # what is under the benches is as high as its charts; the benches take what is over
        self.down.setStretchFactor(0, 1)
        self.down.setStretchFactor(1, 0)
        self.down.setChildrenCollapsible(False)
        middle = QWidget()
        inner = QVBoxLayout(middle)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.setSpacing(0)
        inner.addWidget(self.down, 1)
        inner.addWidget(Rule())
        inner.addWidget(self.transport)
        self.across.addWidget(middle)
        self.across.addWidget(self.column)
        self.across.setStretchFactor(0, 1)
        self.across.setStretchFactor(1, 0)
        self.across.setChildrenCollapsible(False)
        self.across.setHandleWidth(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        self.controls.add(self.head)
        for part in (self.controls, Rule()):
            whole.addWidget(part)
        whole.addWidget(self.across, 1)
        self.setMinimumWidth(600)

    def _connect(self) -> None:
        self.session.changed.connect(self._session_changed)
        self.session.selection_changed.connect(self._select)
        self.controls.changed.connect(self._ask)
        self.controls.refused.connect(self.told)
        self.controls.pattern_asked.connect(self.do_year_pattern)
        self.head.cancel_asked.connect(self.do_year_cancel)
        self.head.run_asked.connect(self.do_year_run)
        self.head.both_asked.connect(self.do_year_both)
        self.head.compare_asked.connect(self.do_year_compare)
        self.head.export_asked.connect(self.do_year_export)
        self.runner.answered.connect(self._answered)
        self.runner.failed.connect(self._failed)
        self.runner.progressed.connect(self.head.show_progress)
        self.playback.moved.connect(self._moved)
        self.playback.turned.connect(self._played)
        self.column.wrongs.chosen.connect(self._go)
        self.charts.wanted.connect(self._go)
        self.charts.told.connect(self.told)
        self.benches.clicked.connect(self._clicked)
        self.benches.opened.connect(self._opened)
        self.down.resized.connect(self._share_height)
        self.down.splitterMoved.connect(self._split)
        self.lower.tab_clicked.connect(self._open_drawer)
        self.column.safety.more.toggled.connect(self._fit_safety)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit_widths()

    def _share_height(self) -> None:
        """Benches and what is under them share the height; a drawer holds more than charts."""
        if self._moved_by_hand:
            return
        drawer = self._fitted is not None and self._fitted[1]
        wished = min(self.height() * 2 // 5, self.down.height() - _BENCHES) if drawer else self.height() // 2 - 210
        lower = self.lower.of_whole_charts(min(wished, _LOWER_MOST), self.down.height())
        self.down.setSizes([max(self.down.height() - lower, 1), lower])

    def _open_drawer(self) -> None:
        """In a low window, let what was clicked on have most of the height; the edge moves it back."""
        if self.lower.shut:
            self._moved_by_hand = True
            self.down.setSizes([1, self.down.height()])

    def _split(self, _at: int, _index: int) -> None:
        """Who moves the edge between benches and charts keeps it there."""
        self._moved_by_hand = True

    def fit_widths(self) -> None:
        """Arrange for the width that there is: the column at the right, or a drawer at the lower edge."""
        made = widths(self.width())
        both = self.answer is not None and self.answer.pair is not None
        drawer = made.drawer or (both and self.width() < _BOTH_BESIDE)
        self.transport.set_narrow(self.width() < _STEPS_FROM)
        if (made.column, drawer) == self._fitted:
            return
        self._fitted = made.column, drawer
        self.across.setOrientation(Qt.Orientation.Vertical if drawer else Qt.Orientation.Horizontal)
        if drawer:
            self.column.setMinimumWidth(0)
            self.column.lie_down()
            self._fit_safety()
            self.lower.take(self.column)
            self.across.setSizes([self.height(), 1])
            self.column.split.setSizes([self.width() // 2, self.width() // 2])
        else:
            self.column.stand()
            self.column.setMaximumHeight(_UNBOUND)
            self.lower.take(None)
            self.column.setMinimumWidth(made.column)
            self.across.setSizes([self.width() - made.column, made.column])
            self.column.split.setSizes([self.height() // 2, self.height() // 2])
        # a drawer stands over the clock, the column behind it
        self.column.come_after(self.lower.last_tab if drawer else self.transport.scrub)
        self._share_height()

    def _fit_safety(self, _opened: bool = False) -> None:
        """Under the clock Safety is as high as what it says."""
        if self._fitted is not None and self._fitted[1]:
            self.column.setMaximumHeight(self.column.safety.sizeHint().height())

    # Turned to --------------------------------------------------------------------------------------------------------------------

    def entered(self) -> None:
        """The view is turned to: run what is due, and let the keyboard work the clock, whatever field it spoke to before."""
        self._turned_to = True
        self._run_due()
        self.transport.scrub.setFocus(Qt.FocusReason.OtherFocusReason)

    def left(self) -> None:
        """The view is turned away from: the clock stands still."""
        self._turned_to = False
        self.playback.pause()

    # Runs -------------------------------------------------------------------------------------------------------------------------

    @property
    def folder(self) -> Path:
        """Where files of the document are looked for and offered."""
        return folder_of(self.session, self.prefs)

    def _question(self) -> Asked:
        folder = self.session.path.parent if self.session.path else None
        return Asked(self.session.document, folder, self.controls.settings.options, self.beside, self.session.system)

    def _run_due(self) -> None:
        """Run where the train, or what is asked, is another than ran last."""
        question = self._question()
        if self.asked is None or not _same(question, self.asked):
            self._ask()

    def _ask(self, _settings: Any = None) -> None:
        """Run; what is shown stays, as that of before, until the answer is there."""
        if not self._turned_to:
            return
        self.asked = self._question()
        self._show_stale(True)
        before = " Shown: as it was before" if self.answer is not None else ""
        self.head.say(f"Running {days_text(self.controls.settings.days)}…{before}", "unknown" if before else None)
        self.head.end()
        self.runner.ask(self.asked, self.asked.gauge)

    @Slot(object)
    def _answered(self, answer: Answer) -> None:
        self.answer = answer
        self.head.end()
        self._show_stale(False)
        self.transport.show_run(answer.hours)
        self._show_answer()
        self.fit_widths()

    def _show_answer(self) -> None:
        answer = self.answer
        if answer is None:
            return
        self.head.say("", None)
        system = self.session.system
        self.column.show_answer(answer, system)
        self.transport.scrub.show_run(answer.hours, answer.asked.options.start_day, milestones(wrong_lists(answer)), undated(answer.years))
        heads = [letter(answer, i) for i in range(len(answer.years))]
        self.benches.show_years(answer.years, heads, system, self._selected())
        self.charts.show_answer(answer, system)
        self.refresh_export()
        self.lower.show_counts(self.column.wrongs.counts.text())
        self._moved(self.playback.hour)

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self.head.end(again=True)
        if isinstance(error, Cancelled):
            return
        if isinstance(error, DocumentError | YearError | OSError):
            self.head.say(f"Not run: {error}", "fail")
        else:
            self.head.say(f"Not run: the program failed at it, {type(error).__name__}: {error}", "fail")

    def _show_stale(self, stale: bool) -> None:
        if stale != self._stale:
            self._stale = stale
            self.benches.show_stale(stale)
            self.charts.show_stale(stale)
            self.column.show_stale(stale)

    @property
    def stale(self) -> bool:
        """Whether what is shown is of another train, or of another question, than stands in the controls."""
        return self._stale

    def _session_changed(self) -> None:
        """The document is another, or only the units are."""
        if not self._turned_to:
            return
        question = self._question()
        if self.asked is None or not _same(question, self.asked):
            self._ask()
        elif self.answer is not None and not self._stale:
            self._show_answer()

    # The clock ----------------------------------------------------------------------------------------------------------------------

    def _moved(self, _hour: float) -> None:
        self.benches.show_hour(self.playback.slot)
        self.transport.tell(self.benches.clock)
        self.charts.show_hour(self.playback.slot)
        self._played(self.playback.playing)

    def _played(self, playing: bool) -> None:
        """Tell a screen reader what is shown, once it stands still."""
        if not playing:
            self.benches.describe()
            self.charts.describe()

    def _go(self, hour: float) -> None:
        """Stand at an hour that was picked somewhere."""
        self.playback.pause()
        self.playback.go(hour)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """What no field wants is for the clock."""
        if self.transport.scrub.hasFocus():
            super().keyPressEvent(event)
        else:
            self.transport.scrub.keyPressEvent(event)

    # The bench ----------------------------------------------------------------------------------------------------------------------

    def _selected(self) -> list[Tag]:
        """What is selected, on each bench that has it."""
        tag = self.session.selection
        here = tag if tag[:1] == ("stage",) else ()
        held = [{entry.id for entry in year.document.stages} for year in self.answer.years] if self.answer is not None else []
        return [here if here and here[1] in stages else () for stages in held]

    def _select(self) -> None:
        for picture, tag in zip(self.benches.pictures, self._selected(), strict=False):
            if picture.selected != tag:
                picture.selected = tag
                picture.refresh()

    def _clicked(self, index: int, tag: Tag, at: QPointF) -> None:
        """A number of the ledger adds its chart; a stage is selected."""
        if tag[:1] == ("cell",) and self.answer is not None:
            self.charts.add_cell(str(tag[1]), str(tag[2]), index)
        elif tag[:1] == ("stage",) and self.session.holds(tag):
            self.session.select(tag)

    def _opened(self, tag: Tag) -> None:
        """A stage that is clicked twice is shown on the bench."""
        if tag[:1] == ("stage",) and self.session.holds(tag):
            self.session.select(tag)
            self.bench_asked.emit()


def _same(one: Asked, other: Asked) -> bool:
    """Whether two questions ask the same of the same train."""
    same = one.document is other.document and one.folder == other.folder
    return same and one.options == other.options and one.beside == other.beside
