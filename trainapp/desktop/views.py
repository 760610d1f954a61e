"""The views of a window: Bench, Year, Options, Hand-over, Lessons. All but the bench are made when they are first turned to."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from trainapp.desktop.command import Command

if TYPE_CHECKING:
    from trainapp.desktop.prefs import Prefs
    from trainapp.desktop.session import Session

Title = Literal["Year", "Options", "Hand-over", "Lessons"]


@dataclass(frozen=True, slots=True)
class View:
    """One view.

    Attributes:
        id: name of its package under `trainapp.desktop`, and of its command, view_<id>.
        title: on its tab. key: turns to it.
    """

    id: str
    title: Title
    key: str

    def commands(self) -> tuple[Command, ...]:
        """What can be done in it."""
        commands: tuple[Command, ...] = import_module(f"trainapp.desktop.{self.id}.commands").COMMANDS
        return commands

    def make(self, session: Session, prefs: Prefs) -> QWidget:
        """The view itself, on a document."""
        widget: QWidget = import_module(f"trainapp.desktop.{self.id}").make(session, prefs)
        return widget


#: Least size of a window, px at 100 %: at 200 % it still stands on a screen of 1920 x 1080 under its own title.
LEAST = (760, 500)
#: The bench's own id and title.
BENCH = "bench"
BENCH_TITLE, BENCH_KEY = "Bench", "F5"
VIEWS: tuple[View, ...] = (
    View("year", "Year", "F6"),
    View("options", "Options", "F7"),
    View("handover", "Hand-over", "F8"),
    View("lessons", "Lessons", "F9"),
)
#: Title of each view by id, from left to right.
TITLES: dict[str, str] = {BENCH: BENCH_TITLE, **{view.id: view.title for view in VIEWS}}
#: Key that turns to each view.
KEYS: dict[str, str] = {BENCH: BENCH_KEY, **{view.id: view.key for view in VIEWS}}


class Views(QStackedWidget):
    """The bench and the views beside it, one of them shown. Turned away from, a view rests: `left()` and `entered()` tell it so."""

    #: Signal emitted with the id of the view that was turned to.
    turned = Signal(str)
    #: Signal emitted with a view that has just been made.
    made = Signal(QWidget)

    def __init__(self, bench: QWidget, session: Session, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session, self._prefs = session, prefs
        self.shown = BENCH
        self.pages: dict[str, QWidget] = {BENCH: bench}
        self.addWidget(bench)

    def turn_to(self, name: str) -> QWidget:
        """Show a view, make it where it is new, and give it.

        Raises:
            KeyError: there is no such view.
        """
        page = self.pages.get(name)
        if page is None:
            view = {view.id: view for view in VIEWS}[name]
            page = view.make(self._session, self._prefs)
            self.pages[name] = page
            self.addWidget(page)
            self.made.emit(page)
        if name != self.shown:
            _tell(self.pages[self.shown], "left")
            self.shown = name
            self.setCurrentWidget(page)
            _tell(page, "entered")
            self.turned.emit(name)
        return page

    def may_close(self) -> bool:
        """Whether every view lets its window close; one that holds what no file does asks first, shown."""
        for name, page in self.pages.items():
            asked = getattr(page, "may_close", None)
            if asked is not None and not asked():
                self.turn_to(name)
                return False
        return True


def _tell(page: QWidget, what: str) -> None:
    told = getattr(page, what, None)
    if told is not None:
        told()
