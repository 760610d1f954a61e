"""What the commands of the Hand-over view do."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog

from trainapp.desktop.dialogs import ask
from trainapp.desktop.export_form import folder_of
from trainapp.desktop.printing import Preview, make_printer
from trainapp.reports.handover import KINDS, kind_of
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import PAPERS, Paper

if TYPE_CHECKING:
    from trainapp.desktop.handover.view import HandoverView


class _Ready:
    """Pages that are made already: whatever sheet the printer has, they are fitted to it."""

    def __init__(self, job: PrintJob) -> None:
        self._job = job

    def __call__(self, _paper: Paper) -> PrintJob:
        return self._job


class HandoverDoing:
    """One method a command."""

    def do_handover_save(self: HandoverView) -> None:  # type: ignore[misc]
        """Ask for a file, and write the paper that is shown."""
        kind = kind_of(self.panel.key)
        kinds = ";;".join(f"{ending[1:].upper()} (*{ending})" for ending in kind.endings)
        suggested = str(self.folder() / f"{self.session.slug}-{kind.key}{kind.endings[0]}")
        name, chosen = QFileDialog.getSaveFileName(self, f"Save: {kind.label}", suggested, kinds)
        if not name:
            return
        ending = next((each for each in kind.endings if f"*{each}" in chosen), kind.endings[0])
        path = Path(name) if Path(name).suffix else Path(f"{name}{ending}")
        if path.suffix.lower() not in kind.endings:
            self.panel.say(f"Not written: {path.name} ends in none of {', '.join(kind.endings)}.", refused=True)
            return
        self.write_into(((kind.key, path),))

    def do_handover_save_all(self: HandoverView) -> None:  # type: ignore[misc]
        """Ask for a folder, and write every paper in each of its forms."""
        name = QFileDialog.getExistingDirectory(self, "Save all papers into a folder", str(self.folder()))
        if name:
            self.write_all(Path(name))

    def write_all(self: HandoverView, folder: Path) -> None:  # type: ignore[misc]
        """Write every paper into a folder; files that are there already are replaced only where the user says so."""
        into = [(kind.key, folder / f"{self.session.slug}-{kind.key}{ending}") for kind in KINDS for ending in kind.endings]
        there = [path.name for _, path in into if path.exists()]
        if there:
            sentence = f"{_few(there)} {'is' if len(there) == 1 else 'are'} in that folder already."
            if ask(self, "Save all papers", sentence, (("replace", "Replace"), ("cancel", "Cancel")), "cancel") != "replace":
                return
        self.write_into(tuple(into))

    def write_into(self: HandoverView, into: tuple[tuple[str, Path], ...]) -> None:  # type: ignore[misc]
        """Write papers into files, on the thread."""
        if self.session.stale:
            self._unworkable()
            return
        if self.errands.busy and self._asked is not None and self._asked.into:
            self.panel.say("Not written: the files before are still being written.", refused=True)
            return
        self.prefs.folder = str(into[0][1].parent)
        self.panel.say(f"Writing {into[0][1].name if len(into) == 1 else f'{len(into)} files'}…")
        self._begin(self.question(into))

    def do_handover_print(self: HandoverView) -> None:  # type: ignore[misc]
        """Open the system's preview on the pages that are shown."""
        job = self.area.job
        if job is None or self.area.stale:
            self.panel.say("Not printed: the pages are still being made.", refused=True)
            return
        lying = job.pages[0].width > job.pages[0].height
        printer = make_printer(PAPERS[str(self.panel.paper.currentData())], job.title, lying)
        Preview(printer, job.title, _Ready(job), self).show()

    def do_handover_next(self: HandoverView) -> None:  # type: ignore[misc]
        """Bring the next page to the top."""
        self.area.go_to(min(self.area.page + 1, self.area.count))

    def do_handover_previous(self: HandoverView) -> None:  # type: ignore[misc]
        """Bring the page before to the top."""
        self.area.go_to(max(self.area.page - 1, 1))

    def do_handover_larger(self: HandoverView) -> None:  # type: ignore[misc]
        """Show pages larger."""
        self.area.larger()

    def do_handover_smaller(self: HandoverView) -> None:  # type: ignore[misc]
        """Show pages smaller."""
        self.area.smaller()

    def do_handover_width(self: HandoverView) -> None:  # type: ignore[misc]
        """Show pages as wide as there is room."""
        self.area.zoom(None)

    def do_handover_logo(self: HandoverView) -> None:  # type: ignore[misc]
        """Pick a logo."""
        self.pick("logo")

    def do_handover_terms(self: HandoverView) -> None:  # type: ignore[misc]
        """Pick terms."""
        self.pick("terms")

    def do_handover_prices(self: HandoverView) -> None:  # type: ignore[misc]
        """Pick a price list."""
        self.pick("prices")

    def do_handover_log(self: HandoverView) -> None:  # type: ignore[misc]
        """Go to the line that is added to the upkeep log."""
        self.upkeep_tab.setChecked(True)
        self.upkeep.form.date.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def do_handover_cancel(self: HandoverView) -> None:  # type: ignore[misc]
        """Give up what runs; nothing half made is left."""
        if not self.errands.busy:
            return
        writing = self._asked is not None and bool(self._asked.into)
        self.errands.drop()
        self._asked = None
        self.panel.running.end()
        self._follow_buttons(True)
        self.panel.say("Given up: what was not written yet is not written." if writing else "Given up: the pages are as they were before.")

    def folder(self: HandoverView) -> Path:  # type: ignore[misc]
        """Where files go by default."""
        return folder_of(self.session, self.prefs)


def _few(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{names[0]} and {len(names) - 1} more"


__all__ = ["HandoverDoing"]
