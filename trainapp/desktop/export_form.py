"""What windows that write files share: formats with their choices, where to write, and what became of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFileDialog, QFormLayout, QWidget

from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.parts import BoxButton, ChoiceBox, TokenLabel, choice_box, wrapped
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.reports.drawing.tokens import BODY, CAPTION
from trainapp.reports.export_file import ExportError


@dataclass(frozen=True, slots=True)
class Format:
    """One thing that can be written: its words, its ending, what is in it, and which choices it has."""

    key: str
    label: str
    ending: str
    holds: str
    choices: frozenset[str] = frozenset()


class Saying(Protocol):
    """A window with a line for what became of something."""

    def say(self, text: str, refused: bool = False) -> None:
        """Say it."""


def folder_of(session: Session, prefs: Prefs) -> Path:
    """Where a file is looked for first: beside the document, else where the last one was."""
    return session.path.parent if session.path else Path(prefs.folder)


def ask_path(parent: QWidget, title: str, suggested: Path) -> Path | None:
    """Ask for a file with the ending of a suggested one; None where none was chosen."""
    ending = suggested.suffix
    name, _ = QFileDialog.getSaveFileName(parent, title, str(suggested), f"{ending[1:].upper()} (*{ending})")
    if not name:
        return None
    return Path(name) if Path(name).suffix else Path(f"{name}{ending}")


def say_failed(window: Saying, refusal: str, error: Exception, *known: type[Exception]) -> None:
    """Say why nothing was written; of what the user can do nothing about, also what it was.

    Args:
        refusal: "Not written". known: exceptions whose text is meant for the user, beside those of every export.
    """
    told = f"{error}" if isinstance(error, (ExportError, OSError, *known)) else f"the program failed at it, {type(error).__name__}: {error}"
    window.say(f"{refusal}: {told}.", refused=True)


class ExportForm(SideWindow):
    """Asks what to write and how; a subclass asks where and writes it once `button`, off while it writes, is pressed.

    Args:
        formats: what there is, in order. boxes: key, label and box of each choice, in order.
        name: of the button, for those who hear the screen.
    """

    #: How a refusal begins.
    refusal = "Not written"

    def __init__(
        self, title: str, size: QSize, formats: Sequence[Format], boxes: Sequence[tuple[str, str, ChoiceBox]], name: str,
        parent: QWidget | None = None,
    ) -> None:  # fmt: skip
        super().__init__(title, size, parent)
        self.formats = formats
        self.what = choice_box(name, [(each.key, each.label) for each in formats])
        self.holds = wrapped("", "ink2", CAPTION)
        self._rows: dict[str, tuple[TokenLabel, ChoiceBox]] = {}
        form = QFormLayout()
        form.setHorizontalSpacing(12)
        form.setVerticalSpacing(8)
        form.addRow(TokenLabel("What", "ink", BODY), self.what)
        form.addRow(TokenLabel(), self.holds)
        for key, text, box in boxes:
            label = TokenLabel(text, "ink", BODY)
            form.addRow(label, box)
            self._rows[key] = label, box
        self.column.addLayout(form)
        self.column.addStretch(1)
        self.button = BoxButton("Export…", "Choose the file and write it")
        self.add_button(self.button)
        self.what.currentIndexChanged.connect(self._chosen)
        self.what.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def format(self) -> Format:
        """What is chosen."""
        return self.formats[max(self.what.currentIndex(), 0)]

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Return does what the window is for, wherever the keyboard is."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.button.isEnabled():
            self.button.click()
            return
        super().keyPressEvent(event)

    def _chosen(self, _index: int = 0) -> None:
        self.holds.setText(self.format.holds)
        for key, widgets in self._rows.items():
            for widget in widgets:
                widget.setVisible(key in self.format.choices)
        if self.button.isEnabled():
            self.say("")

    def path_for(self, session: Session, prefs: Prefs, suffix: str = "") -> Path | None:
        """Ask for a file; None where none was chosen, or one with another ending, which is said."""
        ending = self.format.ending
        path = ask_path(self, "Export", folder_of(session, prefs) / f"{session.slug}{suffix}{ending}")
        if path is not None and path.suffix.lower() != ending:
            self.say(f"{self.refusal}: {path.name} does not end in {ending}.", refused=True)
            return None
        return path
