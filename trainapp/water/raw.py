"""From results to the raw water that flows: of one sheet, of many, or of columns of a table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainapp.water.analytes import BY_KEY, ROW_INDEX
from trainapp.water.rows import KNOWN_ROWS, Rows, assumption, names_of, readings
from trainapp.water.sample import Result
from trainapp.water.stream import Array, Stream


@dataclass(frozen=True, slots=True)
class Assumption:
    """What was read into a sample that does not say it: its name in the table, a clause for a sentence, its source and status."""

    name: str
    sentence: str
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Columns:
    """Results of many waters: ends of each analyte, shape (waters,), NaN where it is not known.

    Attributes:
        low, high: by analyte key, `high` infinite where nothing bounds it; of settles_overnight 1 is yes and 0 no.
        guessed: by analyte key, the waters in which it is an estimate: a value, but nothing known.
        waters: how many.
    """

    low: Mapping[str, Array]
    high: Mapping[str, Array]
    guessed: Mapping[str, NDArray[np.bool_]]
    waters: int

    @classmethod
    def of_sheet(cls, sheet: Mapping[str, Result]) -> Columns:
        """One water from its results."""
        return cls.of_sheets([sheet])

    @classmethod
    def of_sheets(cls, sheets: Sequence[Mapping[str, Result]]) -> Columns:
        """A water from each sheet; what a sheet lacks is unknown in its water."""
        names = {name for sheet in sheets for name in sheet}
        low = {name: np.array([s[name].low if name in s else np.nan for s in sheets]) for name in names}
        high = {name: np.array([s[name].high if name in s else np.nan for s in sheets]) for name in names}
        guessed = {name: np.array([name in s and not s[name].measured for s in sheets]) for name in names}
        return cls(low, high, {name: mask for name, mask in guessed.items() if mask.any()}, len(sheets))


def raw_streams(columns: Columns, flows: int, temperature: float) -> Stream:
    """The raw water of many sheets at once.

    Args:
        columns: results.
        flows: length of the flow axis; raw water is the same at every flow.
        temperature: degC where the sheet has none (the coldest of the year).
    """
    stream = _rows(columns).stream
    row = stream.row("temperature")
    row[np.isnan(row)] = temperature
    return Stream(np.repeat(stream.values, flows, axis=2), stream.known)


def _rows(columns: Columns) -> Rows:
    """The rows of one flow, estimates not called known."""
    rows = Rows({name: readings(name, low, columns.high[name]) for name, low in columns.low.items()}, columns.waters).fill()
    for name, mask in columns.guessed.items():
        for row in KNOWN_ROWS.get(name, (name,)):
            if row in ROW_INDEX:
                rows.stream.known[ROW_INDEX[row]] &= ~mask
    return rows


def assumptions(sheet: Mapping[str, Result]) -> tuple[Assumption, ...]:
    """What is read into a sheet that it does not say, estimates of the sheet last."""
    guesses = {*_rows(Columns.of_sheet(sheet)).guesses, *("over_range" for r in sheet.values() if r.kind == "above" and r.high == np.inf)}
    entries = [(name, assumption(name), "") for name in names_of(guesses)]
    entries += [("estimate", assumption("estimate"), f"{BY_KEY[name].label} ") for name, r in sheet.items() if not r.measured]
    return tuple(Assumption(name, lead + entry["text"], entry["source"], entry["status"]) for name, entry, lead in entries)
