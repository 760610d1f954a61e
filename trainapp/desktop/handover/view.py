"""The Hand-over view: papers at the left, their pages in the middle, upkeep at the right; everything is made on a thread."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QVBoxLayout, QWidget

from trainapp.desktop.background import Errands
from trainapp.desktop.catalogues import catalogues
from trainapp.desktop.handover.bar import PagesBar
from trainapp.desktop.handover.doing import HandoverDoing
from trainapp.desktop.handover.pages import PagesArea
from trainapp.desktop.handover.panel import PICKED, PapersPanel
from trainapp.desktop.handover.upkeep import WIDTHS, UpkeepPanel, today
from trainapp.desktop.handover.work import Ask, Files, Maker, Shown, Written
from trainapp.desktop.parts import Rule, TabButton
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.printing import paper_for
from trainapp.desktop.session import Session
from trainapp.reports.drawing.glyphs import with_unshown
from trainapp.reports.export_file import ExportError
from trainapp.reports.handover import kind_of
from trainapp.reports.print_paper import PAPERS
from trainapp.studies.options import SearchCancelled
from trainapp.train.document import DocumentError
from trainapp.units import System

#: Edits that follow one another faster than this are waited for, ms.
_PAUSE = 120
#: Width under which pages and upkeep take turns, and from which the column of upkeep is wide, px.
_NARROW, _WIDE = 1120, 1500


class HandoverView(HandoverDoing, QWidget):
    """The view."""

    #: Signal emitted with a sentence for the foot line.
    told = Signal(str)
    #: Signal emitted when other pages are shown.
    shown = Signal()

    def __init__(self, session: Session, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session, self.prefs = session, prefs
        self.files = _remembered(prefs)
        self.here = False
        self._made: tuple[object, ...] = ()
        self._asked: Ask | None = None
        self._log_said = ""
        self.panel = PapersPanel(paper_for(session.system).name)
        self.area = PagesArea()
        self.bar = PagesBar(self.area)
        self.upkeep = UpkeepPanel(session)
        self.errands = Errands(Maker(), "papers", self)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE)
        self._arrange()
        self._connect()
        self.panel.show_files(self.files)
        self.setAccessibleName("Hand-over")

    # Arranged -------------------------------------------------------------------------------------------------------------------

    def _arrange(self) -> None:
        self.setAutoFillBackground(True)
        self.pages_tab, self.upkeep_tab = TabButton("Pages"), TabButton("Upkeep")
        self.pages_tab.setChecked(True)
        self.tabs = QWidget()
        tabs = QHBoxLayout(self.tabs)
        tabs.setContentsMargins(8, 0, 8, 0)
        for tab in (self.pages_tab, self.upkeep_tab):
            tabs.addWidget(tab)
            tab.toggled.connect(self._fit_width)
        tabs.addStretch(1)
        self.middle = QWidget()
        middle = QVBoxLayout(self.middle)
        middle.setContentsMargins(0, 0, 0, 0)
        middle.setSpacing(0)
        for widget in (self.bar, Rule()):
            middle.addWidget(widget)
        middle.addWidget(self.area, 1)
        across = QHBoxLayout()
        across.setContentsMargins(0, 0, 0, 0)
        across.setSpacing(0)
        self.rule = Rule(upright=True)
        for widget, stretch in ((self.panel, 0), (Rule(upright=True), 0), (self.middle, 1), (self.rule, 0), (self.upkeep, 0)):
            across.addWidget(widget, stretch)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.tabs)
        whole.addLayout(across, 1)

    def _connect(self) -> None:
        self._pause.timeout.connect(self.ask)
        self.errands.answered.connect(self._answered)
        self.errands.failed.connect(self._failed)
        self.session.changed.connect(self.follow)
        catalogues().changed.connect(self.follow)
        self.panel.chosen.connect(self._chosen)
        self.panel.pick_wanted.connect(self.pick)
        self.panel.leave_wanted.connect(self.leave_out)
        self.panel.save.clicked.connect(self.do_handover_save)
        self.panel.save_all.clicked.connect(self.do_handover_save_all)
        self.panel.print.clicked.connect(self.do_handover_print)
        self.panel.running.given_up.connect(self.do_handover_cancel)
        self.upkeep.told.connect(self._log_told)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_width()

    def _fit_width(self, _checked: bool = False) -> None:
        """Pages and upkeep side by side, or one of them where there is no room for both."""
        narrow = self.width() < _NARROW
        self.tabs.setVisible(narrow)
        self.rule.setVisible(not narrow)
        self.middle.setVisible(not narrow or self.pages_tab.isChecked())
        self.upkeep.setVisible(not narrow or self.upkeep_tab.isChecked())
        if narrow:
            self.upkeep.setMinimumWidth(0)
            self.upkeep.setMaximumWidth(16_777_215)
        else:
            self.upkeep.setFixedWidth(WIDTHS[1] if self.width() >= _WIDE else WIDTHS[0])

    # Turned to and away -----------------------------------------------------------------------------------------------------------

    def entered(self) -> None:
        """The window turned to it."""
        self.here = True
        self.upkeep.refresh()
        self.ask()
        self.panel.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def left(self) -> None:
        """The window turned away: nothing is made for nobody."""
        self.here = False
        self._pause.stop()
        if self._asked is None or not self._asked.into:
            self.errands.drop()
            self.panel.running.end()

    @property
    def working(self) -> bool:
        """Whether anything is still on its way."""
        return self._pause.isActive() or self.errands.busy

    @property
    def system(self) -> System:
        """Units of the papers."""
        chosen = self.panel.units.currentData()
        return chosen if chosen in ("us", "metric") else self.session.system

    # Asked and answered -------------------------------------------------------------------------------------------------------------

    def follow(self) -> None:
        """Bring everything up to what is so now, once the edits pause; where nobody looks it waits."""
        if self._log_said and self.panel.said.text() == self._log_said:
            self.panel.say("")
        if self.here:
            self.upkeep.refresh()
            self._pause.start()

    def _log_told(self, sentence: str, refused: bool) -> None:
        """Say what became of a line of the log, for as long as the document stays as it is."""
        self.panel.say(sentence, refused)
        self._log_said = self.panel.said.text()

    def _chosen(self) -> None:
        self.panel.say("")
        if self.here:
            self.ask()

    def question(self, into: tuple[tuple[str, Path], ...] = ()) -> Ask:
        """What is asked of the thread: the pages that are chosen, or files."""
        paper = PAPERS[str(self.panel.paper.currentData())]
        document, own = self.session.document, dict(catalogues().own)
        return Ask(self.panel.key, document, self.system, paper, self.files, today(), own, into)

    def ask(self) -> None:
        """Ask for the pages that are chosen, unless they are shown already."""
        if self.session.stale:
            self._unworkable()
            return
        if self._asked is not None and self._asked.into and self.errands.busy:
            return
        question = self.question()
        if self._key(question) == self._made and not self.area.stale:
            self.errands.drop()
            self.panel.running.end()
            return
        self._begin(question)
        self.area.fade()

    def _begin(self, question: Ask) -> None:
        keys = [key for key, _ in question.into] or [question.key]
        what = "Looking for trains" if any(kind_of(key).offer for key in keys) else "Setting pages"
        self._asked = question
        self._follow_buttons(False)
        self.errands.ask(question)
        self.panel.running.begin(what, question.progress)

    def _key(self, ask: Ask) -> tuple[object, ...]:
        return ask.key, ask.document.tree, ask.system, ask.paper.name, ask.files, ask.today, ask.own

    def _unworkable(self) -> None:
        self.errands.drop()
        self.panel.running.end()
        self.area.fade()
        self._follow_buttons(False)
        self.panel.say(f"The train cannot be worked out as it is: {self.session.stale}.", refused=True)

    def _follow_buttons(self, ready: bool) -> None:
        for button in (self.panel.save, self.panel.print, self.panel.save_all):
            button.setEnabled(ready)

    @Slot(object)
    def _answered(self, answer: Shown | Written) -> None:
        self.panel.running.end()
        self._follow_buttons(True)
        asked, self._asked = self._asked, None
        if isinstance(answer, Written):
            names = ", ".join(path.name for path in answer.paths)
            where = answer.paths[0] if len(answer.paths) == 1 else f"{names} in {answer.paths[0].parent}"
            self.panel.say(with_unshown(f"Wrote {where}."))
            self.told.emit(f"Wrote {names}")
            if self.here:
                self.ask()
            return
        self._made = self._key(asked) if asked is not None else ()
        self.area.show_job(answer.job, kind_of(answer.key).label)
        self.bar.show_job(answer.job)
        self.shown.emit()

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self.panel.running.end()
        self._follow_buttons(True)
        writing, self._asked = self._asked is not None and bool(self._asked.into), None
        if isinstance(error, SearchCancelled):
            return
        what = "Not written" if writing else "Not shown"
        if isinstance(error, ExportError | DocumentError | OSError):
            self.panel.say(f"{what}: {error}.", refused=True)
            return
        self.panel.say(f"{what}: the program failed at it, {type(error).__name__}: {error}.", refused=True)
        sys.excepthook(type(error), error, error.__traceback__)

    # Files ------------------------------------------------------------------------------------------------------------------------

    def pick(self, key: str) -> None:
        """Ask for the dealer's logo, terms or price list."""
        _, name, kinds = next(row for row in PICKED if row[0] == key)
        path, _ = QFileDialog.getOpenFileName(self, f"Pick a file: {name}", self.prefs.folder, kinds)
        if path:
            self.use_file(key, Path(path))

    def leave_out(self, key: str) -> None:
        """Use no logo, no terms, or the invented prices."""
        self.use_file(key, None)

    def use_file(self, key: str, path: Path | None) -> None:
        """Use a file of the dealer's own from now on, here and in every later window."""
        self.files = replace(self.files, **{key: path})
        self.prefs.papers = json.dumps({name: str(p) for name, p in vars_of(self.files).items() if p is not None}, ensure_ascii=False)
        self.panel.show_files(self.files)
        self._chosen()


def vars_of(files: Files) -> dict[str, Path | None]:
    """The files by name."""
    return {"logo": files.logo, "terms": files.terms, "prices": files.prices}


def _remembered(prefs: Prefs) -> Files:
    """The files that were used last; what makes no sense is none."""
    try:
        kept = json.loads(prefs.papers)
    except ValueError:
        return Files()
    if not isinstance(kept, dict):
        return Files()
    return Files(**{key: Path(kept[key]) for key in ("logo", "terms", "prices") if isinstance(kept.get(key), str) and kept[key]})


__all__ = ["HandoverView"]
