"""What is seen of the bench: panning, zooming to the cursor, fitting, and bringing what is selected into sight."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF

from trainapp.desktop.bench import placing
from trainapp.reports.drawing.display import Box, Tag
from trainapp.reports.drawing.floor import SCALE_FULL, SCALE_ZOOMED
from trainapp.reports.drawing.layers import Pan
from trainapp.reports.drawing.view import View

if TYPE_CHECKING:
    from trainapp.desktop.bench.pane import BenchPane

#: One notch of the wheel, one press of a key.
STEP = 1.2

#: Px that are kept free around what is brought into sight.
_AROUND = 24.0


class Sight:
    """Moves and enlarges what a canvas shows. The canvas's options hold how; nothing of it is in the document."""

    def __init__(self, canvas: BenchPane) -> None:
        self.canvas = canvas

    @property
    def percent(self) -> int:
        """How large the bench is shown; 100 is half an inch to the foot."""
        view = self.canvas.view
        return round(100 * view.spread.scale / SCALE_FULL) if view is not None else 100

    # Panning ------------------------------------------------------------------------------------------------------------------

    def pan_to(self, pan: Pan) -> None:
        """Show another part; held to what there is. Nothing is laid out for it."""
        canvas = self.canvas
        if canvas.view is None:
            return
        moved = canvas.view.panned(Pan(float(round(pan.x)), float(round(pan.y)), float(round(pan.scroll))))
        if moved.pan != canvas.view.pan:
            canvas.show_panned(moved)

    def pan_by(self, x: float, y: float) -> None:
        """Move sideways, and the bench up and down where it is higher than its band, else the bands."""
        view = self.canvas.view
        if view is None:
            return
        if view.most.y > 0:
            self.pan_to(replace(view.pan, x=view.pan.x + x, y=view.pan.y - y))
        else:
            self.pan_to(replace(view.pan, x=view.pan.x + x, scroll=view.pan.scroll + y))

    def reveal(self, tag: Tag) -> None:
        """Bring something into sight, moving no farther than it takes."""
        view = self.canvas.view
        if view is None or not tag:
            return
        pan = view.pan
        for name in ("bench", "bands"):
            group = view.layer(name).groups.get(tag)  # type: ignore[arg-type]
            if group is None or not group.areas:
                continue
            area = _around(group.areas)
            left, right = (0.0, view.width) if name == "bench" else placing.band_edges(view)
            pan = replace(pan, x=_nearest(pan.x, area.x - _AROUND, area.right + _AROUND, left, right))
            if name == "bench" and view.most.y > 0:
                top, bottom = view.bands_top - view.bands.names - view.bands.bench, view.floor
                pan = replace(pan, y=-_nearest(-pan.y, area.y - _AROUND, area.bottom, top, bottom))
            if name == "bands" and view.most.scroll > 0:
                pan = replace(pan, scroll=_nearest(pan.scroll, area.y - 4.0, area.bottom + 4.0, view.bands_top, view.top + view.height))
            break
        self.pan_to(pan)

    # Zooming ------------------------------------------------------------------------------------------------------------------

    def fit(self) -> None:
        """Show the whole train: as large as it fits, smaller than can be read where it is that long."""
        view = self.canvas.view
        self._show(min(view.least / view.fit, 1.0) if view is not None and view.wide else 1.0, Pan())

    def full_size(self) -> None:
        """Show it at 100 %."""
        # Twice: the bar to scroll with, which may come along, takes height from what fits.
        for _ in range(2):
            if self.canvas.view is not None:
                self.zoom_to(SCALE_FULL / self.canvas.view.fit, self._middle())

    def zoom_by(self, factor: float, at: QPointF | None = None) -> None:
        """Show it larger or smaller; what is at a point of the view stays there, without a point what is selected, or the middle."""
        self.zoom_to(self.canvas.options.zoom * factor, at or self._middle())

    def zoom_to(self, zoom: float, at: QPointF) -> None:
        """Show it so many times as large as where it fits."""
        before = self.canvas.view
        if before is None:
            return
        zoom = min(max(zoom, before.least / before.fit), SCALE_ZOOMED / before.fit)
        place = placing.place_at(before, at.x() + before.pan.x)
        height = (before.floor + before.pan.y - at.y()) / before.spread.scale
        self.canvas.options = replace(self.canvas.options, zoom=zoom, pan_x=0.0, pan_y=0.0)
        self.canvas.relayout()
        after = self.canvas.view
        if after is not None:
            y = at.y() - after.floor + height * after.spread.scale if at.y() < after.bands_top else before.pan.y
            self.pan_to(Pan(placing.x_of(after, place) - at.x(), y, before.pan.scroll))

    def fit_selected(self) -> None:
        """Show what is selected as large as it fits; the whole train where nothing is."""
        view, tags = self.canvas.view, self.canvas.session.chosen
        areas = [area for tag in tags if view is not None and (group := view.find(tag)) is not None for area in group.areas]
        if view is None or not areas:
            self.fit()
            return
        around = _around(areas)
        room_x, room_y = view.width - 2 * _AROUND - placing.band_edges(view)[0], view.bands.bench - 2 * _AROUND
        factor = min(room_x / max(around.w, 1.0), room_y / max(around.h, 1.0))
        middle = QPointF(around.x + around.w / 2 - view.pan.x, around.y + around.h / 2 + view.pan.y)
        self.zoom_to(self.canvas.options.zoom * factor, middle)
        self._centre(tags)

    def _centre(self, tags: tuple[Tag, ...]) -> None:
        """Bring things into the middle of the bench."""
        view = self.canvas.view
        if view is None:
            return
        areas = [area for tag in tags if (group := view.find(tag)) is not None for area in group.areas]
        if areas:
            around = _around(areas)
            left, right = placing.band_edges(view)
            top = view.floor - view.bands.bench
            x, y = around.x + around.w / 2 - (left + right) / 2, top + view.bands.bench / 2 - (around.y + around.h / 2)
            self.pan_to(Pan(x, y, view.pan.scroll))

    def _middle(self) -> QPointF:
        """The point that stays when a key zooms."""
        view = self.canvas.view
        if view is None:
            return QPointF()
        group = view.find(self.canvas.session.selection) if self.canvas.session.selection else None
        if group is not None and group.areas:
            area = _around(group.areas)
            return QPointF(area.x + area.w / 2 - view.pan.x, area.y + area.h / 2 + view.pan.y)
        return QPointF(view.width / 2, view.floor - view.bands.bench / 2)

    def _show(self, zoom: float, pan: Pan) -> None:
        self.canvas.options = replace(self.canvas.options, zoom=zoom, pan_x=pan.x, pan_y=pan.y, scroll=pan.scroll)
        self.canvas.relayout()


def _around(areas: tuple[Box, ...] | list[Box]) -> Box:
    left, top = min(area.x for area in areas), min(area.y for area in areas)
    return Box(left, top, max(area.right for area in areas) - left, max(area.bottom for area in areas) - top)


def _nearest(now: float, low: float, high: float, begin: float, end: float) -> float:
    """The pan nearest to the one there is at which [low, high] is seen between two edges of the view; its beginning where it is longer."""
    if low - now < begin or high - low > end - begin:
        return low - begin
    return high - end if high - now > end else now


def visible(view: View) -> Box:
    """What is seen of the bench, in its own px."""
    return Box(view.pan.x, view.floor - view.bands.bench - view.pan.y, view.width, view.bands.bench)
