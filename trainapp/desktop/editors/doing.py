"""The window's commands that open an editor."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainapp.desktop.editors import open_editor

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from trainapp.desktop.session import Session


class OpensEditors:
    """A method for each editor, named as the table of commands asks. Whoever has them has a window and a session."""

    window: QWidget
    session: Session

    def do_samples(self) -> None:
        """Open the sheets of results."""
        open_editor(self.session, "samples", self.window)

    def do_supply(self) -> None:
        """Open the well or the main."""
        open_editor(self.session, "supply", self.window)

    def do_demand(self) -> None:
        """Open peak, day's use and fixtures."""
        open_editor(self.session, "demand", self.window)

    def do_outlets(self) -> None:
        """Open the ends beside the house."""
        open_editor(self.session, "outlets", self.window)

    def do_goals(self) -> None:
        """Open goals and limit sets."""
        open_editor(self.session, "goals", self.window)

    def do_site(self) -> None:
        """Open site and room."""
        open_editor(self.session, "site", self.window)

    def do_drains(self) -> None:
        """Open the drains."""
        open_editor(self.session, "drains", self.window)

    def do_plumbing(self) -> None:
        """Open the pipes."""
        open_editor(self.session, "plumbing", self.window)
