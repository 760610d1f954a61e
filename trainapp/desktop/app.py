"""The application: one process, a window for each document. The first window stands before the engine is loaded."""

from __future__ import annotations

import ctypes
import os
import sys
import threading
import traceback
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

import PySide6
from PySide6.QtCore import QObject, QPoint, Qt, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QMessageBox

from trainapp import __version__
from trainapp.data import samples_path
from trainapp.desktop import fonts
from trainapp.desktop.collector import Collector
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.style import dress
from trainapp.desktop.theme import look
from trainapp.desktop.window import Window

if TYPE_CHECKING:
    from trainapp.desktop.opening import Aside
    from trainapp.desktop.recovery import Copy
    from trainapp.studies.start import Started
    from trainapp.train.document import Document

FIRST_RUN = "lone-alder-farm.train.json"
SAMPLE_OFFER = "This is an invented sample to look around in; nothing in it can break. Your own train is a few answers away."
NEW_OFFER = "A new site, with nothing on the bench. A few answers put a first train on it."
#: How far a window opens beside the one before it, px.
_ASIDE = 28


class Documents(QObject):
    """The windows there are. This list is what keeps them."""

    def __init__(self, prefs: Prefs) -> None:
        super().__init__()
        self.prefs = prefs
        self.windows: list[Window] = []
        self._waiting: list[tuple[Window, Path | None, bool]] = []
        self._catalogues = prefs.catalogues
        self._has_offered = False

    def open(self, path: Path | None, first_run: bool = False) -> Window:
        """A window on a file, on a new train, or on the first-run sample; the window stands at once, its document follows."""
        window = self._window()
        self._waiting.append((window, path, first_run))
        QTimer.singleShot(0, self._load)
        return window

    def _window(self) -> Window:
        window = Window(self.prefs)
        window.open_asked.connect(self._asked)
        window.quit_asked.connect(self.quit)
        window.closed.connect(self._closed)
        window.document_asked.connect(self._started)
        window.train_asked.connect(self._show_train)
        window.units_chosen.connect(self._units_chosen)
        self.windows.append(window)
        _clamp(window, len(self.windows) - 1)
        window.show()
        return window

    def _started(self, started: Started) -> None:
        """The first train of a kitchen-table start, in a window of its own, with what it assumes and what has to be tested."""
        self._show_train(started.document).run("sampling")

    def _show_train(self, document: Document | Aside) -> Window:
        """A train that no file has yet, in a window of its own."""
        from trainapp.desktop.opening import session_of

        window = self._window()
        session = session_of(document, self.prefs)
        session.stack.resetClean()
        window.show_session(session)
        return window

    def _units_chosen(self, system: str) -> None:
        for window in self.windows:
            window.use_units(system)

    def _asked(self, path: Path | None) -> None:
        """Another document; a file that is open already comes to the front."""
        for window in self.windows:
            if path is not None and window.session is not None and window.session.path == path:
                window.raise_()
                window.activateWindow()
                break
        else:
            self.open(path)
        asked = self.sender()
        if isinstance(asked, Window) and asked.trouble is not None:
            # nothing is in it: what was asked for stands in a window of its own
            asked.close()

    def _load(self) -> None:
        from trainapp.desktop.opening import open_session

        while self._waiting:
            window, path, first_run = self._waiting.pop(0)
            if window not in self.windows:
                continue
            session, problem = open_session(samples_path(FIRST_RUN) if first_run else path, self.prefs, copy=first_run)
            if session is None:
                window.show_problem(problem)
            else:
                window.show_session(session)
                if path is None:
                    window.offer_start(SAMPLE_OFFER if first_run else NEW_OFFER)
        self._take_catalogues()
        self._offer_copies()

    def _offer_copies(self) -> None:
        """Once, over the first document that is shown: what was not saved when the program ended last."""
        from trainapp.desktop.recovery import CopyLine, left_behind

        window = next((window for window in self.windows if window.workspace is not None), None)
        if self._has_offered or window is None or window.workspace is None:
            return
        self._has_offered = True
        for copy in left_behind(self.prefs.recovery):
            line = CopyLine(copy)
            line.opened.connect(self._reopen)
            window.workspace.put_over(line)

    def _reopen(self, copy: Copy) -> None:
        """Go on with a copy in a window of its own, which keeps one from now on."""
        from trainapp.desktop.recovery import reopened

        window = self._window()
        window.show_session(reopened(copy, self.prefs))
        if window.keeper is not None:
            window.keeper.keep()
            if window.keeper.has_copy:
                copy.remove()

    def _take_catalogues(self) -> None:
        """Read the user's own catalogues once the first document is shown."""
        from trainapp.desktop.catalogues import catalogues

        paths, self._catalogues = self._catalogues, ()
        if paths:
            catalogues().told.connect(self._catalogue_told)
            catalogues().add(paths)

    def _catalogue_told(self, path: Path, problem: str) -> None:
        """Say which of the user's own catalogues of last time is not there."""
        window = next((window for window in self.windows if window.workspace is not None), None)
        if problem and path in self.prefs.catalogues and window is not None and window.workspace is not None:
            window.workspace.foot.refuse(f"An own catalogue is left out: {problem}")

    def _closed(self, window: Window) -> None:
        if window in self.windows:
            self.windows.remove(window)

    def quit(self) -> None:
        """Close every window; one that is kept open keeps the rest."""
        for window in list(self.windows):
            if not window.close():
                return


