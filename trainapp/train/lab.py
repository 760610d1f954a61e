"""A laboratory's sheet as a sample of a document: what was understood, what is kept under a name of its own, what could not be read."""

from __future__ import annotations

import csv
import datetime
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from trainapp.train.document import Document
from trainapp.train.edits import SetValue, apply, plan_edit
from trainapp.water.analytes import BY_KEY
from trainapp.water.lab_result import printed_result
from trainapp.water.names import words
from trainapp.water.pasted import MOST_LINES, PastedResult, read_pasted
from trainapp.water.sample import SampleError, read_result
from trainapp.water.sheet_text import SheetError, clean, sheet_text

MOST_BYTES = 2_000_000
#: More names than any laboratory tests for at once.
_MOST_RESULTS = 1000
#: Analytes whose number means little without its basis: what the basis named in the contract is.
_NITROGEN = frozenset({"nitrate", "nitrite", "ammonia"})


class LabError(ValueError):
    """A sheet that cannot be used; one sentence."""


@dataclass(frozen=True, slots=True)
class LabLine:
    """One line of a sheet: its name as printed, the analyte's key ("" for none), what the document gets, and a remark ("" for none)."""

    name: str
    analyte: str
    text: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class LabSheet:
    """What a sheet says.

    Attributes:
        understood: lines of known analytes. kept: lines under names of their own, which nothing judges.
        refused: (name, reason) of lines that could not be read.
        notes: by analyte, what the laboratory's flags say.
        more: further columns of results, which were left.
        date: day on which the sample was taken, "" where the sheet does not say it as YYYY-MM-DD.
    """

    understood: tuple[LabLine, ...]
    kept: tuple[LabLine, ...] = ()
    refused: tuple[tuple[str, str], ...] = ()
    notes: Mapping[str, str] = field(default_factory=dict)
    more: int = 0
    date: str = ""

    @property
    def results(self) -> dict[str, Any]:
        """As `samples.ID.results` of a document holds them."""
        told: dict[str, Any] = {}
        for line in self.understood:
            note = self.notes.get(line.analyte)
            told[line.analyte] = {"value": line.text, "note": note} if note else line.text
        return told | {line.name: line.text for line in self.kept}


# Reading ----------------------------------------------------------------------------------------------------------------------


def read_lab_file(path: Path) -> LabSheet:
    """Read the file of a sheet.

    Raises:
        LabError: it cannot be read or used; the sentence names the file.
    """
    try:
        return read_lab(sheet_text(path, MOST_BYTES))
    except (LabError, SheetError) as error:
        raise LabError(f"{path.name}: {error}") from None


def read_lab(text: str) -> LabSheet:
    """Read a sheet: names, results and units in columns of any order, or names in a row above results.

    Raises:
        LabError: no line of it holds a known analyte with a result that can be read.
    """
    try:
        table = list(_table(text))
    except csv.Error as error:
        raise LabError(f"it cannot be read as lines of cells: {error}") from None
    pasted = read_pasted("\n".join("\t".join(row) for row in table[_heads_at(table) :]))
    understood: list[LabLine] = []
    kept: list[LabLine] = []
    refused: list[tuple[str, str]] = []
    notes: dict[str, str] = {}
    for line in pasted.results[:_MOST_RESULTS]:
        name = clean(line.name)
        if not line.analyte:
            if not _is_meta(line.name) and name not in BY_KEY and all(name != other.name for other in kept):
                kept.append(LabLine(name, "", clean(line.text)))
        elif any(line.analyte == other.analyte for other in understood):
            refused.append((name, f"{BY_KEY[line.analyte].label} stands twice on the sheet; the first was taken"))
        else:
            try:
                printed = printed_result(line.analyte, line.text, line.least, line.flag)
            except SampleError as error:
                refused.append((name, str(error)))
                continue
            understood.append(LabLine(name, line.analyte, printed.text, _remark(line, printed.text)))
            notes |= {line.analyte: printed.note} if printed.note else {}
    if not understood:
        told = f"; of what looks like one, {refused[0][0]}: {refused[0][1]}" if refused else ""
        raise LabError(f"no line holds the name of a known analyte beside a result that can be read{told}")
    return LabSheet(tuple(understood), tuple(kept), tuple(refused), notes, pasted.more, _date(table))


