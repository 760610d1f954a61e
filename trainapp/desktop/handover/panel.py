"""The left column of the Hand-over view: which paper, on what, with whose logo and terms, and what becomes of it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractItemView, QFormLayout, QHBoxLayout, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from trainapp.desktop.handover.work import Files, Progress
from trainapp.desktop.parts import BoxButton, ChoiceBox, ElidedLabel, FlatButton, MarkLabel, TokenLabel, quiet, wrapped
from trainapp.desktop.theme import look
from trainapp.reports.drawing.tokens import BODY, CAPTION, CORNER, HEADING, PAD, TARGET
from trainapp.reports.handover import KINDS

WIDTH = 292
_KEY = Qt.ItemDataRole.UserRole
#: Files that can be picked: key, what it is called, kinds of file.
PICKED = (
    ("logo", "Logo", "Pictures (*.png *.jpg *.jpeg);;All files (*)"), ("terms", "Terms", "Texts (*.txt *.md);;All files (*)"),
    ("prices", "Price list", "Price lists (*.toml *.csv);;All files (*)"),
)  # fmt: skip
#: ms before progress appears, and between looks at it.
_LATE, _LOOK = 400, 100


class MainButton(BoxButton):
    """The one filled button of the view."""

    def _ground(self, painter: QPainter) -> None:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(look().colour("accent" if self.isEnabled() else "well"))
        painter.drawRoundedRect(QRectF(self.rect()), CORNER, CORNER)

    def _ink(self) -> str:
        return "on_accent" if self.isEnabled() else "ink3"


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


class Running(QWidget):
    """What the thread is at, how far it is, and Cancel; it appears only where something takes a while."""

    #: Signal emitted when it is to be given up.
    given_up = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.progress = Progress()
        self._what = ""
        self.told = ElidedLabel("ink2")
        self.cancel = FlatButton("Cancel")
        self.cancel.clicked.connect(self.given_up)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 4)
        row.addWidget(self.told, 1)
        row.addWidget(self.cancel)
        self._late, self._look = QTimer(self), QTimer(self)
        self._late.setSingleShot(True)
        self._late.setInterval(_LATE)
        self._late.timeout.connect(self._appear)
        self._look.setInterval(_LOOK)
        self._look.timeout.connect(self._show)
        self.hide()

    def begin(self, what: str, progress: Progress) -> None:
        """Wait for something."""
        self._what, self.progress = what, progress
        self.cancel.setAccessibleName(f"Cancel: {what}")
        if self.isHidden() and not self._late.isActive():
            self._late.start()

    def end(self) -> None:
        """Wait for nothing any more."""
        self._what = ""
        self._late.stop()
        self._look.stop()
        self.hide()

    def _appear(self) -> None:
        if self._what:
            self._show()
            self.show()
            self._look.start()

    def _show(self) -> None:
        self.told.show_text(f"{self._what}: {100 * self.progress.share:.0f}\u202f%")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        line = QRectF(0, self.height() - 2, self.width(), 2)
        painter.fillRect(line, look().colour("well"))
        line.setWidth(self.width() * min(max(self.progress.share, 0.0), 1.0))
        painter.fillRect(line, look().colour("accent"))


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
        self.paper = _box("Paper", (("letter", "Letter"), ("a4", "A4")), paper)
        self.units = _box("Units of the papers", (("", "As the window"), ("us", "US"), ("metric", "Metric")), "")
        self.rows = {key: PickRow(key, name) for key, name, _ in PICKED}
        self.save, self.print = MainButton("Save…", "Save the paper"), BoxButton("Print…", "Print the paper")
        self.save_all = BoxButton("Save all…", "Save all papers into a folder")
        self.running = Running()
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
        said = QHBoxLayout()
        said.setSpacing(6)
        said.addWidget(self.mark, 0, Qt.AlignmentFlag.AlignTop)
        said.addWidget(self.said, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(int(PAD), int(PAD), int(PAD), int(PAD))
        column.setSpacing(8)
        column.addWidget(TokenLabel("Papers", "ink", HEADING, True))
        column.addWidget(self.list)
        column.addWidget(self.holds)
        column.addLayout(form)
        column.addLayout(buttons)
        column.addWidget(self.running)
        column.addLayout(said)
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


def _box(name: str, choices: tuple[tuple[str, str], ...], chosen: str) -> ChoiceBox:
    box = ChoiceBox()
    box.setAccessibleName(name)
    for key, text in choices:
        box.addItem(text, key)
    box.setCurrentIndex(max(box.findData(chosen), 0))
    return box


__all__ = ["PICKED", "MainButton", "PapersPanel", "PickRow", "Running"]
