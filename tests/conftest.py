"""What every test shares. Runs before Qt is loaded: no display is needed, and nothing of the user's is touched."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import settings

os.environ["QT_QPA_PLATFORM"] = "offscreen"
# Qt warns, and a warning fails a test, where a bare machine has no UTF-8 locale or no runtime folder.
if "utf-8" not in (os.environ.get("LC_ALL") or os.environ.get("LC_CTYPE") or os.environ.get("LANG") or "").lower().replace("utf8", "utf-8"):
    os.environ["LC_ALL"] = "C.UTF-8"
_HOME = tempfile.TemporaryDirectory(prefix="trainapp-tests-")
for _name in ("XDG_RUNTIME_DIR", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
    _folder = Path(_HOME.name, _name.lower())
    _folder.mkdir(mode=0o700)
    os.environ[_name] = str(_folder)

# The gate does not roll dice: the same examples every time, and no deadline on a shared machine.
settings.register_profile("house", max_examples=25, deadline=None, derandomize=True)
settings.load_profile("house")

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(autouse=True)
def _fonts_of_the_machine() -> Iterator[None]:
    """What one test drew without a font for it is not said in the next: a bare machine has few fonts."""
    yield
    glyphs = sys.modules.get("trainapp.reports.drawing.glyphs")
    if glyphs is not None:
        glyphs.take_unshown()


@pytest.fixture(scope="session")
def root() -> Path:
    """The checkout."""
    return ROOT


@pytest.fixture(scope="session")
def farm_well(root: Path) -> Path:
    """The sample site of the README: a farm well with its full train."""
    return root / "samples" / "lone-alder-farm.train.json"


@pytest.fixture
def year_prompt(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., tuple[int, str, str]]:
    """Runs `trainapp year` in this process: status, output, errors."""
    from trainapp import cli

    def command(*words: str | Path) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["trainapp", "year", *map(str, words)])
        capfd.readouterr()
        with pytest.raises(SystemExit) as ended:
            cli.main()
        told = capfd.readouterr()
        assert isinstance(ended.value.code, int)
        return ended.value.code, told.out, told.err

    return command