def _remark(line: PastedResult, text: str) -> str:
    """What to ask the laboratory, where the sheet leaves it open."""
    if line.analyte in _NITROGEN and not read_result(line.analyte, text).basis_given:
        return "the sheet does not say what it counts as; read as nitrogen, ask the laboratory"
    return ""


def _table(text: str) -> Iterator[list[str]]:
    """Cells of a sheet by line, whatever separates them; nothing in a cell separates any more."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")[: 2 * MOST_LINES]
    sign = max(("\t", ";", ",", "|"), key=lambda s: sum(s in line for line in lines))
    if not any(sign in line for line in lines):
        yield from ([line] for line in lines if line.strip())
        return
    rows = [[" ".join(cell.split()) for cell in row] for row in csv.reader(lines, delimiter=sign) if any(cell.strip() for cell in row)]
    comma = sign != "," and not any(re.search(r"\d\.\d", cell) for row in rows for cell in row)
    for row in rows:
        yield [re.sub(r"(?<=\d),(?=\d)", ".", cell) if comma and re.fullmatch(r"[<>≤≥=\s]*\d+,\d+\D*", cell) else cell for cell in row]


def _heads_at(table: list[list[str]]) -> int:
    """The row of headings: the first with two words that head columns. What stands above it is letterhead; 0 where there is none."""
    heads = frozenset().union(*(words(kind) for kind in ("result", "unit", "least", "flag", "other")))
    return next((i for i, row in enumerate(table) if sum(cell.casefold() in heads for cell in row) >= 2), 0)


def _is_meta(name: str) -> bool:
    return name.strip().rstrip(":#").strip().casefold() in words("meta") | words("taken")


def _date(table: list[list[str]]) -> str:
    """The day of a line, or of a column, that says when the sample was taken."""
    for above, row in zip([[], *table], table, strict=False):
        for i, cell in enumerate(row):
            beside = row[i - 1] if i else ""
            head = above[i] if i < len(above) else ""
            if any(text.strip().rstrip(":").casefold() in words("taken") for text in (beside, head)) and (day := _day(cell)):
                return day
    return ""


def _day(text: str) -> str:
    found = re.match(r"(\d{4}-\d{2}-\d{2})(?:[T ].*)?$", text.strip())
    try:
        return datetime.date.fromisoformat(found[1]).isoformat() if found else ""
    except ValueError:
        return ""


# Into a document --------------------------------------------------------------------------------------------------------------


def with_sample(document: Document, sheet: LabSheet, name: str, *, at: str = "supply", lab: str = "") -> tuple[Document, str]:
    """The document with the sheet as one more sample, and the id that the sample got.

    Args:
        name: what to call it, such as the name of its file; made an id that is not taken.
        at: where it was taken: "supply" or a stage's id.
        lab: who tested it.

    Raises:
        LabError: there is no such place.
    """
    if at != "supply" and at not in {stage.id for stage in document.stages}:
        raise LabError(f'"{clean(at)}" is neither the supply nor a stage of this train')
    sample_id = free_id(document, name)
    entry: dict[str, Any] = {"id": sample_id, "date": sheet.date, "at": at, "lab": lab, "results": sheet.results}
    kept = {key: value for key, value in entry.items() if value != ""}
    patch = plan_edit(document, SetValue(path=("samples", sample_id), value=kept))
    return apply(document, patch), sample_id


def free_id(document: Document, name: str) -> str:
    """An id for a sample after a name, of small letters, digits and hyphens; numbered where it is taken."""
    words_ = re.findall(r"[a-z0-9]+", name.casefold())
    plain = "-".join(words_)[:40].strip("-") or "lab"
    taken = {sample.id for sample in document.samples} | {"worst"}
    number, found = 1, plain
    while found in taken:
        number += 1
        found = f"{plain}-{number}"
    return found
