"""Every key that does something, in one list: from the table of commands, and what the keys do on the bench."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QTreeWidget, QTreeWidgetItem, QWidget

from trainapp.desktop.actions import COMMANDS, MENUS
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.parts import BoxButton, LineField, quiet

#: What keys and mouse do where they have no command of their own.
ELSEWHERE: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        "On the bench",
        (
            ("Walk along the train", "Left, Right"),
            ("Take the next stage into the selection", "Shift+Left, Shift+Right"),
            ("Nudge what is selected along the floor", "Ctrl+Shift+Left, Ctrl+Shift+Right"),
            ("To the pipe between two stages", "Alt+Left, Alt+Right"),
            ("To the first stage, to the last", "Home, End"),
            ("Down into the water, up again", "Down, Up"),
            ("Show the card of what is selected", "Return"),
            ("Add here", "A"),
            ("Zoom in, zoom out", "+, -"),
            ("Move the view sideways", "PgUp, PgDown"),
            ("Move the view up and down", "Shift+PgUp, Shift+PgDown"),
            ("Give up a drag, select nothing", "Esc"),
        ),
    ),
    (
        "On the bench, by mouse",
        (
            ("Zoom to the pointer", "Ctrl+wheel"),
            ("Move the view", "wheel, Shift+wheel, middle button, Space+drag"),
            ("Take into the selection, or out of it", "Shift+click, Ctrl+click"),
            ("Select several", "drag over the floor"),
            ("Order instead of floor, or the other way round", "Alt+drag"),
            ("Menu of what is selected", "right button"),
        ),
    ),
    (
        "In lists",
        (
            ("From finding to finding", "Down, Up"),
            ("Open or close a finding", "Return"),
            ("Add what is selected on the shelf", "Return"),
            ("Leave a field as it was", "Esc"),
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the list."""

    group: str
    text: str
    keys: str


def lines() -> Iterator[Line]:
    """All lines, menu by menu; commands without a key, too, for Find a command reaches them."""
    for menu in MENUS:
        for command in COMMANDS:
            if command.menu == menu:
                yield Line(menu, command.text.replace("…", ""), ", ".join(native(keys) for keys in command.keys))
    for group, rows in ELSEWHERE:
        for text, keys in rows:
            yield Line(group, text, ", ".join(native(part.strip()) for part in keys.split(",")))


def native(keys: str) -> str:
    """A shortcut as this system writes it."""
    sequence = QKeySequence(keys, QKeySequence.SequenceFormat.PortableText)
    return sequence.toString(QKeySequence.SequenceFormat.NativeText) or keys


class ShortcutsWindow(SideWindow):
    """The list, with a field to search it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Shortcuts", QSize(560, 640), parent)
        self.find = LineField()
        self.find.setPlaceholderText("Find a shortcut")
        self.find.setAccessibleName("Find a shortcut")
        self.find.setClearButtonEnabled(True)
        self.find.textChanged.connect(self.show_matching)
        self.list = QTreeWidget()
        self.list.setAccessibleName("Shortcuts")
        quiet(self.list)
        self.list.setColumnCount(2)
        self.list.setHeaderLabels(["What it does", "Keys"])
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.list.setUniformRowHeights(True)
        self.column.addWidget(self.find)
        self.column.addWidget(self.list, 1)
        self.copy = BoxButton("Copy", "Copy the list as text")
        self.copy.clicked.connect(self.do_copy)
        self.add_button(self.copy)
        self._fill()
        self.find.setFocus(Qt.FocusReason.OtherFocusReason)

    def _fill(self) -> None:
        groups: dict[str, QTreeWidgetItem] = {}
        for line in lines():
            if line.group not in groups:
                groups[line.group] = QTreeWidgetItem(self.list, [line.group])
                groups[line.group].setFlags(Qt.ItemFlag.ItemIsEnabled)
            QTreeWidgetItem(groups[line.group], [line.text, line.keys])
        self.list.expandAll()
        self.list.resizeColumnToContents(0)

    def show_matching(self, text: str) -> None:
        """Only lines that hold every word, in what they do or in their keys."""
        words = text.casefold().split()
        for i in range(self.list.topLevelItemCount()):
            group = self.list.topLevelItem(i)
            shown = 0
            for j in range(group.childCount()):
                line = group.child(j)
                told = f"{group.text(0)} {line.text(0)} {line.text(1)}".casefold()
                line.setHidden(not all(word in told for word in words))
                shown += not line.isHidden()
            group.setHidden(not shown)

    def do_copy(self) -> None:
        """Put the list on the clipboard."""
        QGuiApplication.clipboard().setText("\n".join(f"{line.group}\t{line.text}\t{line.keys}" for line in lines()))
        self.say("Copied.")
