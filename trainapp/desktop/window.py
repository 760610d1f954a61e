"""The window of one document: bar, workspace, and what every command does. It stands before the engine is loaded."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QAction, QCloseEvent, QDragEnterEvent, QDropEvent, QKeySequence
from PySide6.QtWidgets import QDockWidget, QFileDialog, QLabel, QMainWindow, QMenu, QMessageBox, QWidget

from trainapp.desktop.actions import COMMANDS, MENUS
from trainapp.desktop.bindings import bindings, sequences
from trainapp.desktop.command import Command
from trainapp.desktop.dropped import CATALOGUES, TRAINS, dropped_files
from trainapp.desktop.finder import Choice, Finder
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.recent_menu import RecentMenu
from trainapp.desktop.shell import Shell
from trainapp.desktop.strip import Strip
from trainapp.desktop.theme import look
from trainapp.desktop.views import BENCH, LEAST, TITLES, VIEWS, Views

if TYPE_CHECKING:
    from trainapp.desktop.doing import Doing
    from trainapp.desktop.engine import System
    from trainapp.desktop.recovery import Keeper
    from trainapp.desktop.session import Session
    from trainapp.desktop.workspace import Workspace

SUFFIX = ".train.json"
FILTER = f"Trains (*{SUFFIX});;All files (*)"
_SIZE = QSize(1280, 800)


class Window(QMainWindow):
    """One document on the screen."""

    #: Signal emitted when a file is to be opened, or None for a new train.
    open_asked = Signal(object)
    #: Signal emitted with a first train that is to be shown in a window of its own.
    document_asked = Signal(object)
    #: Signal emitted with a train that is to be shown in a window of its own; no file has it.
    train_asked = Signal(object)
    #: Signal emitted with the units that were chosen, for every window.
    units_chosen = Signal(str)
    #: Signal emitted when every window is to be closed.
    quit_asked = Signal()
    #: Signal emitted when the window has closed.
    closed = Signal(object)

    def __init__(self, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.prefs = prefs
        self.session: Session | None = None
        self.keeper: Keeper | None = None
        self.workspace: Workspace | None = None
        self.doing: Doing | None = None
        self.views: Views | None = None
        self.actions_by_id: dict[str, QAction] = {}
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setMinimumSize(*LEAST)
        self.resize(prefs.size or _SIZE)
        self.setAcceptDrops(True)
        self.trouble: QWidget | None = None
        self.shell = Shell(self)
        self.strip = Strip()
        self._make_actions()
        self._fill_strip()
        self.setMenuWidget(self.strip)
        waiting = QLabel("Opening…")
        waiting.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setCentralWidget(waiting)
        self.setWindowTitle("trainapp")
        self.units_chosen.connect(self.use_units)
        self.follow()

    # Actions ------------------------------------------------------------------------------------------------------------------

    def _make_actions(self) -> None:
        menus = {name: QMenu(f"&{name}", self) for name in MENUS}
        self.menus = menus
        for command in COMMANDS:
            action = QAction(command.text, self)
            action.setObjectName(command.id)
            action.setShortcuts(sequences(command, self.prefs))
            action.setCheckable(command.checkable)
            action.triggered.connect(self._triggered)
            self.actions_by_id[command.id] = action
            self.addAction(action)
            if command.rule:
                menus[command.menu].addSeparator()
            menus[command.menu].addAction(action)
        bindings().changed.connect(self._bind)
        self.recent_menu = RecentMenu(self.prefs.recent, self)
        self.recent_menu.wanted.connect(self.open_asked)
        menus["File"].insertMenu(self.actions_by_id["recent"], self.recent_menu)
        for menu in menus.values():
            self.strip.menus.addMenu(menu)

    def _bind(self) -> None:
        """Let every command have the keys that it has now."""
        for command in COMMANDS:
            self.actions_by_id[command.id].setShortcuts(sequences(command, self.prefs))

    def _fill_strip(self) -> None:
        for name, title in TITLES.items():
            self.strip.add_view(name, title, self.actions_by_id[f"view_{name}"])
        self.unit_button = self.strip.add_action(self.actions_by_id["units"], "US units")
        for name, text in (("undo", "Undo"), ("redo", "Redo"), ("find_command", "Find a command")):
            self.strip.add_action(self.actions_by_id[name], text)

    def _triggered(self, _checked: bool = False) -> None:
        sender = self.sender()
        if sender is not None:
            try:
                self.run(sender.objectName())
            finally:
                # A check mark went on with the click, whatever came of it.
                self.follow()

    def run(self, command: str) -> None:
        """Do a command by its id."""
        view = next((each.view for each in COMMANDS if each.id == command), "")
        page = self.turn_to(view) if view else None
        if command == "new":
            self.open_asked.emit(None)
        elif command == "open":
            self._ask_file()
        elif command == "quit":
            self.quit_asked.emit()
        elif command == "close":
            self.close()
        elif command == "find_command":
            self.find_command()
        elif command in ("light", "dark", "system", "contrast"):
            self._choose_look(command)
        elif command.startswith("view_"):
            self.turn_to(command.removeprefix("view_"))
        elif page is not None and view != BENCH:
            getattr(page, f"do_{command}")()
        elif hasattr(self.shell, f"do_{command}"):
            getattr(self.shell, f"do_{command}")()
        elif self.doing is not None:
            getattr(self.doing, f"do_{command}")()
        self.follow()

    def _ask_file(self) -> None:
        """Ask for a file and have it opened."""
        path = self.session.path if self.session is not None else None
        name, _ = QFileDialog.getOpenFileName(self, "Open", str(path.parent) if path else self.prefs.folder, FILTER)
        if name:
            self.prefs.folder = str(Path(name).parent)
            self.open_asked.emit(Path(name))

    def find_command(self) -> None:
        """Open the list of everything that can be done."""
        choices = [
            Choice(c.id, self.actions_by_id[c.id].text().replace("…", ""), self._keys(c), self._can(c))
            for c in COMMANDS
            if c.id != "find_command"
        ]
        finder = Finder("Find a command", choices, self)
        finder.taken.connect(self.run)
        finder.open_at_top()

    def _keys(self, command: Command) -> str:
        return self.actions_by_id[command.id].shortcut().toString(QKeySequence.SequenceFormat.NativeText)

    def _choose_look(self, command: str) -> None:
        if command == "contrast":
            look().choose(look().choice, not look().high_contrast)
        else:
            look().choose(command)  # type: ignore[arg-type]
        self.prefs.theme, self.prefs.high_contrast = look().choice, look().high_contrast

    # Document -----------------------------------------------------------------------------------------------------------------

    def show_session(self, session: Session) -> None:
        """Work on a document from now on."""
        from trainapp.desktop.docks import DockTitle
        from trainapp.desktop.doing import Doing
        from trainapp.desktop.history import HistoryDock
        from trainapp.desktop.recovery import Keeper
        from trainapp.desktop.words import WordsTree
        from trainapp.desktop.workspace import Workspace

        self.session = session
        session.setParent(self)
        self.keeper = Keeper(session, self.prefs.recovery, self)
        self.workspace = Workspace(session)
        self.views = Views(self.workspace, session, self.prefs)
        self.views.made.connect(self._take_in)
        self.views.turned.connect(self.follow)
        self.setCentralWidget(self.views)
        self.words = QDockWidget("Train in words", self)
        self.words.setObjectName("words")
        self.tree = WordsTree(session)
        self.words.setWidget(self.tree)
        self.words.setTitleBarWidget(DockTitle(self.words))
        self.addDockWidget(Qt.DockWidgetArea.LeftDockWidgetArea, self.words)
        self.words.setMinimumWidth(300)
        self.words.hide()
        self.words.visibilityChanged.connect(self.follow)
        self.history = HistoryDock(session, self)
        self.addDockWidget(Qt.DockWidgetArea.LeftDockWidgetArea, self.history)
        self.history.hide()
        self.history.visibilityChanged.connect(self.follow)
        self.doing = Doing(self, session, self.workspace)
        self.tree.activated_line.connect(self.workspace.open_card)
        for signal in (session.changed, session.shown_changed, session.selection_changed, session.saved, session.stack.cleanChanged):
            signal.connect(self.follow)
        look().changed.connect(self.follow)
        # A new central widget is shown with the next event, and what is not shown takes no focus.
        self.workspace.show()
        self.workspace.canvas.setFocus(Qt.FocusReason.OtherFocusReason)
        if session.path is not None:
            self.prefs.recent.note(session.path)
        self.follow()

    # Views --------------------------------------------------------------------------------------------------------------------

    def turn_to(self, name: str) -> QWidget | None:
        """Show a view; None where there is no document yet."""
        return self.views.turn_to(name) if self.views is not None else None

    def _take_in(self, page: QWidget) -> None:
        """Listen to a view that was just made."""
        for signal, slot in (("bench_asked", self._to_bench), ("document_asked", self.train_asked), ("told", self._tell)):
            if hasattr(page, signal):
                getattr(page, signal).connect(slot)

    def _to_bench(self) -> None:
        self.turn_to(BENCH)

    def _tell(self, text: str) -> None:
        if self.workspace is not None:
            self.workspace.foot.tell(text)

    def offer_start(self, text: str) -> None:
        """Say in a line over the bench what is shown, and that one's own train can be had in a minute."""
        from trainapp.desktop.offer import Offer

        if self.workspace is not None:
            self.offer = Offer(text)
            self.offer.wanted.connect(self.shell.do_start)
            self.workspace.put_over(self.offer)

    def use_units(self, system: str) -> None:
        """Show everything in these units, and remember them."""
        self.prefs.units = system
        if self.session is not None:
            chosen: System = "metric" if system == "metric" else "us"
            self.session.set_system(chosen)
            self.shell.use_units(chosen)

    def show_problem(self, sentence: str) -> None:
        """Say why a file could not be opened; everything else goes on."""
        from trainapp.desktop.trouble import Trouble

        self.trouble = Trouble(sentence)
        self.trouble.wanted.connect(self.run)
        self.setCentralWidget(self.trouble)
        self.trouble.show()
        self.trouble.setFocus(Qt.FocusReason.OtherFocusReason)
        self.follow()

    # State --------------------------------------------------------------------------------------------------------------------

    def follow(self, _changed: Any = None) -> None:
        """Bring title, menus and bar up to what is so now."""
        session = self.session
        shown = self.views.shown if self.views is not None else BENCH
        for view in VIEWS:
            self.menus[view.title].menuAction().setVisible(view.id == shown)
        for name in TITLES:
            self.actions_by_id[f"view_{name}"].setChecked(name == shown)
        for command in COMMANDS:
            self.actions_by_id[command.id].setEnabled(self._can(command) and command.view in ("", shown))
        for name in ("light", "dark", "system"):
            self.actions_by_id[name].setChecked(look().choice == name)
        self.actions_by_id["contrast"].setChecked(look().high_contrast)
        if session is None:
            self.strip.show_site("", "")
            return
        stack = session.stack
        for name, can, text in (("undo", stack.canUndo(), stack.undoText()), ("redo", stack.canRedo(), stack.redoText())):
            self.actions_by_id[name].setEnabled(can)
            self.actions_by_id[name].setText(f"{name.capitalize()} {text}".strip())
        self.actions_by_id["words"].setChecked(self.words.isVisible())
        self.actions_by_id["history"].setChecked(self.history.isVisible())
        for name, on in self.doing.shown_on_bench().items() if self.doing is not None else ():
            self.actions_by_id[name].setChecked(on)
        self.unit_button.setText("US units" if session.system == "us" else "Metric units")
        self.unit_button.updateGeometry()
        self.setWindowFilePath(str(session.path) if session.path else "")
        self.setWindowTitle(f"{session.title}[*] \u2013 trainapp")
        self.setWindowModified(not session.is_clean)
        saved = f"saved {session.saved_at:%H:%M}" if session.saved_at and session.is_clean else "" if session.is_clean else "not saved"
        self.strip.show_site(session.title, saved)

    def _can(self, command: Command) -> bool:
        if command.needs == "nothing":
            return True
        if self.session is None:
            return False
        if command.needs == "file":
            return self.session.path is not None
        tag = self.session.selection
        kind = tag[0] if tag else ""
        if command.needs == "stage":
            return kind == "stage" or (command.id == "rename" and kind == "end" and tag[1] != "house")
        if command.needs == "several":
            return sum(each[0] == "stage" for each in self.session.chosen) > 1
        if command.needs == "placed":
            return self.session.placed
        if command.needs == "node":
            return kind in ("stage", "supply")
        if command.needs == "removable":
            return kind in ("stage", "link") or (kind == "end" and tag[1] != "house")
        return True

    # Drops --------------------------------------------------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped_files(event.mimeData(), (*TRAINS, *CATALOGUES)):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Trains are opened, catalogues are taken in."""
        event.acceptProposedAction()
        for path in dropped_files(event.mimeData(), TRAINS):
            self.open_asked.emit(path)
        catalogues = dropped_files(event.mimeData(), CATALOGUES)
        if catalogues:
            self.shell.take_catalogues(catalogues)

    # Closing ------------------------------------------------------------------------------------------------------------------

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self._may_close() or (self.views is not None and not self.views.may_close()):
            event.ignore()
            return
        self.prefs.size = self.size() if not self.isMaximized() else self.prefs.size
        if self.keeper is not None:
            self.keeper.forget()
        event.accept()
        self.closed.emit(self)

    def _may_close(self) -> bool:
        """Ask whether what was not saved may go; save it where that is wanted."""
        if self.session is None or self.session.is_clean:
            return True
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self,
            "Close",
            f"{self.session.title} was changed and not saved. Save it?",
            buttons.Save | buttons.Discard | buttons.Cancel,
            buttons.Save,
        )
        if answer == buttons.Save:
            return self.doing is not None and self.doing.do_save()
        return answer == buttons.Discard
