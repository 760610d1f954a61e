"""Says beside the pointer where something would land and, once it is worked out, what that would do to the findings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPointF

from trainapp.desktop.bench.forecast import Forecast, Outlook
from trainapp.desktop.bench.placing import Ends
from trainapp.train.edits import Edit

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas


class Hints(QObject):
    """The slip and the foot line of one canvas."""

    def __init__(self, canvas: BenchCanvas) -> None:
        super().__init__(canvas)
        self.canvas = canvas
        self.forecast = Forecast(canvas.session, self)
        self.forecast.ready.connect(self._foreseen)
        self._text = ""
        self._at: QPointF | None = None
        self._below = 0.0

    def where(self, link: Ends | None) -> str:
        """In words, which pipe would open."""
        title = self.canvas.session.title_of
        return f"between {title(link[0])} and {title(link[1])}" if link else ""

    def foresee(self, text: str, edit: Edit | None, at: QPointF, below: float = 0.0) -> None:
        """Say what an edit would do; without one nothing would happen. `below`: px under the pointer that something else takes."""
        self._text, self._at, self._below = text, at if edit is not None else None, below
        self.forecast.ask(edit)
        self._show()

    def clear(self) -> None:
        """Nothing is being done any more."""
        self._text, self._at = "", None
        self.forecast.drop()
        self._show()

    def _foreseen(self, _outlook: Outlook) -> None:
        if self._at is not None:
            self._show()

    def _show(self) -> None:
        outlook = self.forecast.last
        self.canvas.marks.say(self._text, outlook, self._at, self._below)
        self.canvas.hinted.emit(", ".join(filter(None, (self._text, outlook.words if outlook is not None else ""))))
