"""Writing an export so that its file is whole or is not touched: picture, ledger, print, calendar."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import IO

from trainapp.train.whole_file import replace_file

Writer = Callable[[IO[bytes]], object]


class ExportError(ValueError):
    """An export that cannot be written; str() is one sentence that names the file."""


def check_target(target: Path, endings: Sequence[str], what: str) -> None:
    """Refuse a name under which no such file can be written.

    Args:
        endings: what its name may end in, with the dot, lower case.
        what: the file in words, with its article ("a calendar").

    Raises:
        ExportError: with the reason.
    """
    if target.suffix.lower() not in endings:
        raise ExportError(f"{target}: {what} ends in {_either(endings)}")
    if target.is_dir():
        raise ExportError(f"{target} is a folder")
    if not target.parent.is_dir():
        raise ExportError(f"{target}: there is no folder {target.parent}")


def write_export(target: Path, write: Writer) -> None:
    """Write a file anew; on failure an old one stays as it was.

    Raises:
        ExportError: the disk, or the folder, refuses.
    """
    buffer = io.BytesIO()
    try:
        write(buffer)
        replace_file(target, buffer.getvalue())
    except OSError as error:
        raise ExportError(f"{target} cannot be written: {error.strerror or error}") from error


def _either(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
