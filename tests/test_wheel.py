"""The built wheel carries its data and works from any folder."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def unpacked(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built and unpacked as an installer does."""
    out = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", out]
    subprocess.run(command, cwd=root, check=True, capture_output=True, timeout=120)
    (wheel,) = out.glob("trainapp-*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(out / "site")
    return out / "site"


def _files_in(folder: Path) -> set[Path]:
    return {path.relative_to(folder) for path in folder.rglob("*") if path.is_file()}


def _python(site: Path, folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    # -P: not the folder it runs in; the unpacked wheel goes before the checkout that the tests themselves import.
    environment = os.environ | {"PYTHONPATH": str(site)}
    return subprocess.run(
        [sys.executable, "-P", *arguments], cwd=folder, env=environment, capture_output=True, text=True, encoding="utf-8", timeout=120
    )


def test_it_carries_every_data_file(root: Path, unpacked: Path) -> None:
    for folder in ("resources", "samples"):
        packed = unpacked / "trainapp" / "_data" / folder
        assert _files_in(packed) == _files_in(root / folder)


def test_it_finds_its_own_data(unpacked: Path, tmp_path: Path) -> None:
    code = "from trainapp.data import resources_path, samples_path; print(resources_path()); print(samples_path())"
    done = _python(unpacked, tmp_path, "-c", code)
    assert done.stdout.split() == [str(unpacked / "trainapp" / "_data" / name) for name in ("resources", "samples")], done.stderr


def test_it_checks_its_own_sample(unpacked: Path, tmp_path: Path) -> None:
    sample = unpacked / "trainapp" / "_data" / "samples" / "lone-alder-farm.train.json"
    done = _python(unpacked, tmp_path, "-m", "trainapp", "check", str(sample), "--json")
    assert done.returncode in (0, 1) and not done.stderr, done.stderr
    assert json.loads(done.stdout)["format"] == "trainapp/check"