def _clamp(window: Window, before: int) -> None:
    """Never larger than the screen, never off it; each a little beside those that were opened before."""
    screen = QGuiApplication.primaryScreen()
    if screen is None:
        return
    free = screen.availableGeometry()
    window.resize(window.size().boundedTo(free.size()))
    room = free.size() - window.size()
    aside = QPoint(min(before * _ASIDE, room.width()), min(before * _ASIDE, room.height()))
    window.move(free.topLeft() + aside)


def make_application(arguments: list[str]) -> QApplication:
    """The application as every window expects it: style, font, colours.

    An application that is there already is taken over.
    """
    QGuiApplication.setHighDpiScaleFactorRoundingPolicy(Qt.HighDpiScaleFactorRoundingPolicy.PassThrough)
    application = QApplication.instance()
    if not isinstance(application, QApplication):
        application = QApplication(arguments)
    application.setApplicationName("trainapp")
    application.setApplicationVersion(__version__)
    dress(application)
    return application


def unusable_screen() -> str:
    """Why no window can be opened on this machine, in a sentence, "" where one can.

    Qt itself only aborts, with a page of text.
    """
    if not sys.platform.startswith("linux") or os.environ.get("QT_QPA_PLATFORM"):
        return ""
    if os.environ.get("WAYLAND_DISPLAY"):
        return ""
    if not os.environ.get("DISPLAY"):
        return "there is no display to open the window on; `trainapp check FILE` prints the findings"
    plugin = Path(PySide6.__file__).parent / "Qt" / "plugins" / "platforms" / "libqxcb.so"
    try:
        ctypes.CDLL(str(plugin))
    except OSError as error:
        return f"the window cannot open, a library of the system is missing: {error}"
    return ""


def run(path: Path | None) -> int:
    """Open the window and stay until the last one closes; the exit status, 2 where no window can be opened."""
    problem = unusable_screen()
    if problem:
        print(problem, file=sys.stderr)
        return 2
    application = make_application(sys.argv[:1])
    prefs = Prefs()
    fonts.install(application)
    look().choose(prefs.theme, prefs.high_contrast)
    hints = QGuiApplication.styleHints()
    if hints is not None:
        hints.colorSchemeChanged.connect(_scheme_changed)
    install_hooks()
    collector = Collector()
    documents = Documents(prefs)
    documents.open(path.absolute() if path else None, first_run=path is None)
    status = int(application.exec())
    collector.stop()
    return status


def _scheme_changed(_scheme: Qt.ColorScheme) -> None:
    if look().choice == "system":
        look().refresh()


# When the program itself fails ------------------------------------------------------------------------------------------------


def install_hooks() -> None:
    """Show what nobody caught, on the screen and on standard error; the window goes on."""
    sys.excepthook = _uncaught
    threading.excepthook = _uncaught_in_thread


def _uncaught(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    if issubclass(kind, KeyboardInterrupt):
        QApplication.quit()
        return
    text = "".join(traceback.format_exception(kind, error, trace))
    print(text, file=sys.stderr)
    if threading.current_thread() is threading.main_thread() and QApplication.instance() is not None:
        show_failure(str(error) or kind.__name__, text)


def _uncaught_in_thread(arguments: threading.ExceptHookArgs) -> None:
    print("".join(traceback.format_exception(arguments.exc_type, arguments.exc_value, arguments.exc_traceback)), file=sys.stderr)


_showing = False


def show_failure(sentence: str, details: str) -> None:
    """A dialog with a text that can be copied; nothing is sent anywhere."""
    global _showing
    if _showing:
        return
    _showing = True
    try:
        box = QMessageBox(QMessageBox.Icon.Critical, "trainapp", f"The program failed at something: {sentence}")
        box.setInformativeText("Your document is as it was before. Save it under another name to be sure.")
        box.setDetailedText(f"trainapp {__version__}, Python {sys.version.split()[0]}, {os.name}\n\n{details}")
        box.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard)
        box.exec()
    finally:
        _showing = False
