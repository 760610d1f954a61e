"""Saving leaves the old file or the new one, whatever happens meanwhile."""

from __future__ import annotations

import errno
import os
import random
import signal
import stat
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from trainapp.train import store, whole_file
from trainapp.train.document import Document, dumps, load
from trainapp.train.store import StoreError, fingerprint, save

KILLS = 40


@pytest.fixture
def other(changed: Callable[..., Document]) -> Document:
    """A longer document than the farm."""
    return changed(("site", "notes"), "A story. " * 20_000)


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_what_is_saved_is_what_is_read(tmp_path: Path, farm: Document) -> None:
    path = tmp_path / "farm.train.json"
    mark = save(farm, path)
    assert load(path) == farm and path.read_bytes() == dumps(farm).encode()
    assert mark == fingerprint(path) and names(tmp_path) == ["farm.train.json"]


def test_mode_and_symbolic_link_are_kept(tmp_path: Path, farm: Document, other: Document) -> None:
    (tmp_path / "real").mkdir()
    real, link = tmp_path / "real" / "farm.json", tmp_path / "link.json"
    save(farm, real)
    real.chmod(0o640)
    link.symlink_to(real)
    save(other, link)
    assert link.is_symlink() and load(real) == other and stat.S_IMODE(real.stat().st_mode) == 0o640


def test_the_mask_for_new_files_takes_nothing_from_an_old_one(tmp_path: Path, farm: Document, other: Document) -> None:
    path = tmp_path / "farm.json"
    before = os.umask(0o022)
    try:
        save(farm, path)
        assert stat.S_IMODE(path.stat().st_mode) == 0o644
        path.chmod(0o664)
        save(other, path)
    finally:
        os.umask(before)
    assert load(path) == other and stat.S_IMODE(path.stat().st_mode) == 0o664


def test_a_file_that_someone_else_changed_is_not_overwritten(tmp_path: Path, farm: Document, other: Document) -> None:
    path = tmp_path / "farm.json"
    mark = save(farm, path)
    path.write_text("theirs")
    with pytest.raises(store.ChangedError, match="changed by another program"):
        save(other, path, expected=mark)
    assert path.read_text() == "theirs"
    path.unlink()
    assert save(other, path, expected=mark) == fingerprint(path)


def test_places_that_cannot_be_written(tmp_path: Path, farm: Document) -> None:
    with pytest.raises(StoreError, match="^cannot save farm.json: no such file or directory; the file is as it was$"):
        save(farm, tmp_path / "none" / "farm.json")
    (tmp_path / "folder.json").mkdir()
    with pytest.raises(StoreError, match="folder.json"):
        save(farm, tmp_path / "folder.json")
    assert names(tmp_path) == ["folder.json"]


def test_a_read_only_file_is_left_alone(tmp_path: Path, farm: Document, other: Document) -> None:
    """A rename needs the folder's leave alone, and would replace a file that someone has locked."""
    path = tmp_path / "farm.json"
    save(farm, path)
    path.chmod(0o444)
    with pytest.raises(StoreError, match="^cannot save farm.json: it is read-only; save under another name$"):
        save(other, path)
    assert load(path) == farm and names(tmp_path) == ["farm.json"]


class Faults:
    """Counts the system calls of saving and fails one of them, once or from then on."""

    CALLS = ("open", "write", "fsync", "fstat", "replace", "close")

    def __init__(self, patch: pytest.MonkeyPatch, fail_at: int, code: int, lasting: bool) -> None:
        self.calls: list[str] = []
        self.fired = False
        for name in self.CALLS:
            patch.setattr(whole_file.os, name, self._wrapped(name, getattr(os, name), fail_at, code, lasting))

    def _wrapped(self, name: str, real: Callable[..., Any], fail_at: int, code: int, lasting: bool) -> Callable[..., Any]:
        def call(*args: Any, **kwargs: Any) -> Any:
            self.calls.append(name)
            if len(self.calls) == fail_at or (lasting and len(self.calls) > fail_at and name != "close"):
                self.fired = True
                if name == "close":
                    real(*args)
                raise OSError(code, os.strerror(code))
            return real(*args, **kwargs)

        return call


@pytest.mark.parametrize("lasting", [False, True], ids=["once", "lasting"])
@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EIO, errno.EACCES, errno.EROFS], ids=errno.errorcode.get)
def test_every_call_may_fail(code: int, lasting: bool, tmp_path: Path, farm: Document, other: Document) -> None:
    path = tmp_path / "farm.json"
    save(farm, path)
    texts = {dumps(farm).encode(): "old", dumps(other).encode(): "new"}
    for fail_at in range(1, 60):
        with pytest.MonkeyPatch.context() as patch:
            faults = Faults(patch, fail_at, code, lasting)
            try:
                save(other, path)
                saved = True
            except StoreError as error:
                saved = False
                assert "\n" not in str(error) and os.strerror(code)[1:] in str(error)
        state = texts[path.read_bytes()]
        assert state == "new" if saved else state in ("old", "new")
        assert names(tmp_path) == ["farm.json"]
        if not faults.fired:
            assert fail_at > 6
            return
        save(farm, path)
    pytest.fail("saving makes more calls than this test allows for")


