"""Which price lists a file holds: those that this run of the program read or wrote, and the program's own."""

from __future__ import annotations

from pathlib import Path

from trainapp.desktop.background import Cancelled
from trainapp.reports.export_file import check_target, write_export
from trainapp.studies.cost import PriceList, default_prices, read_prices
from trainapp.studies.cost.writing import csv_text, toml_text

_HELD: dict[Path, PriceList] = {}


def is_held(prices: PriceList) -> bool:
    """Whether a file holds a list as it is."""
    return prices == default_prices() or prices in _HELD.values()


def note_held(path: Path, prices: PriceList) -> None:
    """Remember that a file holds a list."""
    _HELD[path] = prices


def save_prices(prices: PriceList, path: Path) -> None:
    """Write a list to a file, whole or not at all.

    Raises:
        ExportError: one sentence.
    """
    text = csv_text(prices) if path.suffix.lower() == ".csv" else toml_text(prices)
    check_target(path, (".toml", ".csv"), "a price list")
    write_export(path, lambda file: file.write(text.encode()))
    note_held(path, prices)


def read(path: Path, _cancelled: Cancelled) -> tuple[Path, PriceList]:
    """A price list with the file that it is from.

    Raises:
        PriceError: the first thing wrong with it.
    """
    return path, read_prices(path)
