"""The text of a sheet that someone else's program wrote, and texts of its cells as they may be shown."""

from __future__ import annotations

from pathlib import Path

_LONGEST = 120


class SheetError(ValueError):
    """A file that is no sheet; one sentence without the name of the file."""


def sheet_text(path: Path, most: int) -> str:
    """The text of a file of at most so many bytes.

    Raises:
        SheetError: it cannot be read, or is no text.
    """
    try:
        with path.open("rb") as file:
            raw = file.read(most + 1)
    except OSError as error:
        there_is_none = isinstance(error, FileNotFoundError)
        raise SheetError("there is no such file" if there_is_none else (error.strerror or "it cannot be read").lower()) from None
    return decoded(raw, most)


def decoded(raw: bytes, most: int) -> str:
    """The text of bytes: UTF-8, UTF-16 with its mark, else the old Western code page of spreadsheets.

    Raises:
        SheetError: it is no text, or larger than `most` bytes.
    """
    if len(raw) > most:
        raise SheetError(f"it is larger than {most / 1e6:.0f} MB")
    for start, what in ((b"PK\x03\x04", "a workbook"), (b"%PDF", "a PDF"), (b"\xd0\xcf\x11\xe0", "an old workbook")):
        if raw.startswith(start):
            raise SheetError(f"this is {what}, which is not read: save it as CSV")
    try:
        text = raw.decode("utf-16" if raw.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("cp1252", errors="replace")
    if "\0" in text:
        raise SheetError("this is not text: save it as CSV")
    return text


def clean(text: str) -> str:
    """A text that a document or a sentence may hold: on one line, printable, shortened."""
    plain = "".join(c for c in " ".join(text.split()) if c.isprintable())
    return plain if len(plain) <= _LONGEST else plain[: _LONGEST - 1] + "…"
