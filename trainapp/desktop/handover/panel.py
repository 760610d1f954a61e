"""The left column of the Hand-over view: which paper, on what, with whose logo and terms, and what becomes of it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QAbstractItemView, QFormLayout, QHBoxLayout, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from trainapp.desktop.busy import Busy
from trainapp.desktop.handover.work import Files
from trainapp.desktop.parts import (
    BoxButton,
    ElidedLabel,
    FlatButton,
    MainButton,
    MarkLabel,
    TokenLabel,
    beside_mark,
    choice_box,
    quiet,
    wrapped,
)
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING, PAD, TARGET
from trainapp.reports.handover import KINDS

WIDTH = 292
_KEY = Qt.ItemDataRole.UserRole
#: Files that can be picked: key, what it is called, kinds of file.
PICKED = (
    ("logo", "Logo", "Pictures (*.png *.jpg *.jpeg);;All files (*)"), ("terms", "Terms", "Texts (*.txt *.md);;All files (*)"),
    ("prices", "Price list", "Price lists (*.toml *.csv);;All files (*)"),
)  # fmt: skip


class PickRow(QWidget):
    """A file of the dealer's own: its name, Pick and Leave out."""

    #: Signals emitted with the row's key when a file is to be picked, or left out.
    wanted = Signal(str)
    dropped = Signal(str)

    def __init__(self, key: str, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key = key
        self.name = ElidedLabel("ink2")
        self.pick = BoxButton("Pick…", f"Pick a file: {name}")
        self.leave = FlatButton("None", f"Leave out: {name}")
        self.pick.clicked.connect(self._pick)
        self.leave.clicked.connect(self._leave)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        row.addWidget(self.name, 1)
        row.addWidget(self.leave)
        row.addWidget(self.pick)
        self.show_file(None, "")

    def show_file(self, path: Path | None, instead: str) -> None:
        """Show a file's name, or what stands in its place."""
        self.name.show_text(path.name if path is not None else instead)
        self.leave.setVisible(path is not None)

    def _pick(self) -> None:
        self.wanted.emit(self.key)

    def _leave(self) -> None:
        self.dropped.emit(self.key)


class PapersPanel(QWidget):
    """The column. What is chosen in it is told by signals; it makes nothing itself."""

    #: Signal emitted when another paper is chosen, or another sheet or other units.
    chosen = Signal()
    #: Signals emitted with "logo", "terms" or "prices" when such a file is to be picked, or left out.
    pick_wanted = Signal(str)
    leave_wanted = Signal(str)

    def __init__(self, paper: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedWidth(WIDTH)
        self.list = QListWidget()
        quiet(self.list)
        self.list.setAccessibleName("Papers")
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.list.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        for kind in KINDS:
            item = QListWidgetItem(kind.label)
            item.setData(_KEY, kind.key)
            item.setToolTip(kind.holds)
            item.setSizeHint(QSize(WIDTH - 30, int(TARGET)))
            self.list.addItem(item)
        self.list.setFixedHeight(int(TARGET) * len(KINDS) + 4)
        self.holds = wrapped("", "ink2", CAPTION)
        self.paper = choice_box("Paper", (("letter", "Letter"), ("a4", "A4")), paper)
        self.units = choice_box("Units of the papers", (("", "As the window"), ("us", "US"), ("metric", "Metric")), "")
        self.rows = {key: PickRow(key, name) for key, name, _ in PICKED}
        self.save, self.print = MainButton("Save…", "Save the paper"), BoxButton("Print…", "Print the paper")
        self.save_all = BoxButton("Save all…", "Save all papers into a folder")
        self.running = Busy(narrow=True)
        self.mark, self.said = MarkLabel("fail"), wrapped("", "ink", BODY)
        self._arrange()
        self.list.setCurrentRow(0)
        self.list.currentRowChanged.connect(self._chosen)
        for box in (self.paper, self.units):
            box.activated.connect(self._chosen)
        for row in self.rows.values():
            row.wanted.connect(self.pick_wanted)
            row.dropped.connect(self.leave_wanted)
        self._chosen()
        self.say("")

    def _arrange(self) -> None:
        form = QFormLayout()
        form.setHorizontalSpacing(12)
        form.setVerticalSpacing(6)
        for text, widget in (("Paper", self.paper), ("Units", self.units)):
            form.addRow(TokenLabel(text, "ink2", BODY), widget)
        for key, name, _ in PICKED:
            form.addRow(TokenLabel(name, "ink2", BODY), self.rows[key])
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        for button in (self.save, self.print, self.save_all):
            buttons.addWidget(button)
        buttons.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(int(PAD), int(PAD), int(PAD), int(PAD))
        column.setSpacing(8)
        column.addWidget(TokenLabel("Papers", "ink", HEADING, True))
        column.addWidget(self.list)
        column.addWidget(self.holds)
        column.addLayout(form)
        column.addLayout(buttons)
        column.addWidget(self.running)
        column.addLayout(beside_mark(self.mark, self.said))
        column.addStretch(1)

    @property
    def key(self) -> str:
        """Key of the paper that is chosen."""
        return str(self.list.currentItem().data(_KEY))

    def choose(self, key: str) -> None:
        """Choose a paper."""
        self.list.setCurrentRow(next(i for i, kind in enumerate(KINDS) if kind.key == key))

    def _chosen(self, _row: int = 0) -> None:
        self.holds.setText(next(kind.holds for kind in KINDS if kind.key == self.key))
        self.chosen.emit()

    def show_files(self, files: Files) -> None:
        """Show which files of the dealer's own are in use."""
        instead = {"logo": "none", "terms": "none", "prices": "invented prices"}
        for key, row in self.rows.items():
            row.show_file(getattr(files, key), instead[key])

    def say(self, text: str, refused: bool = False) -> None:
        """Say what became of something, "" for nothing."""
        self.said.setText(text)
        self.said.setVisible(bool(text))
        self.mark.setVisible(refused and bool(text))


__all__ = ["PICKED", "PapersPanel", "PickRow"]
