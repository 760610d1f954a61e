"""A bill that is opened: all its lines, what each comes to, and of the current one where its price is from and how it follows."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QWidget

from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.editors.sheet import Sheet
from trainapp.desktop.editors.sheet_model import Cell, Column, Line
from trainapp.desktop.parts import TokenLabel, wrapped
from trainapp.reports.drawing.tokens import BODY, HEADING
from trainapp.studies.cost import HEADINGS, Bill, Priced
from trainapp.studies.cost import Line as BillLine
from trainapp.studies.options.contender import Contender
from trainapp.units import System

_COLUMNS = (
    Column("what", "What"),
    Column("quantity", "Quantity", 76, True),
    Column("unit", "", 68),
    Column("price", "Price", 72, True),
    Column("due", "With tax", 92, True),
    Column("when", "When", 104),
    Column("year", "A year", 86, True),
    Column("today", "Today", 96, True),
)


_THOUSANDTH = Decimal("0.001")
_KG, _LITRES, _M3 = Decimal("0.45359237"), Decimal("28.316846592"), Decimal("3.785411784")
#: Units that a price list counts by, by the system in which they read otherwise: that unit, and how many of it are one.
_COUNTED: dict[str, dict[str, tuple[str, Decimal]]] = {
    "metric": {"lb": ("kg", _KG), "ft3": ("L", _LITRES), "1000 gal": ("m³", _M3), "m3": ("m³", Decimal(1))},
    "us": {"kg": ("lb", 1 / _KG), "L": ("ft³", 1 / _LITRES), "m3": ("1000 gal", 1 / _M3), "ft3": ("ft³", Decimal(1))},
}
_LEVELLED = ", later water worth less as later money is"


class BillWindow(SideWindow):
    """The bill of one column."""

    def __init__(self, contender: Contender, system: System = "us", parent: QWidget | None = None) -> None:
        super().__init__("Bill", QSize(1000, 620), parent)
        self.system = system
        self.key = contender.key
        self.title, self.sums = TokenLabel("", "ink", HEADING, bold=True), wrapped("", "ink2", BODY)
        self.sheet = Sheet("Lines of the bill")
        self.working = wrapped("", "ink", BODY)
        self.sheet.current.connect(self._turn)
        self.column.addWidget(self.title)
        self.column.addWidget(self.sums)
        self.column.addWidget(self.sheet, 1)
        self.column.addWidget(self.working)
        self._lines: dict[str, BillLine] = {}
        self.show_contender(contender)
        self.sheet.setFocus(Qt.FocusReason.OtherFocusReason)

    def turn_to(self, contender: Contender, system: System) -> None:
        """Show the bill of another column, or in other units."""
        self.key, self.system = contender.key, system
        self.show_contender(contender)

    def show_contender(self, contender: Contender) -> None:
        """Show the bill of a column, or the same bill after something was changed."""
        bill = contender.measured.bill
        self.title.setText(contender.name)
        self.sums.setText(" ".join(sums(bill, self.system)))
        self._lines = {str(place): line for place, line in enumerate(bill.lines)}
        self.sheet.show_lines(_COLUMNS, list(_shown(bill, self.system)))
        self._turn(self.sheet.key)

    def _turn(self, key: str) -> None:
        line = self._lines.get(key)
        if line is None:
            self.working.setText("Choose a line to see how it follows." if self._lines else "Nothing is bought and nothing is used.")
            return
        source = f" Price: {line.priced.source}." if line.priced.source else " The list has no price for it."
        self.working.setText(f"{line.priced.what}: {line.working}.{source}")


def sums(bill: Bill, system: System) -> Iterator[str]:
    """What a bill comes to, sentence by sentence; where a price is invented that comes first."""
    if bill.invented:
        yield "Prices are invented, so every sum here is illustrative."
    yield f"To buy {_money(bill, bill.buy)}, then {_money(bill, bill.month)} a month."
    yield f"All payments of {bill.years} years are worth {_money(bill, bill.own)} today."
    each = bill.per_1000_gal if system == "us" else bill.per_m3
    if each is not None:
        yield f"That is {_money(bill, each)} for {'1,000 gallons' if system == 'us' else '1 m³'} of water{_LEVELLED}."
    if bill.rent is not None:
        yield f"Rented, {_money(bill, bill.rent)} a month with upkeep."
    if bill.unpriced:
        yield f"Without a price, and in no sum: {', '.join(bill.unpriced)}."


def _money(bill: Bill, amount: Decimal) -> str:
    return f"${amount:,}" if bill.currency == "USD" else f"{amount:,} {bill.currency}"


def _shown(bill: Bill, system: System) -> Iterator[Line]:
    """Lines under the heading of their section."""
    numbered = list(enumerate(bill.lines))
    for section, heading in HEADINGS.items():
        its = [(place, line) for place, line in numbered if line.priced.section == section]
        if its:
            yield Line(f"heading {section}", heading, (Cell(heading, bold=True),), heading=True)
        for place, line in its:
            yield _line(str(place), line, system)


def counted(priced: Priced, system: System) -> tuple[Decimal, str, Decimal | None]:
    """Quantity, unit and price for each, in the units shown whatever the list counts by."""
    unit, factor = _COUNTED[system].get(priced.unit, (priced.unit, Decimal(1)))
    if factor == 1:
        return priced.quantity, unit, priced.price
    quantity = (priced.quantity * factor).quantize(_THOUSANDTH)
    return quantity, unit, None if priced.price is None else (priced.price / factor).quantize(_THOUSANDTH)


def _line(key: str, line: BillLine, system: System) -> Line:
    priced = line.priced
    quantity, unit, each = counted(priced, system)
    price = f"{each.normalize():,f}" if each is not None else "no price"
    yearly = f"{line.yearly:,}" if line.yearly else ""
    token = "ink" if priced.price is not None else "ink3"
    texts = (priced.what, f"{quantity.normalize():,f}", unit, price, f"{line.due:,}", line.when, yearly, f"{line.present:,}")
    return Line(key, priced.what, tuple(Cell(text, token=token) for text in texts))
