"""What the code of the window must not do: write colours, keep objects alive in slots, load the engine before it is seen."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from trainapp.desktop.app import unusable_screen


def modules(root: Path) -> Iterator[Path]:
    return (root / "trainapp" / "desktop").rglob("*.py")  # type: ignore[return-value]


def test_no_colour_is_written(root: Path) -> None:
    found = [
        f"{path.name}:{number}"
        for path in modules(root)
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if re.search(r"#[0-9a-fA-F]{6}\b|QColor\(\s*\d|GlobalColor|Qt\.(red|blue|black|white|gray)\b|setStyleSheet", line)
    ]
    assert found == []


def test_no_slot_is_a_lambda_or_a_partial(root: Path) -> None:
    """They keep what they hold alive as long as the sender (50 of 50 widgets, measured; bound methods none)."""
    found = [
        f"{path.name}:{node.lineno}"
        for path in modules(root)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "connect"
        for argument in node.args
        if isinstance(argument, ast.Lambda) or (isinstance(argument, ast.Call) and "partial" in ast.dump(argument.func))
    ]
    assert found == []


def test_a_bound_slot_is_caught_where_it_is_none() -> None:
    tree = ast.parse("button.clicked.connect(lambda: self.go())\nbutton.clicked.connect(partial(self.go, 1))")
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "connect"]
    assert [type(call.args[0]) for call in calls] == [ast.Lambda, ast.Call]


def test_the_window_is_there_before_the_engine(tmp_path: Path) -> None:
    code = """
import sys
from trainapp.desktop import app
from trainapp.desktop.prefs import Prefs
from PySide6.QtCore import QSettings
application = app.make_application([])
prefs = Prefs(QSettings(sys.argv[1], QSettings.Format.IniFormat))
documents = app.Documents(prefs)
window = documents.open(None, first_run=True)
assert window.isVisible()
heavy = {'numpy', 'pydantic', 'networkx', 'matplotlib', 'pint', 'fluids'} & set(sys.modules)
assert not heavy, heavy
application.processEvents()
assert window.session is not None
late = {'matplotlib', 'pint', 'scipy'} & set(sys.modules)
assert not late, late
"""
    done = subprocess.run([sys.executable, "-c", code, str(tmp_path / "prefs.ini")], capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr


def test_without_a_display_one_sentence_says_so() -> None:
    code = "import sys; from trainapp.desktop.app import run; sys.exit(run(None))"
    bare = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, env=bare)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1 and done.stderr.startswith("there is no display")


def test_a_missing_library_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(name: str) -> None:
        raise OSError("libxcb-cursor.so.0: cannot open shared object file: No such file or directory")

    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.delenv("QT_QPA_PLATFORM", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    monkeypatch.setenv("DISPLAY", ":99")
    monkeypatch.setattr("ctypes.CDLL", refuse)
    assert "libxcb-cursor.so.0" in unusable_screen()
