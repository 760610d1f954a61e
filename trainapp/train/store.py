"""Saving a document so that a crash, a kill or a full disk leaves the old file or the new one, never half of either."""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
import socket
import time
from pathlib import Path

from trainapp.train.document import Document, dumps, loads
from trainapp.train.errors import DocumentError

#: A file on Windows may be held for a moment by a scanner; elsewhere a refusal is final.
_TRIES = 5 if os.name == "nt" else 1
_PAUSE = 0.1


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
        _sweep(target)
        temporary = target.with_name(f".{target.name}.{_here()}.{secrets.token_hex(4)}.tmp")
        try:
            _write(temporary, raw, _mode(target))
            _replace(temporary, target)
        except BaseException:
            with contextlib.suppress(OSError):
                temporary.unlink()
            raise
        _settle(target.parent)
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


def _write(path: Path, raw: bytes, mode: int) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
    try:
        # A full disk may take a part of what it is given and report no error.
        rest = memoryview(raw)
        while rest:
            written = os.write(handle, rest)
            if written <= 0:
                raise OSError("the disk takes no more")
            rest = rest[written:]
        if os.fstat(handle).st_size != len(raw):
            raise OSError("the disk did not take all of it")
        # Before the rename: a name that points at data still in memory is an empty file after a power cut.
        os.fsync(handle)
    finally:
        os.close(handle)


def _replace(temporary: Path, target: Path) -> None:
    for attempt in range(_TRIES):
        try:
            os.replace(temporary, target)
            return
        except PermissionError:
            if attempt + 1 == _TRIES:
                raise
            time.sleep(_PAUSE)


def _settle(folder: Path) -> None:
    """Make the rename itself last. Some file systems refuse it and some systems cannot open a folder; the file is whole even so."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _mode(target: Path) -> int:
    try:
        return target.stat().st_mode & 0o777
    except FileNotFoundError:
        return 0o666


def _is_locked(target: Path) -> bool:
    """Whether nobody may write a file: a rename would replace it even so."""
    try:
        return not target.stat().st_mode & 0o222
    except OSError:
        return False


def _here() -> str:
    """This process on this machine, as part of a file's name."""
    machine = hashlib.sha256(socket.gethostname().encode()).hexdigest()[:8]
    return f"{machine}-{os.getpid()}"


def _sweep(target: Path) -> None:
    """Remove what a killed process of this machine has left beside the file."""
    machine = _here().partition("-")[0]
    for left in target.parent.glob(f".{_literal(target.name)}.{machine}-*.tmp"):
        owner = left.name.rsplit(".", 3)[1].partition("-")[2]
        if owner.isdigit() and int(owner) != os.getpid() and not _alive(int(owner)):
            with contextlib.suppress(OSError):
                left.unlink()


def _literal(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)


def _alive(process: int) -> bool:
    if os.name == "nt":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def _reason(error: OSError) -> str:
    text = error.strerror or str(error) or "unknown reason"
    return text[:1].lower() + text[1:]
