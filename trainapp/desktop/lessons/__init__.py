"""The Lessons view: a list of lessons, a player on the whole screen, and an editor to write one."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from trainapp.desktop.prefs import Prefs
    from trainapp.desktop.session import Session


def make(session: Session, prefs: Prefs) -> QWidget:
    """The view on a document."""
    from trainapp.desktop.lessons.view import LessonsView

    return LessonsView(session, prefs)
