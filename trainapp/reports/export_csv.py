"""A table as CSV: RFC 4180, UTF-8, a line of heads, a line of units where the table has units."""

from __future__ import annotations

import csv
import io

from trainapp.reports.export_table import Entry, ExportTable, Number

#: Signs with which a spreadsheet takes a text for a formula, and the two that it skips before looking.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def csv_bytes(table: ExportTable, *, bom: bool = True) -> bytes:
    """The file.

    Args:
        table: numbers are written with a point and up to twelve digits; a text that a spreadsheet would take for a formula is written
            with an apostrophe before it.
        bom: begin with a byte order mark, without which some spreadsheets do not read UTF-8.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, dialect="excel", lineterminator="\r\n")
    writer.writerow([plain(head) for head in table.heads])
    if table.units:
        writer.writerow([plain(unit) for unit in table.units])
    writer.writerows([plain(entry) for entry in row] for row in table.rows)
    return text.getvalue().encode("utf-8-sig" if bom else "utf-8")


def plain(entry: Entry) -> str:
    """One cell as CSV holds it, before quoting."""
    if isinstance(entry, Number):
        return f"{entry.value + 0.0:.12g}"
    text = entry if isinstance(entry, str) else entry.text
    return f"'{text}" if text.startswith(_FORMULA) else text
