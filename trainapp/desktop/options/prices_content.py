"""What the price list shows: lines of the sheet, columns by section, and an edit of one cell as a new list."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from trainapp.desktop.editors.sheet_model import Cell, Column, Line
from trainapp.desktop.figures import local
from trainapp.desktop.typed import amount_text
from trainapp.stages import registry
from trainapp.studies.cost import PriceError, PriceList, Row
from trainapp.studies.cost.reading import row_of
from trainapp.studies.cost.rows import COLUMNS, USES, units_of
from trainapp.studies.cost.writing import where_text

#: Sections as a list names them, in the order of a bill.
SECTIONS = {
    "equipment": "Equipment", "fittings": "Fittings, each unit", "labour": "Labour, hours for each unit", "part": "Parts and supplies",
    "use": "Water and power", "power": "Watts", "visit": "Visits",
}  # fmt: skip
SHEET = (
    Column("item", "Item"),
    Column("kind", "Kind of stage", 176),
    Column("where", "Where its settings are", 176),
    Column("figure", "Figure", 84, True),
    Column("per", "For each", 84),
    Column("rental", "Rent a month", 96, True),
    Column("status", "How sure", 110),
)
#: Which column of a file the figure is, by section.
FIGURE = {"labour": "hours", "power": "watts"}
#: Columns of a file as the sheet heads them.
_TITLES = {column.key: column.title for column in SHEET} | {key: "Figure" for key in ("price", "hours", "watts")}
#: Source and status of a figure that is typed, as of one that stands in the user's own file; and what they are called.
OWN_FIGURE, OWN_WORDS = ("document", "common practice"), "own figure"
#: What a list is called in which some figures are the user's own, and all.
MIXED, OWN = "Own and invented prices", "Own prices"
#: General figures: label, meaning.
GENERAL = {
    "name": ("List", "Name of the list; it stands beside every price"),
    "currency": ("Currency", "Three letters; another one converts no figure"),
    "tax": ("Tax", "On equipment, fittings and parts, or the sections that the file names"),
    "discount": ("Money costs", "How much less a payment is worth in a year"),
    "labour": ("Labour an hour", "What an hour of a fitter costs"),
    "years": ("Years counted", "Over which the cost to own is counted"),
    "rental": ("Rent a month", "Share of the price of equipment; empty where nothing is rented out"),
}


def general_text(prices: PriceList, key: str) -> str:
    """A general figure as it is typed, by the reader's signs."""
    text = str(prices.general.get(key, ""))
    return text if key in ("name", "currency") else local(text)


def general_entered(prices: PriceList, key: str, text: str) -> PriceList:
    """The list with another general figure, as it was typed.

    Raises:
        PriceError: what it is, and what is wrong.
    """
    label = GENERAL[key][0].lower()
    if key not in ("name", "currency") and text.strip():
        number, percent = text.strip().removesuffix("%"), "%" if text.strip().endswith("%") else ""
        text = f"{_figure(number, label)} {percent}".strip()
    try:
        return prices.with_general(key, text)
    except PriceError as error:
        raise PriceError(str(error).replace(f'list, list, column "{key}"', label)) from None


def _figure(text: str, what: str) -> str:
    """A typed figure as a file writes it."""
    try:
        return amount_text(text.strip().lstrip("$").strip())
    except ValueError as error:
        raise PriceError(f"{what}: {error}") from None


def lines(prices: PriceList) -> Iterator[Line]:
    """Rows under the heading of their section; a row's key is its place in the list."""
    for section, title in SECTIONS.items():
        none = section == "equipment" and not prices.section("equipment")
        shown = f"{title}: by the catalogue, where no row here wins over it" if none else title
        yield Line(f"heading {section}", shown, (Cell(shown, bold=True),), heading=True)
        for place, row in enumerate(prices.rows):
            if row.section == section:
                yield Line(str(place), name_of(row), tuple(_cell(row, column.key) for column in SHEET))


def name_of(row: Row) -> str:
    """A row in a few words."""
    label = registry.kinds()[row.kind].spec.label if row.kind else ""
    return " ".join(filter(None, (SECTIONS[row.section], row.item, label)))


