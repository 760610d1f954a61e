"""The editors: what a document says of water, supply, demand, ends, goals, room, drains and pipes, each in a window beside the bench."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from trainapp.desktop.session import Session

#: Id, title and shortcut of every editor, in the order of menus.
EDITORS: tuple[tuple[str, str, str], ...] = (
    ("samples", "Samples", "Ctrl+Shift+M"),
    ("supply", "Supply", "Ctrl+Shift+Y"),
    ("demand", "Demand", "Ctrl+Shift+D"),
    ("outlets", "Outlets", "Ctrl+Shift+O"),
    ("goals", "Goals and limits", "Ctrl+Shift+G"),
    ("site", "Site and room", "Ctrl+Shift+R"),
    ("drains", "Drains", "Ctrl+Shift+K"),
    ("plumbing", "Plumbing", "Ctrl+Shift+L"),
)


def open_editor(session: Session, what: str, parent: QWidget | None = None) -> QWidget:
    """Open an editor of a document beside its window, or bring the one that is open to the front, at what is selected.

    Args:
        session: whose document it edits.
        what: id in :data:`EDITORS`.
        parent: the window it belongs to and closes with.

    Raises:
        KeyError: there is no such editor.
    """
    if what not in {name for name, _, _ in EDITORS}:
        raise KeyError(what)
    from trainapp.desktop.editors.dialog import opened

    dialog = opened(session, what, parent)
    if dialog is None:
        dialog = import_module(f"trainapp.desktop.editors.{what}").EDITOR(session, what, parent)
        dialog.show()
    else:
        dialog.raise_()
    dialog.turn_to(session.selection)
    dialog.activateWindow()
    return dialog


def title_of(what: str) -> str:
    """Title of an editor."""
    return next(title for name, title, _ in EDITORS if name == what)
