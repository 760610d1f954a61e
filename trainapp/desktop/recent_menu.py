"""Recent files in the File menu, and in a window where they are pinned and taken off the list."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QAbstractItemView, QListWidget, QListWidgetItem, QMenu, QWidget

from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.docks import in_rows
from trainapp.desktop.parts import BoxButton, quiet, wrapped
from trainapp.desktop.recent import Recent, RecentFiles
from trainapp.reports.drawing.tokens import BODY

#: Files in the menu; all are in the window.
_IN_MENU = 9
_PATH = Qt.ItemDataRole.UserRole


def told(file: Recent) -> str:
    """A file as both lists show it: its name, what is so of it, and its folder."""
    words = ", ".join(word for word, so in (("pinned", file.pinned), ("missing", file.missing)) if so)
    return f"{file.path.name}{f' ({words})' if words else ''} – {file.path.parent}"


class RecentMenu(QMenu):
    """Filled when it opens; what is missing turns grey once that is known."""

    #: Signal emitted with the path of a file that is to be opened.
    wanted = Signal(object)

    def __init__(self, recent: RecentFiles, parent: QWidget | None = None) -> None:
        super().__init__("Recent", parent)
        self.recent = recent
        self.files: list[QAction] = []
        self.clear_action = QAction("Clear, keep what is pinned", self)
        self.clear_action.triggered.connect(recent.clear)
        self.aboutToShow.connect(self._open)
        recent.changed.connect(self.fill)
        self.fill()

    def _open(self) -> None:
        self.recent.look()

    def fill(self) -> None:
        """Show the list as it is."""
        files = self.recent.files[:_IN_MENU]
        while len(self.files) < len(files):
            action = QAction(self)
            action.triggered.connect(self._triggered)
            self.files.append(action)
        while len(self.files) > len(files):
            old = self.files.pop()
            self.removeAction(old)
            old.deleteLater()
        for action in self.actions():
            self.removeAction(action)
        for number, (action, file) in enumerate(zip(self.files, files, strict=True), 1):
            action.setText(f"&{number} {told(file).replace('&', '&&')}")
            action.setData(str(file.path))
            action.setEnabled(not file.missing)
            self.addAction(action)
        self.addSeparator()
        self.addAction(self.clear_action)
        self.clear_action.setEnabled(any(not file.pinned for file in files))
        self.menuAction().setEnabled(bool(files))

    def _triggered(self) -> None:
        action = self.sender()
        if isinstance(action, QAction):
            self.wanted.emit(Path(action.data()))


class RecentWindow(SideWindow):
    """The whole list: open, pin, take off."""

    #: Signal emitted with the path of a file that is to be opened.
    wanted = Signal(object)

    def __init__(self, recent: RecentFiles, parent: QWidget | None = None) -> None:
        super().__init__("Recent files", QSize(640, 400), parent)
        self.recent = recent
        self.list = QListWidget()
        quiet(self.list)
        self.list.setWordWrap(True)
        self.list.setResizeMode(QListWidget.ResizeMode.Adjust)
        in_rows(self.list)
        self.list.setAccessibleName("Recent files")
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.none = wrapped("Nothing was opened yet.", "ink3", BODY)
        self.column.addWidget(self.none)
        self.column.addWidget(self.list, 1)
        self.buttons = {
            "open": BoxButton("Open", "Open the selected file"),
            "pin": BoxButton("Pin", "Keep the selected file in the list"),
            "forget": BoxButton("Take off", "Take the selected file off the list"),
            "clear": BoxButton("Clear", "Take all files off the list that are not pinned"),
        }
        for name, slot in (("open", self.do_open), ("pin", self.do_pin), ("forget", self.do_forget), ("clear", recent.clear)):
            self.buttons[name].clicked.connect(slot)
            self.add_button(self.buttons[name])
        self.list.itemActivated.connect(self._activated)
        self.list.currentRowChanged.connect(self._follow)
        recent.changed.connect(self.fill)
        self.fill()
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)
        recent.look()

    def fill(self) -> None:
        """Show the list as it is."""
        current = self._current()
        self.list.clear()
        for row, file in enumerate(self.recent.files):
            item = QListWidgetItem(told(file))
            item.setData(_PATH, str(file.path))
            item.setToolTip(str(file.path))
            if file.missing:
                item.setForeground(self.palette().placeholderText())
            self.list.addItem(item)
            if current is not None and file.path == current.path:
                self.list.setCurrentRow(row)
        if self.list.currentRow() < 0 and self.list.count():
            self.list.setCurrentRow(0)
        self.none.setVisible(not self.list.count())
        self._follow()

    def _current(self) -> Recent | None:
        item = self.list.currentItem()
        path = Path(item.data(_PATH)) if item is not None else None
        return next((file for file in self.recent.files if file.path == path), None)

    def _follow(self, _row: int = 0) -> None:
        file = self._current()
        self.buttons["open"].setEnabled(file is not None and not file.missing)
        for name in ("pin", "forget"):
            self.buttons[name].setEnabled(file is not None)
        self.buttons["clear"].setEnabled(any(not other.pinned for other in self.recent.files))
        unpin = file is not None and file.pinned
        self.buttons["pin"].setText("Unpin" if unpin else "Pin")
        self.buttons["pin"].setAccessibleName("No longer keep the selected file" if unpin else "Keep the selected file in the list")
        self.buttons["pin"].updateGeometry()

    def _activated(self, _item: QListWidgetItem) -> None:
        self.do_open()

    def do_open(self) -> None:
        """Open the selected file."""
        file = self._current()
        if file is not None and not file.missing:
            self.wanted.emit(file.path)
            self.close()

    def do_pin(self) -> None:
        """Keep the selected file in the list, or no longer."""
        file = self._current()
        if file is not None:
            self.recent.pin(file.path, not file.pinned)

    def do_forget(self) -> None:
        """Take the selected file off the list."""
        file = self._current()
        if file is not None:
            self.recent.forget(file.path)