def _cell(row: Row, column: str) -> Cell:
    known = {key for part in COLUMNS[row.section] for key in part} | {"status"}
    key = FIGURE.get(row.section, "price") if column == "figure" else column
    if key not in known:
        return Cell("", token="ink3")
    if column == "kind":
        label = registry.kinds()[row.kind].spec.label if row.kind else ""
        choices = (("", "any"), *((kind, registered.spec.label) for kind, registered in registry.kinds().items()))
        return Cell(label, row.kind, True, choices, hint="any")
    if column == "where":
        return Cell(where_text(row.raw.get("where")), editable=True, hint="any")
    if column == "per":
        return Cell(row.per, row.per, True, tuple((unit, unit) for unit in units_of(row.section)))
    if column == "item" and row.section == "use":
        return Cell(row.item.replace("_", " "), row.item, True, tuple((use, use.replace("_", " ")) for use in USES))
    if column == "status":
        own = (row.source, row.status) == OWN_FIGURE
        return Cell(OWN_WORDS if own else row.status, token="ink3", note="You gave it." if own else row.source)
    value = row.rental if column == "rental" else getattr(row, key)
    if column in ("figure", "rental"):
        return Cell("" if value is None else f"{value:f}", editable=True)
    return Cell(str(value or ""), editable=True)


def edited(prices: PriceList, place: int, column: str, text: str) -> PriceList:
    """The list with another text in one cell. A figure that is typed is the user's own: it is invented no more.

    Raises:
        PriceError: with the place and what is wrong.
    """
    row = prices.rows[place]
    key = FIGURE.get(row.section, "price") if column == "figure" else column
    value: Any = text.strip()
    at = place_of(prices, place)
    changed: dict[str, Any] = {key: value}
    if column == "where":
        changed = {key: _where(value, f"{at}, {_TITLES[column]}")}
    elif column in ("figure", "rental"):
        figure = _figure(value, f"{at}, {_TITLES[column]}")
        changed = {key: figure, "source": OWN_FIGURE[0], "status": OWN_FIGURE[1]}
    try:
        return prices.with_row(place, **changed)
    except PriceError:
        return _told(prices, place, changed)


def _told(prices: PriceList, place: int, changed: dict[str, Any]) -> PriceList:
    """The same refusal, its rows and columns called as the window calls them.

    Raises:
        PriceError: always where the list itself refuses.
    """
    named = prices.with_(rows=tuple(replace(row, place=place_of(prices, at)) for at, row in enumerate(prices.rows)))
    try:
        return named.with_row(place, **changed)
    except PriceError as error:
        raise PriceError(re.sub(r', column "(\w+)"', _title, str(error))) from None


def _title(found: re.Match[str]) -> str:
    return f", {_TITLES.get(found[1], found[1])}"


def place_of(prices: PriceList, place: int) -> str:
    """Where a row stands: its section as the sheet heads it, which row of it, and what it is of."""
    row = prices.rows[place]
    number = sum(other.section == row.section for other in prices.rows[: place + 1])
    label = registry.kinds()[row.kind].spec.label if row.kind else ""
    of = " ".join(filter(None, (row.item.replace("_", " "), label)))
    return f"{SECTIONS[row.section].partition(',')[0]} row {number}{f' ({of})' if of else ''}"


def _where(text: str, at: str) -> dict[str, str]:
    """Conditions of a cell.

    Raises:
        PriceError: a part is none.
    """
    pairs = [part.partition("=") for part in text.split(";") if part.strip()]
    if not all(sign for _, sign, _ in pairs):
        raise PriceError(f'{at}: "{text}" is not written as key=value; key=value')
    return {key.strip(): value.strip() for key, _, value in pairs}


def added(prices: PriceList, section: str) -> tuple[PriceList, int]:
    """The list with one more row of a section, and its place. What it has to name is filled in with something to type over."""
    taken = {row.item for row in prices.rows if row.section == section}
    kinds = [kind for kind in registry.kinds() if not any(row.section == section and row.kind == kind for row in prices.rows)]
    kind = next(iter(kinds or registry.kinds()))
    item = next(
        f"new {number}" if number > 1 else "new" for number in range(1, 10_000) if (f"new {number}" if number > 1 else "new") not in taken
    )
    figure = FIGURE.get(section, "price")
    filled: dict[str, Any] = {figure: "0", "source": OWN_FIGURE[0], "status": OWN_FIGURE[1]}
    if "kind" in COLUMNS[section][0]:
        filled["kind"] = kind
    if "item" in (*COLUMNS[section][0], *COLUMNS[section][1]):
        filled["item"] = item if section != "use" else next((use for use in USES if use not in taken), USES[0])
    if units_of(section):
        filled["per"] = "kWh" if filled.get("item") == "power" else units_of(section)[0]
    row = row_of(section, f"list, new row of {SECTIONS[section].lower()}", filled)
    return prices.with_rows((*prices.rows, row)), len(prices.rows)


def removed(prices: PriceList, place: int) -> PriceList:
    """The list without a row."""
    return prices.with_rows(row for at, row in enumerate(prices.rows) if at != place)


def own_name(prices: PriceList, default: PriceList) -> PriceList:
    """The program's own list under a name that says how much of it is the user's own by now."""
    if prices.name not in (default.name, MIXED):
        return prices
    return replace(prices, name=MIXED if prices.invented else OWN, _by={})
