"""Python's collector of reference circles, on the window's thread alone.

Left to itself it runs on whichever thread happens to allocate, workers included, and then takes objects of Qt apart there. But these
belong to the thread that made them, and to delete one elsewhere can crash much later.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

#: Milliseconds between two looks at how much there is to collect.
INTERVAL = 1000


class Collector(QObject):
    """Takes over from the automatic collector for as long as it lives."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        self._timer = QTimer(self)
        self._timer.setInterval(INTERVAL)
        self._timer.timeout.connect(tidy)
        self._timer.start()

    def stop(self) -> None:
        """Give the work back."""
        self._timer.stop()
        gc.enable()


def tidy() -> None:
    """Collect the generations that are due, by the limits that the automatic collector has; on the window's thread."""
    for generation in (2, 1, 0):
        if gc.get_count()[generation] > gc.get_threshold()[generation]:
            gc.collect(generation)
            return