def test_a_full_disk_that_takes_a_part(tmp_path: Path, farm: Document, other: Document, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "farm.json"
    save(farm, path)
    real = os.write
    taken = 0

    def write(handle: int, raw: Any) -> int:
        nonlocal taken
        if taken >= 65_536:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        taken += (part := real(handle, bytes(raw[:4096])))
        return part

    monkeypatch.setattr(whole_file.os, "write", write)
    with pytest.raises(StoreError, match="no space left on device; the file is as it was"):
        save(other, path)
    assert load(path) == farm and names(tmp_path) == ["farm.json"] and taken == 65_536


def test_a_disk_that_loses_what_it_took(tmp_path: Path, farm: Document, other: Document, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "farm.json"
    save(farm, path)
    real = os.write
    monkeypatch.setattr(whole_file.os, "write", lambda handle, raw: (real(handle, bytes(raw[:-1])), len(raw))[1])
    with pytest.raises(StoreError, match="did not take all of it; the file is as it was"):
        save(other, path)
    assert load(path) == farm
    monkeypatch.setattr(whole_file.os, "write", lambda handle, raw: 0)
    with pytest.raises(StoreError, match="takes no more"):
        save(other, path)
    assert load(path) == farm and names(tmp_path) == ["farm.json"]


def test_a_file_that_reads_back_changed_is_said(tmp_path: Path, farm: Document, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.replace

    def replace(source: Any, target: Any) -> None:
        real(source, target)
        Path(target).write_text("bit rot")

    monkeypatch.setattr(whole_file.os, "replace", replace)
    with pytest.raises(StoreError, match="reads back other than it was written"):
        save(farm, tmp_path / "farm.json")


def test_a_document_that_does_not_read_back_is_not_written(
    tmp_path: Path, farm: Document, other: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    for text, sentence in (("{", "could not be opened again: line 1"), (dumps(other), "reads back other than it is")):
        monkeypatch.setattr(store, "dumps", lambda document, text=text: text)
        with pytest.raises(StoreError, match=f"nothing was written.*{sentence}"):
            save(farm, tmp_path / "farm.json")
    assert names(tmp_path) == []


def test_a_file_held_for_a_moment_is_tried_again(tmp_path: Path, farm: Document, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(whole_file, "_TRIES", 3)
    monkeypatch.setattr(whole_file, "_PAUSE", 0.0)
    real, refused = os.replace, [PermissionError(errno.EACCES, "held"), PermissionError(errno.EACCES, "held")]

    def replace(source: Any, target: Any) -> None:
        if refused:
            raise refused.pop()
        real(source, target)

    monkeypatch.setattr(whole_file.os, "replace", replace)
    save(farm, tmp_path / "farm.json")
    assert load(tmp_path / "farm.json") == farm
    refused.extend(PermissionError(errno.EACCES, "held") for _ in range(3))
    with pytest.raises(StoreError, match="cannot save farm.json: held; the file is as it was"):
        save(farm, tmp_path / "farm.json")


def test_only_what_dead_processes_of_this_machine_left_is_swept(tmp_path: Path, farm: Document) -> None:
    machine = whole_file.here().partition("-")[0]
    with subprocess.Popen([sys.executable, "-c", "pass"]) as process:
        process.wait()
    dead, mine, odd = f"{machine}-{process.pid}", f"{machine}-{os.getpid()}", f"{machine}-x"
    living, elsewhere = f"{machine}-{os.getppid()}", f"00000000-{process.pid}"
    left = {who: f".farm[1].json.{who}.abcd.tmp" for who in (dead, mine, odd, living, elsewhere)}
    for name in left.values():
        (tmp_path / name).touch()
    save(farm, tmp_path / "farm[1].json")
    assert names(tmp_path) == sorted(["farm[1].json", *(name for who, name in left.items() if who != dead)])


def test_fingerprint(tmp_path: Path) -> None:
    assert fingerprint(tmp_path / "none") is None
    with pytest.raises(StoreError, match="^cannot read "):
        fingerprint(tmp_path)


def test_data_is_on_disk_before_its_name_is(tmp_path: Path, farm: Document, monkeypatch: pytest.MonkeyPatch) -> None:
    calls = Faults(monkeypatch, 0, 0, False).calls
    save(farm, tmp_path / "farm.json")
    steps = [call for call in calls if call in ("write", "fsync", "replace")]
    assert steps == ["write", "fsync", "replace", "fsync"]


def test_kills_at_random_times(tmp_path: Path, farm: Document, other: Document) -> None:
    path = tmp_path / "home" / "farm.json"
    path.parent.mkdir()
    whole = {dumps(farm).encode(), dumps(other).encode()}
    for name, text in zip(("first.json", "second.json"), whole, strict=True):
        (tmp_path / name).write_bytes(text)
    save(farm, path)
    dice = random.Random(7)
    script = Path(__file__).with_name("saving_loop.py")
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    midway = 0
    with subprocess.Popen(
        [sys.executable, str(script), str(tmp_path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=environment
    ) as server:
        assert server.stdin and server.stdout
        kills = 0
        while kills < KILLS or (not midway and kills < 20 * KILLS):
            kills += 1
            server.stdin.write(f"{path}\n")
            server.stdin.flush()
            child = int(server.stdout.readline())
            time.sleep(dice.uniform(0.001, 0.04))
            os.kill(child, signal.SIGKILL)
            assert path.read_bytes() in whole
            midway += len(names(path.parent)) > 1
        server.stdin.close()
    assert load(path) in (farm, other)
    assert midway > 0, "some of the kills came in the middle of a save"
    save(farm, path)
    assert names(path.parent) == ["farm.json"], "the next save sweeps up what the killed ones left"
