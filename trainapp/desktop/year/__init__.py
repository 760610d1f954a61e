"""The Year view: the train run through time, played, charted, and laid beside another."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trainapp.desktop.prefs import Prefs
    from trainapp.desktop.session import Session
    from trainapp.desktop.year.view import YearView


def make(session: Session, prefs: Prefs) -> YearView:
    """The view of a session."""
    from trainapp.desktop.year.view import YearView

    return YearView(session, prefs)
