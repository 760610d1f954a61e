"""What the board holds and no file does: prices that were changed, options that are kept. It is asked for before the window closes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog, QMessageBox

from trainapp.desktop.options.price_files import is_held, save_prices
from trainapp.reports.export_file import ExportError
from trainapp.train.store import StoreError, save

if TYPE_CHECKING:
    from trainapp.desktop.options.view import OptionsView
    from trainapp.studies.options.contender import Contender

SUFFIX = ".train.json"
_PRICES, _TRAINS = "TOML (*.toml);;CSV (*.csv)", f"Trains (*{SUFFIX})"


class OptionsUnsaved:
    """Mixed into the view."""

    @property
    def unsaved_options(self: OptionsView) -> tuple[Contender, ...]:
        """Kept options that stand in no file and not on the bench either."""
        bench = self.session.document.tree
        kept = (c for c in self.columns if c.kind == "option" and c.kept)
        return tuple(c for c in kept if self.filed.get(c.key) != (c.name, c.document.tree) and c.document.tree != bench)

    @property
    def unsaved(self: OptionsView) -> str:
        """What would be lost with the window, "" for nothing."""
        options = self.unsaved_options
        named = ", ".join(option.name for option in options)
        parts = (
            "" if is_held(self.prices) else "prices were changed and not saved",
            f"{len(options)} kept option{'s are' if len(options) > 1 else ' is'} not saved ({named})" if options else "",
        )
        said = "; ".join(filter(None, parts))
        return f"{said[:1].upper()}{said[1:]}" if said else ""

    def may_close(self: OptionsView) -> bool:
        """Ask whether what no file holds may go; save it where that is wanted."""
        lost = self.unsaved
        if not lost:
            return True
        buttons = QMessageBox.StandardButton
        sentence = f"Options of {self.session.title}: {lost[:1].lower()}{lost[1:]}. Save to files?"
        answer = QMessageBox.question(
            self, "Close", sentence, buttons.Save | buttons.Discard | buttons.Cancel, buttons.Save
        )  # fmt: skip
        if answer == buttons.Save:
            return self.save_unsaved()
        return answer == buttons.Discard

    def save_unsaved(self: OptionsView) -> bool:
        """Ask for a file for each thing that has none; whether all of them were written."""
        return (is_held(self.prices) or self._save_prices()) and all(map(self._save_option, self.unsaved_options))

    def _save_prices(self: OptionsView) -> bool:
        start = str(Path(self.prefs.folder) / "prices.toml")
        name, _ = QFileDialog.getSaveFileName(self, "Save the price list", start, _PRICES)
        if not name:
            return False
        path = Path(name) if Path(name).suffix else Path(f"{name}.toml")
        try:
            save_prices(self.prices, path)
        except ExportError as error:
            self.bar.say(f"Not saved: {error}.", refused=True)
            return False
        self.prefs.price_list = path
        return True

    def do_options_file(self: OptionsView, key: str = "") -> None:
        """Keep an option as a file of its own."""
        found = self.option(key)
        if found is not None:
            self._save_option(found)

    def _save_option(self: OptionsView, option: Contender) -> bool:
        words = "".join(c if c.isalnum() else "-" for c in option.name.lower()).strip("-")
        folder = self.session.path.parent if self.session.path else Path(self.prefs.folder)
        start = str(folder / f"{self.session.slug}-{words}{SUFFIX}")
        name, _ = QFileDialog.getSaveFileName(self, f"Keep {option.name} as a file", start, _TRAINS)
        if not name:
            return False
        path = Path(name) if Path(name).suffix else Path(f"{name}{SUFFIX}")
        try:
            if self.session.path is not None and path.resolve() == self.session.path.resolve():
                raise StoreError(f"{path.name} is the file of the train on the bench; take another name")
            save(option.document, path)
        except StoreError as error:
            self.bar.say(f"Not saved: {error}.", refused=True)
            return False
        self.filed[option.key] = option.name, option.document.tree
        self.bar.say(f"{option.name} is kept in {path.name}.")
        return True
