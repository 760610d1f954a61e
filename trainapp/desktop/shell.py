"""What the commands do that need no document: start anew, recent files, catalogues, and what the program says of itself.

A command `x` of the table is the method `do_x`. Windows are loaded when they are opened, so that the first window stands at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from trainapp.desktop.dialogs import SideWindow, shown

if TYPE_CHECKING:
    from trainapp.desktop.engine import System
    from trainapp.desktop.window import Window


class Shell(QObject):
    """Carries out commands of one window."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window

    def do_start(self) -> None:
        """Ask the questions of a kitchen-table start."""
        from trainapp.desktop.starting import StartWindow

        dialog = shown(StartWindow, self.window)
        if dialog is None:
            system = self.window.session.system if self.window.session else self.window.prefs.units
            dialog = StartWindow("metric" if system == "metric" else "us", self.window)
            dialog.started.connect(self.window.document_asked)
        dialog.open_beside()

    def use_units(self, system: System) -> None:
        """Let what is open beside the bench follow the units."""
        for dialog in self.window.findChildren(SideWindow):
            dialog.use_units(system)

    def do_recent(self) -> None:
        """List the files that were open before."""
        from trainapp.desktop.recent_menu import RecentWindow

        dialog = shown(RecentWindow, self.window)
        if dialog is None:
            dialog = RecentWindow(self.window.prefs.recent, self.window)
            dialog.wanted.connect(self.window.open_asked)
        dialog.open_beside()

    def do_catalogues(self) -> None:
        """List the user's own catalogues."""
        self.catalogue_window()

    def catalogue_window(self) -> SideWindow:
        """The window of the user's own catalogues, opened."""
        from trainapp.desktop.catalogue_window import CatalogueWindow

        dialog = shown(CatalogueWindow, self.window) or CatalogueWindow(self.window.prefs, self.window)
        dialog.open_beside()
        return dialog

    def take_catalogues(self, paths: list[Path]) -> None:
        """Take in catalogues that were dropped on the window."""
        from trainapp.desktop.catalogue_window import CatalogueWindow

        dialog = self.catalogue_window()
        if isinstance(dialog, CatalogueWindow):
            dialog.take(paths)

    def do_shortcuts(self) -> None:
        """List every key."""
        from trainapp.desktop.shortcuts import ShortcutsWindow

        (shown(ShortcutsWindow, self.window) or ShortcutsWindow(self.window.prefs, self.window)).open_beside()

    def do_about(self) -> None:
        """Say what this is."""
        from trainapp.desktop.about import AboutWindow

        (shown(AboutWindow, self.window) or AboutWindow(self.window)).open_beside()
