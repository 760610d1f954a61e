"""The price list in a window of its own: general figures, rows, and the files that it is loaded from and saved to."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal, Slot
from PySide6.QtWidgets import QFileDialog, QGridLayout, QHBoxLayout, QSizePolicy, QWidget

from trainapp.desktop.background import Errands
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.editors.sheet import Sheet
from trainapp.desktop.fields import TypedField
from trainapp.desktop.options import prices_content
from trainapp.desktop.options.price_files import note_held, read, save_prices
from trainapp.desktop.options.prices_content import GENERAL, SECTIONS, SHEET
from trainapp.desktop.parts import BoxButton, ChoiceBox, TokenLabel, wrapped
from trainapp.desktop.prefs import Prefs
from trainapp.reports.drawing.tokens import BODY
from trainapp.reports.export_file import ExportError
from trainapp.studies.cost import PriceError, PriceList, default_prices

LEAD = (
    "Every line of a bill is priced by the first row that fits its stage; a row of equipment wins over the catalogue's price. "
    "The program's own figures are invented: put your own in their place. The board follows each change."
)
RELABELLED = "Every figure now reads as {}: none was converted, and what was invented stays invented."
_FILTER = "Price lists (*.toml *.csv);;All files (*)"
_ABREAST = 4


class PriceWindow(SideWindow):
    """The editor."""

    #: Signal emitted with the list whenever it is another.
    changed = Signal(object)

    def __init__(self, prices: PriceList, prefs: Prefs, parent: QWidget | None = None) -> None:
        super().__init__("Price list", QSize(1020, 720), parent)
        self.prices, self.prefs = prices, prefs
        self.fields: dict[str, TypedField] = {}
        self.column.addWidget(wrapped(LEAD, "ink2", BODY))
        self.column.addLayout(self._general())
        self.sheet = Sheet("Rows of the price list")
        self.sheet.sheet.edited.connect(self._edited)
        self.sheet.cleared.connect(self._cleared)
        self.section = ChoiceBox()
        self.section.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.section.setAccessibleName("Section of a new row")
        self.section.setFixedWidth(200)
        for key, title in SECTIONS.items():
            self.section.addItem(title, key)
        self.buttons: dict[str, BoxButton] = {}
        self.tools = QHBoxLayout()
        self.tools.setSpacing(6)
        self.tools.addWidget(self.section)
        for key, text, name, slot in (
            ("add", "Add a row", "Add a row to the chosen section", self.do_add),
            ("remove", "Remove row", "Remove the current row", self.do_remove),
            ("load", "Load…", "Load a price list from a file", self.do_load),
            ("save", "Save as…", "Save the price list to a file", self.do_save),
            ("default", "Invented prices", "Back to the program's own invented prices", self.do_default),
        ):
            self._button(key, text, name, slot)
        self.tools.insertStretch(3, 1)
        self.column.addLayout(self.tools)
        self.column.addWidget(self.sheet, 1)
        self._errands = Errands(read, "price list", self)
        self._errands.answered.connect(self._came)
        self._errands.failed.connect(self._failed)
        self.refresh()
        self.sheet.setFocus(Qt.FocusReason.OtherFocusReason)

    def _button(self, key: str, text: str, name: str, slot: Callable[[], None]) -> None:
        button = self.buttons[key] = BoxButton(text, name)
        button.clicked.connect(slot)
        self.tools.addWidget(button)

    def _general(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(6)
        for place, (key, (label, meaning)) in enumerate(GENERAL.items()):
            field = self.fields[key] = TypedField()
            field.setObjectName(key)
            field.setAccessibleName(label)
            field.setToolTip(meaning)
            field.entered.connect(self._general_entered)
            row, column = divmod(place, _ABREAST)
            grid.addWidget(TokenLabel(label, "ink2", BODY), row, 2 * column)
            grid.addWidget(field, row, 2 * column + 1)
            grid.setColumnStretch(2 * column + 1, 1)
        return grid

    # Showing ------------------------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the list."""
        for key, field in self.fields.items():
            field.show_text(prices_content.general_text(self.prices, key))
        self.sheet.show_lines(SHEET, list(prices_content.lines(self.prices)))

    def take(self, prices: PriceList, said: str = "") -> None:
        """Work on another list, and tell it."""
        self.prices = prices
        self.say(said)
        self.refresh()
        self.changed.emit(prices)

    def _refuse(self, error: Exception) -> None:
        self.say(f"Not changed: {error}.", refused=True)

    # Editing ------------------------------------------------------------------------------------------------------------------

    def _general_entered(self, text: str) -> None:
        sender = self.sender()
        key = sender.objectName() if sender is not None else ""
        try:
            changed = prices_content.general_entered(self.prices, key, text)
            self.take(changed, RELABELLED.format(changed.currency) if changed.currency != self.prices.currency else "")
        except PriceError as error:
            self.fields[key].put_back()
            self._refuse(error)

    def _edited(self, key: str, column: str, text: str) -> None:
        try:
            changed = prices_content.edited(self.prices, int(key), column, text)
        except PriceError as error:
            self.sheet.hold()
            self._refuse(error)
            return
        self.take(prices_content.own_name(changed, default_prices()))

    def _cleared(self, key: str, column: str) -> None:
        self._edited(key, column, "")

    def do_add(self) -> None:
        """Add a row, and go to it."""
        prices, place = prices_content.added(self.prices, str(self.section.currentData()))
        self.take(prices_content.own_name(prices, default_prices()), "A row was added: type over what it is filled with.")
        self.sheet.go_to(str(place), "item")
        self.sheet.setFocus(Qt.FocusReason.OtherFocusReason)

    def do_remove(self) -> None:
        """Remove the current row."""
        key = self.sheet.key
        if not key.isdigit():
            self.say("Go to the row that is to be removed first.")
            return
        name = prices_content.name_of(self.prices.rows[int(key)])
        left = prices_content.own_name(prices_content.removed(self.prices, int(key)), default_prices())
        self.take(left, f"Removed: {name}.")

    # Files --------------------------------------------------------------------------------------------------------------------

    def do_load(self) -> None:
        """Ask for a file and load it."""
        name, _ = QFileDialog.getOpenFileName(self, "Load a price list", self.prefs.folder, _FILTER)
        if name:
            self.load(Path(name))

    def load(self, path: Path) -> None:
        """Load a list; what is wrong with it is said with its row and column."""
        self.say(f"Reading {path.name}…")
        self._errands.ask(path)

    @Slot(object)
    def _came(self, answer: tuple[Path, PriceList]) -> None:
        path, prices = answer
        self.prefs.price_list = path
        note_held(path, prices)
        self.take(prices, f"Loaded {len(prices.rows)} rows of {path.name}.")

    @Slot(object)
    def _failed(self, error: Exception) -> None:
        self.say(f"Not loaded: {error}.", refused=True)

    def do_save(self) -> None:
        """Ask for a file and save the list to it."""
        start = str(Path(self.prefs.folder) / "prices.toml")
        name, _ = QFileDialog.getSaveFileName(self, "Save the price list", start, "TOML (*.toml);;CSV (*.csv)")
        if name:
            self.save(Path(name) if Path(name).suffix else Path(f"{name}.toml"))

    def save(self, path: Path) -> None:
        """Save the list, whole or not at all."""
        try:
            save_prices(self.prices, path)
        except ExportError as error:
            self.say(f"Not saved: {error}.", refused=True)
            return
        self.prefs.price_list = path
        self.say(f"Saved {path}. It is loaded again next time.")

    def do_default(self) -> None:
        """Go back to the program's own invented prices."""
        self.prefs.price_list = None
        self.take(default_prices(), "These prices are invented.")
