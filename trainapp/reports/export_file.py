"""Writing an export so that its file is whole or is not touched: picture, ledger, print, calendar."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import IO

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
    try:
        replace_file(target, write)
    except OSError as error:
        raise ExportError(f"{target} cannot be written: {error.strerror or error}") from error


def replace_file(target: Path, write: Writer) -> None:
    """Write a new file in the same folder, to the disk, and put it where the old one was; a symbolic link is followed and kept.

    Raises:
        OSError: from the disk; the old file is as it was.
    """
    target = Path(os.path.realpath(target))
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.stem}-", suffix=target.suffix)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(_mode(target))
        temporary.replace(target)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise


def _mode(target: Path) -> int:
    """Who may read it: as before, else as any new file, for mkstemp makes files that only their owner may read."""
    try:
        return target.stat().st_mode & 0o777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _either(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
