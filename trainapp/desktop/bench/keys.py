"""Keys of the bench: arrows walk along the train and through the ledger, Return opens a card."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from trainapp.desktop.bench import placing
from trainapp.reports.drawing.display import Tag

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas

_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}
#: A pipe is walked to between its two nodes with Alt.
_ALONG_PIPES = Qt.KeyboardModifier.AltModifier


def pressed(canvas: BenchCanvas, event: QKeyEvent) -> bool:
    """Do what a key means; whether it means anything."""
    key = Qt.Key(event.key())
    if key == Qt.Key.Key_Escape:
        if not canvas.cancel_gesture():
            canvas.session.select(())
        return True
    if canvas.gesture is not None or canvas.view is None:
        return False
    if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
        canvas.activated.emit()
        return True
    if key in (Qt.Key.Key_Home, Qt.Key.Key_End):
        order = _order(canvas)
        canvas.session.select(canvas.session_tag(order[0 if key == Qt.Key.Key_Home else -1]))
        return True
    if key in _ARROWS and not event.modifiers() & ~(_ALONG_PIPES | Qt.KeyboardModifier.KeypadModifier):
        return _walk(canvas, *_ARROWS[key], along_pipes=bool(event.modifiers() & _ALONG_PIPES))
    return False


def _order(canvas: BenchCanvas) -> list[str]:
    assert canvas.view is not None
    return placing.walk_order(canvas.view, canvas.session.document.outlets)


def _walk(canvas: BenchCanvas, right: int, down: int, along_pipes: bool) -> bool:
    selection = canvas.session.selection
    target = _from_cell(canvas, right, down) if selection[:1] == ("cell",) else _from_node(canvas, selection, right, down, along_pipes)
    if target is not None:
        canvas.session.select(target)
    return target is not None


def _from_cell(canvas: BenchCanvas, right: int, down: int) -> Tag | None:
    """Another cell; from the uppermost up to the stage that the column belongs to."""
    assert canvas.view is not None
    selection = canvas.session.selection
    found = placing.walk_cells(canvas.view, selection, right, down)
    if found is None and down < 0:
        return canvas.session_tag(str(selection[2]))
    return found


def _from_node(canvas: BenchCanvas, selection: Tag, right: int, down: int, along_pipes: bool) -> Tag | None:
    assert canvas.view is not None
    document = canvas.session.document
    if selection[:1] == ("link",):
        return canvas.session_tag(str(selection[2 if right > 0 else 1])) if right else None
    node = placing.selected_node(selection)
    if down:
        return placing.first_cell(canvas.view, node) if down > 0 and node is not None else None
    if along_pipes and node is not None:
        pipes = placing.out_of(document, node) if right > 0 else placing.into(document, node)
        return ("link", *pipes[0]) if pipes else None
    following = placing.neighbour(_order(canvas), node, right)
    return canvas.session_tag(following) if following is not None else None
