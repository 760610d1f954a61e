"""Every key that does something, in one list: from the table of commands, and what the keys do on the bench."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QTreeWidget, QTreeWidgetItem, QWidget

from trainapp.desktop.actions import COMMANDS, MENUS
from trainapp.desktop.bindings import ELSEWHERE, bindings, change, keys_of, name_of, native, reset_all
from trainapp.desktop.command import Command
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.parts import BoxButton, FlatButton, LineField, TokenLabel, quiet
from trainapp.desktop.prefs import Prefs
from trainapp.reports.drawing.tokens import BODY

_ID = Qt.ItemDataRole.UserRole
_MODIFIERS = (
    Qt.Key.Key_Control, Qt.Key.Key_Shift, Qt.Key.Key_Alt, Qt.Key.Key_Meta, Qt.Key.Key_AltGr, Qt.Key.Key_CapsLock, Qt.Key.Key_unknown,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the list; its command, None where keys belong to none, and whether its keys are the user's own."""

    group: str
    text: str
    keys: str
    command: Command | None = None
    is_own: bool = False


def lines(own: Mapping[str, tuple[str, ...]] | None = None) -> Iterator[Line]:
    """All lines, menu by menu; commands without a key, too, for Find a command reaches them."""
    own = own or {}
    for menu in MENUS:
        for command in COMMANDS:
            if command.menu == menu:
                yield Line(menu, name_of(command), ", ".join(map(native, keys_of(command, own))), command, command.id in own)
    for group, rows in ELSEWHERE:
        for text, keys in rows:
            yield Line(group, text, ", ".join(native(part.strip()) for part in keys.split(",")))


class KeyField(LineField):
    """Takes the next key that is pressed, whatever it does elsewhere. Tab goes on, Escape leaves it as it was."""

    #: Signal emitted with the key in Qt's portable text.
    pressed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setReadOnly(True)
        self.setPlaceholderText("press the new key here")
        self.setAccessibleName("New key")

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _MODIFIERS:
            return
        if event.key() in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            super().keyPressEvent(event)
        elif event.key() == Qt.Key.Key_Escape:
            self.clear()
        else:
            self.pressed.emit(QKeySequence(event.keyCombination()).toString(QKeySequence.SequenceFormat.PortableText))


class ShortcutsWindow(SideWindow):
    """The list, with a field to search it, and below it the key of the line that is marked."""

    def __init__(self, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__("Shortcuts", QSize(600, 660), parent)
        self.prefs = prefs
        self._commands: dict[str, Command] = {command.id: command for command in COMMANDS}
        self._make_list()
        self._make_editor()
        self.copy = BoxButton("Copy", "Copy the list as text")
        self.copy.clicked.connect(self.do_copy)
        self.add_button(self.copy)
        bindings().changed.connect(self._fill)
        self._fill()
        self.find.setFocus(Qt.FocusReason.OtherFocusReason)

    def _make_list(self) -> None:
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
        self.list.currentItemChanged.connect(self._marked)
        self.column.addWidget(self.find)
        self.column.addWidget(self.list, 1)

    def _make_editor(self) -> None:
        self.label = TokenLabel("", "ink2", BODY)
        self.field = KeyField()
        self.field.setFixedWidth(180)
        self.field.pressed.connect(self._pressed)
        self.none = FlatButton("No key")
        self.reset = FlatButton("Reset")
        self.reset_every = FlatButton("Reset all", "Give every command its own key again")
        self.none.clicked.connect(self._take_away)
        self.reset.clicked.connect(self._reset)
        self.reset_every.clicked.connect(self._reset_all)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.label, 1)
        for widget in (self.field, self.none, self.reset, self.reset_every):
            row.addWidget(widget)
        self.column.addLayout(row)

    # Showing ------------------------------------------------------------------------------------------------------------------

    @property
    def command(self) -> Command | None:
        """The command of the line that is marked; None on a line that has none."""
        item = self.list.currentItem()
        return self._commands.get(str(item.data(0, _ID))) if item is not None else None

    def _fill(self) -> None:
        kept = self.command
        self.list.clear()
        groups: dict[str, QTreeWidgetItem] = {}
        for line in lines(self.prefs.keys):
            if line.group not in groups:
                groups[line.group] = QTreeWidgetItem(self.list, [line.group])
                groups[line.group].setFlags(Qt.ItemFlag.ItemIsEnabled)
            item = QTreeWidgetItem(groups[line.group], [line.text, line.keys])
            if line.command is not None:
                item.setData(0, _ID, line.command.id)
            if line.is_own:
                item.setText(1, f"{line.keys or 'no key'} (own)")
            if kept is not None and line.command is kept:
                self.list.setCurrentItem(item)
        self.list.expandAll()
        self.list.resizeColumnToContents(0)
        self.show_matching(self.find.text())
        self._marked()

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

    def _marked(self, *_items: QTreeWidgetItem | None) -> None:
        """Show whose key can be changed."""
        command = self.command
        own = self.prefs.keys
        item = self.list.currentItem()
        fixed = "This key stays as it is" if item is not None and item.parent() is not None else "Mark a command to give it another key"
        self.label.setText(f"Key for “{name_of(command)}”" if command else fixed)
        self.field.setText(", ".join(map(native, keys_of(command, own))) if command else "")
        self.field.setEnabled(command is not None)
        self.none.setEnabled(command is not None and bool(keys_of(command, own)))
        self.reset.setEnabled(command is not None and command.id in own)
        self.reset_every.setEnabled(bool(own))

    # Changing -----------------------------------------------------------------------------------------------------------------

    def _pressed(self, keys: str) -> None:
        self._change((keys,), f"{native(keys)} it is.")

    def _take_away(self) -> None:
        self._change((), "It has no key now; Find a command reaches it.")

    def _reset(self) -> None:
        if self.command is not None:
            self._change(self.command.keys, "It has its own key again.")

    def _change(self, keys: Iterable[str], done: str) -> None:
        if self.command is None:
            return
        problem = change(self.prefs, self.command, keys)
        self.say(f"Not changed: {problem}." if problem else done, refused=bool(problem))

    def _reset_all(self) -> None:
        reset_all(self.prefs)
        self.say("Every command has its own key again.")

    def do_copy(self) -> None:
        """Put the list on the clipboard."""
        text = "\n".join(f"{line.group}\t{line.text}\t{line.keys}" for line in lines(self.prefs.keys))
        QGuiApplication.clipboard().setText(text)
        self.say("Copied.")
