"""Saving a document so that a crash, a kill or a full disk leaves the old file or the new one, never half of either."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from trainapp.spelling import inside
from trainapp.train.document import Document, dumps, loads
from trainapp.train.errors import DocumentError
from trainapp.train.whole_file import replace_file


class StoreError(OSError):
    """A document could not be saved; one sentence. The file is as it was, unless the sentence says otherwise."""


class ChangedError(StoreError):
    """Another program has changed the file since it was read, and nothing was written; the user has to say which of both counts."""


def fingerprint(path: str | Path) -> str | None:
    """SHA-256 of a file, None where there is none: to tell later whether someone else has changed it.

    Raises:
        StoreError: it cannot be read.
    """
    try:
        return hashlib.sha256(Path(path).read_bytes()).hexdigest()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise StoreError(f"cannot read {Path(path).name}: {_reason(error)}") from None


def save(document: Document, path: str | Path, expected: str | None = None) -> str:
    """Write a document and give the fingerprint of what now stands on disk.

    Args:
        path: where; a symbolic link is followed and kept, as is the mode of an old file.
        expected: fingerprint of the file when it was read; where the file is another one now, nothing is written.

    Raises:
        ChangedError: the file is another one now.
        StoreError: with the reason.
    """
    target = Path(os.path.realpath(path))
    raw = _checked(document)
    if _is_locked(target):
        raise StoreError(f"cannot save {target.name}: it is read-only; save under another name")
    if expected is not None and fingerprint(target) not in (expected, None):
        raise ChangedError(f"{target.name} was changed by another program since it was opened, so nothing was written")
    try:
        replace_file(target, raw)
    except OSError as error:
        raise StoreError(f"cannot save {target.name}: {_reason(error)}; the file is as it was") from None
    now = fingerprint(target)
    if now != hashlib.sha256(raw).hexdigest():
        raise StoreError(f"{target.name} reads back other than it was written: the disk or another program changed it")
    return now


def _checked(document: Document) -> bytes:
    """The bytes to write, after reading them back in memory: what cannot be opened again is not written."""
    text = dumps(document)
    try:
        same = loads(text) == document
    except DocumentError as error:
        raise StoreError(f"nothing was written, because the document could not be opened again: {error}") from None
    if not same:
        raise StoreError("nothing was written, because the document reads back other than it is")
    return text.encode("utf-8")


def _is_locked(target: Path) -> bool:
    """Whether nobody may write a file: a rename would replace it even so."""
    try:
        return not target.stat().st_mode & 0o222
    except OSError:
        return False


def _reason(error: OSError) -> str:
    text = error.strerror or str(error) or "unknown reason"
    return inside(text)
