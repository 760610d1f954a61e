"""A stage is dragged: along the train, which changes the order, or along the floor, which changes its place and nothing of the water.

One drag never does both, because the order decides what is in the water and a place does not. What a drag means follows from what
distance means in the picture. While the floor is the program's, x is the order of flow, and a drag moves a stage along the train. Once
the floor is the user's, x is metres, and a drag moves a stage along the floor; let go over a pipe it goes into that pipe. Alt turns
the meaning round for one drag. Nothing needs Alt: some window managers keep it for themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt

from trainapp.desktop.bench import placing, several
from trainapp.desktop.bench.arranging import Floor
from trainapp.desktop.bench.interactions import Gesture
from trainapp.reports.drawing.dimensions import length_text
from trainapp.reports.drawing.display import Tag
from trainapp.train.edits import Edit

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas

#: Px: how near a wall or a neighbour draws a stage on; how far up a stage is taken before a pipe under the pointer counts.
_NEAR, _UP = 8.0, 24.0


class Carry(Gesture):
    """Stages, or the supply, are carried along the train or along the floor."""

    cursor = Qt.CursorShape.ClosedHandCursor

    def __init__(self, canvas: BenchCanvas, start: QPointF, nodes: Sequence[str]) -> None:
        super().__init__(canvas, start)
        self.nodes = list(nodes)
        self.tags: list[Tag] = [canvas.session_tag(node) for node in self.nodes]
        self.edit: Edit | None = None
        self.link: placing.Ends | None = None
        canvas.marks.lift(self.tags)

    def move(self, at: QPointF) -> None:
        canvas, view, model = self.canvas, self.canvas.view, self.canvas.session.model
        if view is None or model is None:
            return
        floor = Floor(model, view, canvas.session.system)
        turned = bool(canvas.modifiers & Qt.KeyboardModifier.AltModifier)
        pipe = self._pipe_at(at) if floor.own and not turned else None
        stand = bool(floor.chosen(self.nodes))
        if pipe is not None or not stand or floor.own == turned:
            self._along_train(at, pipe)
        else:
            self._along_floor(at, floor)

    def _pipe_at(self, at: QPointF) -> placing.Ends | None:
        """The pipe that a stage is held over: it has to be lifted, because risers stand in the way of any drag along the floor."""
        tag = self.canvas.tag_at(at)
        if len(tag) == 3 and tag[0] == "link" and self.start.y() - at.y() > _UP:
            ends = (str(tag[1]), str(tag[2]))
            return None if set(ends) & set(self.nodes) else ends
        return None

    # Along the train ----------------------------------------------------------------------------------------------------------

    def _along_train(self, at: QPointF, pipe: placing.Ends | None) -> None:
        canvas, view = self.canvas, self.canvas.view
        assert view is not None
        stages = [node for node in self.nodes if node != placing.SUPPLY]
        link = pipe or placing.link_at(view, canvas.tag_at(at), canvas.on_bench(at).x())
        self.edit = several.moved(canvas.session.document, stages, link) if link is not None and stages else None
        self.link = link if self.edit is not None else None
        canvas.marks.carry(at - self.start)
        canvas.marks.gap(self.link)
        canvas.hints.foresee(canvas.hints.where(self.link) if self.link else "", self.edit, at)

    # Along the floor ----------------------------------------------------------------------------------------------------------

    def _along_floor(self, at: QPointF, floor: Floor) -> None:
        canvas, view = self.canvas, self.canvas.view
        assert view is not None
        scale, spots = view.spread.scale, floor.chosen(self.nodes)
        # While the floor is the program's it is seen elsewhere than it would stand: it comes to where it is let go.
        shown = view.metres(view.spread.centres[spots[0].node])
        by = (at.x() - self.start.x()) / scale + shown - spots[0].x
        by = floor.held(spots, floor.snapped(self.nodes, by, _NEAR / scale if floor.own else 0.0))
        moves = abs(by) > 1e-4 or not floor.own
        self.link, self.edit = None, floor.moved(self.nodes, by) if moves else None
        there = [spot.at(spot.x + by) for spot in spots]
        canvas.marks.carry(QPointF((there[0].x - shown) * scale, 0.0))
        canvas.marks.footprint([(view.wall + spot.begin * scale, view.wall + spot.end * scale) for spot in there])
        text = f"{length_text(max(there[0].begin, 0.0), canvas.session.system)} from the left wall"
        canvas.hints.foresee(text, self.edit, at)

    def release(self, at: QPointF) -> None:
        self.move(at)
        edit = self.edit
        self.cancel()
        if edit is not None:
            self.canvas.session.edit(edit, select=self.tags[-1], also=tuple(self.tags[:-1]))
