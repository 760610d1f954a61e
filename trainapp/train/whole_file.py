"""Putting a file in another's place so that a crash, a kill or a full disk leaves the old file or the new one, never half of either."""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
import socket
import stat
import time
from pathlib import Path

#: A file on Windows may be held for a moment by a scanner; elsewhere a refusal is final.
_TRIES = 5 if os.name == "nt" else 1
_PAUSE = 0.1


def replace_file(path: str | Path, raw: bytes) -> None:
    """Write a new file in the same folder, to the disk, and put it where the old one was.

    A symbolic link is followed and kept. Who may read and write an old file stays as it was; a new one is like any new file.

    Raises:
        OSError: from the disk; the old file is as it was.
    """
    target = Path(os.path.realpath(path))
    _sweep(target)
    temporary = target.with_name(f".{target.name}.{here()}.{secrets.token_hex(4)}.tmp")
    try:
        _write(temporary, raw, _mode(target))
        _replace(temporary, target)
    except BaseException:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise
    _settle(target.parent)


def _write(path: Path, raw: bytes, mode: int | None) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666 if mode is None else mode)
    try:
        if mode is not None and stat.S_IMODE(os.fstat(handle).st_mode) != mode:
            # The mask for new files took bits away that the old file has. Where a file system knows no modes, that is how it is.
            with contextlib.suppress(OSError):
                path.chmod(mode)
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


def _mode(target: Path) -> int | None:
    """Who may read and write the old file, None where there is none."""
    try:
        return target.stat().st_mode & 0o777
    except FileNotFoundError:
        return None


def here() -> str:
    """This process on this machine, as part of a file's name."""
    machine = hashlib.sha256(socket.gethostname().encode()).hexdigest()[:8]
    return f"{machine}-{os.getpid()}"


def _sweep(target: Path) -> None:
    """Remove what a killed process of this machine has left beside the file."""
    machine = here().partition("-")[0]
    for left in target.parent.glob(f".{_literal(target.name)}.{machine}-*.tmp"):
        owner = left.name.rsplit(".", 3)[1].partition("-")[2]
        if owner.isdecimal() and int(owner) != os.getpid() and not is_alive(int(owner)):
            with contextlib.suppress(OSError):
                left.unlink()


def _literal(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)


def is_alive(process: int) -> bool:
    """Whether a process of this machine still runs, as far as that can be told."""
    if os.name == "nt":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
