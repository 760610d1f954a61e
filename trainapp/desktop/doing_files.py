"""What the commands do with files: save, go back to what is saved, export, print, and lists beside the bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QMessageBox

from trainapp.desktop.dialogs import ask, shown
from trainapp.desktop.session import Session
from trainapp.desktop.window import FILTER, SUFFIX
from trainapp.train.errors import DocumentError
from trainapp.train.store import ChangedError, StoreError

if TYPE_CHECKING:
    from trainapp.desktop.window import Window
    from trainapp.desktop.workspace import Workspace


class FileDoing:
    """The part of a window's commands that has to do with files."""

    window: Window
    session: Session
    workspace: Workspace

    # Save ---------------------------------------------------------------------------------------------------------------------

    def do_save(self) -> bool:
        """Write the document to its file; whether it was written."""
        return self.do_save_as() if self.session.path is None else self._save(None)

    def do_save_as(self) -> bool:
        """Ask for a file and write the document there; whether it was written."""
        folder = self.session.path.parent if self.session.path else Path(self.window.prefs.folder)
        name, _ = QFileDialog.getSaveFileName(self.window, "Save as", str(folder / f"{self.session.slug}{SUFFIX}"), FILTER)
        if not name:
            return False
        path = Path(name)
        # A name without any ending gets ours; the dialog has not asked about overwriting that one.
        if not path.suffix:
            path = path.with_name(path.name + SUFFIX)
            if path.exists() and not self._may_replace(path):
                return False
        return self._save(path)

    def _may_replace(self, path: Path) -> bool:
        buttons = QMessageBox.StandardButton
        sentence = f"{path.name} is there already. Replace it?"
        return QMessageBox.question(self.window, "Save as", sentence, buttons.Yes | buttons.No, buttons.No) == buttons.Yes

    def _save(self, path: Path | None, force: bool = False) -> bool:
        try:
            self.session.save(path, force=force)
        except ChangedError:
            return self._settle()
        except StoreError as error:
            QMessageBox.warning(self.window, "Not saved", f"{error}.")
            return False
        if self.session.path is not None:
            self.window.prefs.folder = str(self.session.path.parent)
            self.window.prefs.recent.note(self.session.path)
            self.workspace.foot.tell(f"Saved {self.session.path.name}")
        return True

    def _settle(self) -> bool:
        """The file is another one than was opened: ask which of both counts."""
        name = self.session.path.name if self.session.path else ""
        answer = ask(
            self.window,
            "Save",
            f"{name} was changed by another program since it was opened. Writing over it loses what was changed there.",
            (("as", "Save as…"), ("over", "Write over it"), ("cancel", "Cancel")),
            "as",
        )
        if answer == "over":
            return self._save(None, force=True)
        return self.do_save_as() if answer == "as" else False

    def do_revert(self) -> None:
        """Go back to what the file holds, as one step of undo."""
        try:
            self.session.revert()
        except (DocumentError, StoreError) as error:
            name = self.session.path.name if self.session.path else "The file"
            QMessageBox.warning(self.window, "Not reverted", f"{name} cannot be read. {error}.")
            return
        self.workspace.foot.tell(f"This is {self.session.path.name if self.session.path else ''} as it was saved. Undo takes that back")

    # Out ----------------------------------------------------------------------------------------------------------------------

    def do_export(self) -> None:
        """Ask what to export."""
        from trainapp.desktop.exporting import ExportWindow

        (shown(ExportWindow, self.window) or ExportWindow(self.session, self.window.prefs, self.window)).open_beside()

    def do_print(self) -> None:
        """Show how the bench prints, and print it."""
        from trainapp.desktop.printing import print_bench

        if self.session.assessment is None or self.session.stale:
            self.session.refused.emit(f"Not printed: the train cannot be worked out as it is: {self.session.stale}")
            return
        print_bench(self.session.assessment, self.session.system, self.window)

    def do_sampling(self) -> None:
        """Show what still has to be tested."""
        from trainapp.desktop.sampling import SamplingWindow

        (shown(SamplingWindow, self.window) or SamplingWindow(self.session, self.window)).open_beside()

    # Beside -------------------------------------------------------------------------------------------------------------------

    def do_history(self) -> None:
        """Show or hide the steps of undo."""
        dock = self.window.history
        if not dock.isVisible():
            dock.stand_by(self.window)
        dock.setVisible(not dock.isVisible())
        if dock.isVisible():
            dock.view.setFocus(Qt.FocusReason.ShortcutFocusReason)
