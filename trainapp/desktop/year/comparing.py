"""What runs beside the train: a menu, and the file that is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFileDialog, QMenu, QWidget

from trainapp.desktop.year.work import Beside

_FILTER = "Trains (*.train.json);;All files (*)"


class CompareMenu(QMenu):
    """One train alone, without pre-treatment, without some of its stages, or beside the train of a file."""

    #: Signal emitted with another :class:`Beside`.
    chosen = Signal(object)

    def __init__(self, now: Beside, stages: Sequence[tuple[str, str]], folder: Path, parent: QWidget) -> None:
        super().__init__("Compare", parent)
        self._now, self._folder = now, folder
        self._put("This train alone", "nothing", now.kind == "nothing")
        self.addSeparator()
        self._put("Without pre-treatment: before and after", "bare", now.kind == "bare")
        self._put("With the train of a file…", "file", now.kind == "file")
        self.addSeparator()
        left = now.stages if now.kind == "without" else ()
        for stage, title in stages:
            self._put(f"Without {title}", f"without {stage}", stage in left)
        self.triggered.connect(self._chosen)
        self.aboutToHide.connect(self.deleteLater)

    def _put(self, text: str, key: str, on: bool) -> None:
        action = self.addAction(text.replace("&", "&&"))
        action.setCheckable(True)
        action.setChecked(on)
        action.setData(key)

    def _chosen(self, action: QAction) -> None:
        kind, _, stage = str(action.data()).partition(" ")
        if kind == "file":
            path = ask_train(self._folder, self.parentWidget())
            if path is not None:
                self.chosen.emit(Beside("file", file=path))
        elif kind == "without":
            self.chosen.emit(toggled(self._now, stage))
        else:
            self.chosen.emit(Beside("bare" if kind == "bare" else "nothing"))


def toggled(now: Beside, stage: str) -> Beside:
    """Leave one stage more out, or not any more."""
    left = now.stages if now.kind == "without" else ()
    stages = tuple(each for each in left if each != stage) if stage in left else (*left, stage)
    return Beside("without", stages) if stages else Beside()


def ask_train(folder: Path, parent: QWidget) -> Path | None:
    """Ask for the file of another train; None where none is wanted."""
    name, _ = QFileDialog.getOpenFileName(parent, "Compare with the train of a file", str(folder), _FILTER)
    return Path(name) if name else None
