"""What `trainapp sample import` says: what was understood of a lab sheet, what is kept unjudged, what could not be read."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp.train.document import Document
from trainapp.train.lab import LabSheet
from trainapp.water.analytes import BY_KEY


def lab_lines(sheet: LabSheet, document: Document, sample_id: str) -> Iterator[str]:
    """Lines to print.

    Args:
        sheet: what was read.
        document: the document with it, and the id of its sample there.
    """
    sample = document.sample(sample_id)
    when = f" of {sheet.date}" if sheet.date else ""
    yield f'Added sample "{sample_id}"{when}, taken at {sample.word("at")}: {_counted(len(sheet.understood), "result")}.'
    width = max(len(BY_KEY[line.analyte].label) for line in sheet.understood)
    for line in sheet.understood:
        label = BY_KEY[line.analyte].label
        printed = f'  (printed as "{line.name}")' if line.name.casefold() != label.casefold() else ""
        beside = [text for text in (line.remark, sheet.notes.get(line.analyte, "")) if text]
        yield f"  {label:<{width}}  {line.text}{printed}" + (f"; {'; '.join(beside)}" if beside else "")
    if sheet.kept:
        yield f"Kept under names of their own and not judged: {', '.join(f'{line.name} {line.text}' for line in sheet.kept)}."
    for name, reason in sheet.refused:
        yield f"Not read: {name}: {reason}."
    if sheet.more:
        yield f"{_counted(sheet.more, 'further column')} of results left: one sheet gives one sample."
    yield _role(document, sample_id)


def _role(document: Document, sample_id: str) -> str:
    if document.sample(sample_id).word("at") != "supply":
        return "It is shown beside what is predicted there."
    if document.design_sample == "worst":
        return "The train is designed for the worst of all samples taken at the supply, this one now among them."
    return f'The train is still designed for sample "{document.design_sample}".'


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
