"""What the bench of the window costs: `python tests/benchmarks/bench.py`. Exit status 1 where a gate is missed.

The unit of time is that of train.py: a fixed piece of plain Python work, timed in turns with what is measured, so that a slow machine,
or a busy one, stretches the gates with it.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from tests.benchmarks.train import UNIT_MS, unit
from tests.train.trains import chain, document, stage, twelve_stages
from trainapp.desktop import fonts
from trainapp.desktop.bench.canvas import BenchCanvas
from trainapp.desktop.prefs import Prefs
from trainapp.desktop.session import Session
from trainapp.desktop.window import Window
from trainapp.train.document import Document
from trainapp.train.edits import ChangeSetting

#: Milliseconds from an edit to repainted findings, by number of stages; of one frame while 200 stages are panned: 60 a second.
EDIT_GATES_MS = {12: 60.0, 60: 200.0}
FRAME_GATE_MS, PANNED = 1000.0 / 60.0, 200
ROUNDS, FRAMES = 9, 60

_KINDS = (
    ("sediment_cartridge", {"rating": "50 um"}),
    ("carbon_bed", {}),
    ("softener", {"resin_volume": "2 ft3"}),
    ("iron_filter", {"media": "manganese_greensand", "oxidant": "chlorine"}),
    ("flow_control", {"flow": "9 gpm"}),
)


def long_train(count: int) -> Document:
    """A train of so many stages of several kinds."""
    stages = [stage(f"s{i}", _KINDS[i % 5][0], **_KINDS[i % 5][1]) for i in range(count)]
    return document(stages, chain("supply", *(s["id"] for s in stages), "house"))


def shown(train: Document, folder: Path) -> Window:
    """A window of 1440 x 900 on a train."""
    window = Window(Prefs(QSettings(str(folder / "prefs.ini"), QSettings.Format.IniFormat)))
    window.resize(1440, 900)
    window.show()
    window.show_session(Session(train))
    settle()
    return window


def settle() -> None:
    """Let everything that is due be painted."""
    for _ in range(3):
        QApplication.processEvents()


def paced(work: Callable[[], object], rounds: int) -> float:
    """Middle milliseconds of one call at the reference pace: each call is held against the yardstick beside it."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        spent = time.perf_counter() - start
        start = time.perf_counter()
        unit()
        times.append(spent / (time.perf_counter() - start))
    return statistics.median(times) * UNIT_MS


class Editing:
    """Types another salt dose, or another media depth, and has everything repainted."""

    def __init__(self, window: Window) -> None:
        assert window.session is not None
        self.session = window.session
        self.stage = next(s.id for s in self.session.document.stages if s.kind == "softener")
        self.count = 0

    def __call__(self) -> None:
        self.count += 1
        assert self.session.edit(ChangeSetting(stage=self.stage, key="salt_dose", value=f"{6 + self.count % 7} lb/ft3"))
        QApplication.processEvents()


class Panning:
    """Moves the bench by a few px and paints the frame."""

    def __init__(self, canvas: BenchCanvas) -> None:
        self.canvas, self.step = canvas, 17.0

    def __call__(self) -> None:
        view = self.canvas.view
        assert view is not None
        if not 0 < view.pan.x + self.step < view.most.x:
            self.step = -self.step
        self.canvas.sight.pan_by(self.step, 0.0)
        self.canvas.viewport().repaint()


def main(folder: Path) -> int:
    """Run all; 0 where every gate holds."""
    application = QApplication([])
    application.setStyle("fusion")
    fonts.install(application)
    missed = 0
    for count, gate in EDIT_GATES_MS.items():
        window = shown(twelve_stages() if count == 12 else long_train(count), folder)
        edit = Editing(window)
        edit()
        spent = paced(edit, ROUNDS)
        missed += spent > gate
        print(f"{count} stages, edit to repainted findings: {spent:.1f} ms at the reference pace (gate {gate:.0f})")
        edit.session.stack.setClean()
        window.close()
    window = shown(long_train(PANNED), folder)
    assert window.workspace is not None
    pan = Panning(window.workspace.canvas)
    pan()
    spent = paced(pan, FRAMES)
    missed += spent > FRAME_GATE_MS
    print(f"{PANNED} stages, one frame of panning: {spent:.1f} ms at the reference pace (gate {FRAME_GATE_MS:.1f})")
    window.close()
    return int(missed > 0)


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as place:
        sys.exit(main(Path(place)))
