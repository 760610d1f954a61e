"""The Hand-over view: the printed papers of a train, and its upkeep log."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from trainapp.desktop.prefs import Prefs
    from trainapp.desktop.session import Session


def make(session: Session, prefs: Prefs) -> QWidget:
    """The view, on a document."""
    from trainapp.desktop.handover.view import HandoverView

    return HandoverView(session, prefs)
