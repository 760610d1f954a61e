"""Tables as a workbook: number formats, frozen heads, a row of units. A text is never a formula, a link or a number."""

from __future__ import annotations

import datetime
import io
from collections.abc import Sequence
from typing import IO, TYPE_CHECKING, Any

from trainapp.reports.drawing.tokens import THEMES
from trainapp.reports.export_table import Entry, ExportTable, Number, Tint, Words

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

#: What a cell holds at most (ECMA-376, and every program that reads the format).
_LONGEST = 32_767
#: Widths of columns in letters: of figures at least and at most, of sentences.
_NARROW, _BROAD, _SENTENCE = 9, 28, 70
#: Paper by the format's numbers (ECMA-376 Part 1, 18.3.1.63, paperSize; from memory).
_PAPERS = {"letter": 1, "a4": 9}
#: The same document gives the same bytes: no clock.
_NO_DATE = datetime.datetime(1980, 1, 1)


def write_workbook(tables: Sequence[ExportTable], file: IO[bytes], title: str = "", paper: str = "letter") -> None:
    """Write a workbook of one sheet a table.

    Args:
        tables: the first is in view when it is opened.
        file: open for writing.
        title: of the workbook, in its properties.
        paper: what it prints on, "letter" or "a4".
    """
    import xlsxwriter

    made = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    workbook = xlsxwriter.Workbook(made, options)
    workbook.set_properties({"title": title[:255], "created": _NO_DATE})
    formats = _Formats(workbook)
    for table in tables:
        _Sheet(workbook.add_worksheet(table.title), formats, table).write(paper)
    workbook.close()
    file.write(made.getvalue())


class _Formats:
    """Formats of one workbook, each made once."""

    def __init__(self, workbook: Workbook) -> None:
        self._workbook = workbook
        self._made: dict[tuple[tuple[str, Any], ...], Format] = {}

    def of(self, **properties: Any) -> Format:
        """The format with these properties."""
        key = tuple(sorted(properties.items()))
        if key not in self._made:
            self._made[key] = self._workbook.add_format({"valign": "top", **properties})
        return self._made[key]

    def number(self, decimals: int) -> Format:
        return self.of(num_format="0" + ("." + "0" * decimals if decimals else ""))

    def words(self, tint: Tint, wrap: bool) -> Format:
        properties: dict[str, Any] = {"text_wrap": True} if wrap else {}
        if tint:
            properties |= {"bg_color": THEMES["print"][f"{tint}_t"], "bold": tint == "fail"}
        return self.of(**properties)


class _Sheet:
    """Writes one table on its sheet."""

    def __init__(self, sheet: Worksheet, formats: _Formats, table: ExportTable) -> None:
        self.sheet, self.formats, self.table = sheet, formats, table

    def write(self, paper: str) -> None:
        tokens, table = THEMES["print"], self.table
        head = self.formats.of(bold=True, text_wrap=True, bottom=1, bg_color=tokens["well"])
        grey = self.formats.of(italic=True, font_color=tokens["ink2"], bottom=1)
        top = 2 if table.units else 1
        for column, name in enumerate(table.heads):
            self.text(0, column, name, head)
        for column, unit in enumerate(table.units):
            self.text(1, column, unit, grey)
        for row, entries in enumerate(table.rows, top):
            for column, entry in enumerate(entries):
                self.entry(row, column, entry)
        for column in range(len(table.heads)):
            self.sheet.set_column(column, column, self.width(column))
        self.sheet.freeze_panes(top, table.fixed)
        self.page(paper, top)

    def page(self, paper: str, top: int) -> None:
        """How it prints: across the page, heads on every page, its name and the page's number at the foot."""
        self.sheet.set_paper(_PAPERS[paper])
        self.sheet.set_landscape()
        self.sheet.fit_to_pages(1, 0)
        self.sheet.repeat_rows(0, top - 1)
        self.sheet.set_footer("&L&A&R&P / &N")

    def entry(self, row: int, column: int, entry: Entry) -> None:
        if isinstance(entry, Number):
            self.sheet.write_number(row, column, entry.value, self.formats.number(entry.decimals))
            return
        words = entry if isinstance(entry, Words) else Words(entry)
        if words.text:
            self.text(row, column, words.text, self.formats.words(words.tint, self.table.heads[column] in self.table.wide))

    def text(self, row: int, column: int, text: str, style: Format) -> None:
        self.sheet.write_string(row, column, text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…", style)

    def width(self, column: int) -> int:
        if self.table.heads[column] in self.table.wide:
            return _SENTENCE
        longest = max((len(_letters(row[column])) for row in self.table.rows), default=0)
        return min(max(longest + 2, _NARROW, max(map(len, self.table.heads[column].split(" "))) + 2), _BROAD)


def _letters(entry: Entry) -> str:
    if isinstance(entry, Number):
        return f"{entry.value:.{entry.decimals}f}"
    return entry if isinstance(entry, str) else entry.text
