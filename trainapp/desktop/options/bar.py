"""The What if bar: people, peak, price of salt, years counted, discount rate; and what is done with the whole board."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from trainapp import units
from trainapp.desktop.fields import TypedField
from trainapp.desktop.figures import local
from trainapp.desktop.parts import BoxButton, FlatButton, MainButton, MarkLabel, Rule, TokenLabel, caption, wrapped
from trainapp.desktop.typed import amount_text, document_text
from trainapp.reports.drawing.tokens import BODY, HEADING, MARK_LEAST
from trainapp.studies.cost import PriceList
from trainapp.studies.options.what_if import MOST_PEOPLE, WhatIf, salt_price
from trainapp.train.document import Document

#: How salt is bought: so many units of mass a bag, by system.
_BAG = {"us": (Decimal(40), "lb"), "metric": (Decimal(25), "kg")}
_KG = Decimal("0.45359237")
_MOST_YEARS = 50
#: Widths below which the buttons stand on a line of their own, and which all of it needs at the least.
_WIDE, _NARROWEST = 1190, 700


@dataclass(frozen=True, slots=True)
class _Spec:
    """A field: its words, the width of its line, its unit, and whether a customer sees it."""

    label: str
    width: int
    unit: str
    customer: bool
    meaning: str


_FIELDS: dict[str, _Spec] = {
    "people": _Spec("people", 42, "", True, "How many draw water; a day's use goes with them"),
    "peak": _Spec("peak", 54, "gpm", False, "Peak flow at the house"),
    "salt": _Spec("salt", 58, "", False, "Price of salt"),
    "years": _Spec("years counted", 42, "", True, "Years over which all payments are counted"),
    "discount": _Spec("money costs", 46, "% a year", False, "Discount rate: how much less a payment is worth in a year"),
}


class WhatIfBar(QWidget):
    """The bar."""

    #: Signal emitted with what is supposed.
    supposed = Signal(object)
    #: Signals of its buttons.
    prices_wanted, customer_wanted, print_wanted = Signal(), Signal(), Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.what_if = WhatIf()
        self._system: units.System = "us"
        self._salt_unit = ""
        self.fields: dict[str, TypedField] = {}
        self._labels: dict[str, tuple[TokenLabel, TokenLabel]] = {}
        self.line = QHBoxLayout()
        self.line.setContentsMargins(12, 8, 12, 8)
        self.line.setSpacing(6)
        self.line.addWidget(TokenLabel("What if", "ink", HEADING, bold=True))
        for key, spec in _FIELDS.items():
            self._add(key, spec)
        self.back = FlatButton("As it is", "Suppose nothing: count with the train's own demand and the list's own figures")
        self.back.clicked.connect(self._undo)
        self.line.addSpacing(6)
        self.line.addWidget(self.back)
        self.line.addStretch(1)
        self.prices = BoxButton("Price list", "Open the price list")
        self.customer = BoxButton("Customer side", "Turn the board to the customer")
        self.print = MainButton("Print proposal", "Print a proposal for the customer")
        self.prices.clicked.connect(self.prices_wanted)
        self.customer.clicked.connect(self.customer_wanted)
        self.print.clicked.connect(self.print_wanted)
        self.tools = QWidget()
        tools = QHBoxLayout(self.tools)
        tools.setContentsMargins(0, 0, 0, 0)
        tools.setSpacing(6)
        for button in (self.prices, self.customer, self.print):
            tools.addWidget(button)
        self.line.addWidget(self.tools)
        self.below = QHBoxLayout()
        self.below.setContentsMargins(12, 0, 12, 0)
        self.below.addStretch(1)
        self.mark, self.said = MarkLabel("fail", MARK_LEAST), wrapped("", "ink", BODY)
        self._said = QWidget()
        said = QHBoxLayout(self._said)
        said.setContentsMargins(12, 0, 12, 6)
        said.setSpacing(6)
        said.addWidget(self.mark, 0, Qt.AlignmentFlag.AlignTop)
        said.addWidget(self.said, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(self.line)
        column.addLayout(self.below)
        column.addWidget(self._said)
        column.addWidget(Rule())
        self.say("")
        self._wide = True

    def minimumSizeHint(self) -> QSize:
        return QSize(_NARROWEST, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The buttons go on a line of their own where there is no room beside the fields."""
        super().resizeEvent(event)
        wide = event.size().width() >= _WIDE
        if wide != self._wide:
            self._wide = wide
            came, goes = (self.line, self.below) if wide else (self.below, self.line)
            goes.removeWidget(self.tools)
            came.addWidget(self.tools)
            self.below.setContentsMargins(12, 0, 12, 0 if wide else 8)

    def _add(self, key: str, spec: _Spec) -> None:
        field = self.fields[key] = TypedField()
        field.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        field.setFixedWidth(spec.width)
        field.setAlignment(Qt.AlignmentFlag.AlignLeft)
        field.setAccessibleName(spec.meaning)
        field.setToolTip(spec.meaning)
        field.setObjectName(key)
        field.entered.connect(self._entered)
        label, unit = TokenLabel(spec.label, "ink2", BODY), caption(spec.unit)
        label.setBuddy(field)
        self._labels[key] = label, unit
        self.line.addSpacing(6)
        self.line.addWidget(label)
        self.line.addWidget(field)
        self.line.addWidget(unit)
        unit.setVisible(bool(spec.unit))

    # Showing ------------------------------------------------------------------------------------------------------------------

    def show_figures(self, document: Document, peak: float, prices: PriceList, system: units.System) -> None:
        """Show what is counted with: what is supposed, else the document's and the list's own.

        Args:
            peak: of the document, m3/s.
        """
        self._system = system
        supposed = self.what_if
        flow = supposed.peak if supposed.peak is not None else peak
        shown = {
            "people": str(supposed.people or document.people),
            "peak": f"{float(units.convert(flow, 'flow', system)):.1f}",
            "salt": self._salt(prices),
            "years": str(supposed.years or prices.years),
            "discount": f"{((supposed.discount if supposed.discount is not None else prices.discount) * 100).normalize():f}",
        }
        for key, text in shown.items():
            self.fields[key].show_text(local(text))
        self._labels["peak"][1].setText(units.unit("flow", system))
        self._labels["salt"][1].setText(self._salt_unit)
        self._labels["salt"][1].setVisible(bool(self._salt_unit))
        self.back.setVisible(supposed != WhatIf())

    def _salt(self, prices: PriceList) -> str:
        """The price of a bag of salt, as it is supposed."""
        own = salt_price(prices)
        self.fields["salt"].setEnabled(own is not None)
        if own is None:
            self._salt_unit = "not in the list"
            return ""
        price = self.what_if.salt if self.what_if.salt is not None else own[0]
        size, unit = _BAG["metric" if self._system == "metric" else "us"]
        sign = "$" if prices.currency == "USD" else prices.currency
        self._factor = size * _in_unit(unit, own[1])
        self._salt_unit = f"{sign} per {size} {unit}"
        return f"{price * self._factor:.2f}"

    def turn(self, customer: bool) -> None:
        """Show what a customer is shown, or all."""
        self.customer.setText("Own side" if customer else "Customer side")
        self.customer.setAccessibleName("Turn the board back" if customer else "Turn the board to the customer")
        self.customer.updateGeometry()
        for key, spec in _FIELDS.items():
            for widget in (self.fields[key], *self._labels[key]):
                widget.setVisible((spec.customer or not customer) and (widget is not self._labels[key][1] or bool(widget.text())))
        self.prices.setVisible(not customer)

    def say(self, text: str, refused: bool = False, about: str = "") -> None:
        """Say something below the fields, "" for nothing; `about` what, where it stops being so by itself."""
        self._about = about
        self.said.setText(text)
        self.mark.setVisible(refused and bool(text))
        self._said.setVisible(bool(text))

    def unsay(self, *about: str) -> None:
        """Say no more what was said about something that is otherwise by now."""
        if self._about in about:
            self.say("")

    # Doing --------------------------------------------------------------------------------------------------------------------

    def _undo(self) -> None:
        self.suppose(WhatIf())
        self.fields["people"].setFocus(Qt.FocusReason.OtherFocusReason)

    def suppose(self, what_if: WhatIf) -> None:
        """Suppose something else."""
        self.what_if = what_if
        self.say("")
        self.supposed.emit(what_if)

    def _entered(self, text: str) -> None:
        sender = self.sender()
        key = sender.objectName() if sender is not None else ""
        try:
            value = self._read(key, text) if text else None
        except ValueError as error:
            self.fields[key].put_back()
            self.say(f"{error}; it stays as it was.", refused=True)
            return
        changed = replace(self.what_if, **{key: value})
        if changed == self.what_if:
            self.fields[key].put_back()
        else:
            self.suppose(changed)

    def _read(self, key: str, text: str) -> object:
        """A typed text as a supposition.

        Raises:
            ValueError: with the sentence.
        """
        if key == "people":
            return _whole(text, MOST_PEOPLE, "people")
        if key == "years":
            return _whole(text, _MOST_YEARS, "years")
        if key == "peak":
            return self._flow(text)
        amount = _amount(amount_text(text.removesuffix("%").strip().lstrip("$")))
        if key == "discount":
            if amount > 100:
                raise ValueError(f'"{text}" is more than all of it')
            return amount / 100
        return (amount / self._factor).quantize(Decimal("0.000001"))

    def _flow(self, text: str) -> float:
        try:
            flow = units.parse(document_text(text, "flow", units.unit("flow", self._system)), "flow")
        except units.UnitError as error:
            raise ValueError(str(error)) from None
        if flow <= 0:
            raise ValueError(f'"{text}" is no peak')
        return flow


def _in_unit(bag: str, unit: str) -> Decimal:
    """How many of a price's units one unit of a bag holds."""
    if bag == unit or unit not in ("lb", "kg"):
        return Decimal(1)
    return _KG if bag == "lb" else 1 / _KG


def _whole(text: str, most: int, what: str) -> int:
    if not (text.isascii() and text.isdigit()) or not 1 <= int(text) <= most:
        raise ValueError(f'"{text}" is not a number of {what} from 1 to {most}')
    return int(text)


def _amount(text: str) -> Decimal:
    try:
        number = Decimal(text) if text.isascii() else Decimal("NaN")
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite() or not 0 <= number <= 10**6:
        raise ValueError(f'"{text}" is not an amount')
    return number
