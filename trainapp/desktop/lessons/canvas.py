"""The board on the screen: the drawing of a lesson, with its trains and its chart in their places."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from trainapp.desktop.fonts import measure
from trainapp.desktop.lessons.board import Screen, bench_box, board
from trainapp.desktop.lessons.places import Places
from trainapp.desktop.painter import HINTS, Stroke, play, recorded, saved
from trainapp.desktop.theme import look
from trainapp.reports.drawing.display import Display, texts
from trainapp.reports.print_pages import Placed


class Board(QWidget):
    """Paints what is in sight. It takes no mouse and no keys."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.screen_shown: Screen | None = None
        self.places: Places | None = None
        self.benches: tuple[tuple[Placed, ...], ...] = ()
        self.chart: Display | None = None
        self._board: Display | None = None
        self._kept: dict[int, tuple[Display, list[Stroke]]] = {}
        look().changed.connect(self._forget)

    def show_screen(self, screen: Screen, places: Places, benches: tuple[tuple[Placed, ...], ...], chart: Display | None) -> None:
        """Show something else."""
        self.benches, self.chart = benches, chart
        if (screen, places) != (self.screen_shown, self.places) or self._board is None:
            self.screen_shown, self.places = screen, places
            self._board = board(screen, places, measure)
            self.setAccessibleName(screen.title)
            self.setAccessibleDescription(" ".join(text.text for text, _ in texts(self._board.items) if text.text))
        shown = {id(part.display) for part in self.parts()}
        self._kept = {key: kept for key, kept in self._kept.items() if key in shown}
        self.update()

    def parts(self) -> list[Placed]:
        """Every drawing that is in sight with its place, px at 100 %."""
        screen, places = self.screen_shown, self.places
        if screen is None or places is None or self._board is None:
            return []
        found = [Placed(self._board, 0.0, 0.0)]
        for card, parts, box in zip(screen.cards, self.benches, places.cards, strict=True):
            inner = bench_box(box)
            for part in parts if card is not None else ():
                found.append(Placed(part.display, inner.x + part.x, inner.y + part.y, part.scale))
        if screen.chart and not screen.point and self.chart is not None:
            found.append(Placed(self.chart, places.chart.x, places.chart.y))
        return found

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), look().colour("sheet"))
        if self.places is None:
            return
        painter.scale(self.places.scale, self.places.scale)
        for part in self.parts():
            with saved(painter):
                painter.translate(part.x, part.y)
                painter.scale(part.scale, part.scale)
                painter.setClipRect(QRectF(0.0, 0.0, part.display.width, part.display.height))
                for hint in HINTS:
                    painter.setRenderHint(hint)
                play(painter, self._strokes(part.display))

    def _strokes(self, display: Display) -> list[Stroke]:
        """How a drawing is painted; kept as long as it is shown, because letters and trains outlast many pictures of the clock."""
        found = self._kept.get(id(display))
        if found is None or found[0] is not display:
            found = self._kept[id(display)] = display, recorded(display.items, look().colour, crisp=False)
        return found[1]

    def _forget(self) -> None:
        """Colours are others."""
        self._kept.clear()
