"""Keys of the bench: arrows walk along the train and through the ledger, Return opens a card, plus and minus zoom, A adds here.

With Shift an arrow takes the next stage into the selection; with Ctrl and Shift it nudges what is selected along the floor.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from trainapp.desktop.bench import placing
from trainapp.desktop.bench.sight import STEP
from trainapp.reports.drawing.display import Tag

if TYPE_CHECKING:
    from trainapp.desktop.bench.canvas import BenchCanvas

_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}
_ZOOM = {Qt.Key.Key_Plus: STEP, Qt.Key.Key_Equal: STEP, Qt.Key.Key_Minus: 1 / STEP}
_PAGES = {Qt.Key.Key_PageUp: -1, Qt.Key.Key_PageDown: 1}
_SHIFT, _CTRL, _ALT = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier

#: Part of the view that a page moves.
_PAGE = 0.8


def pressed(canvas: BenchCanvas, event: QKeyEvent) -> bool:
    """Do what a key means; whether it means anything."""
    key, held = Qt.Key(event.key()), event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
    if key == Qt.Key.Key_Escape:
        if not canvas.cancel_gesture():
            canvas.session.select(())
        return True
    if canvas.gesture is not None:
        return _while_dragging(canvas, key, held)
    if canvas.view is None:
        return False
    if key == Qt.Key.Key_Space and not event.isAutoRepeat():
        canvas.hold_space(True)
        return True
    if key in _ARROWS:
        return _arrow(canvas, key, held)
    return held in (Qt.KeyboardModifier.NoModifier, _SHIFT) and _plain(canvas, key, bool(held & _SHIFT))


def released(canvas: BenchCanvas, event: QKeyEvent) -> bool:
    """Let go of what a key held."""
    key = Qt.Key(event.key())
    if key == Qt.Key.Key_Space and not event.isAutoRepeat():
        canvas.hold_space(False)
        return True
    return canvas.gesture is not None and _while_dragging(canvas, key, event.modifiers())


def _while_dragging(canvas: BenchCanvas, key: Qt.Key, held: Qt.KeyboardModifier) -> bool:
    """Alt turns the meaning of a drag round at once, without a move of the pointer."""
    if key != Qt.Key.Key_Alt:
        return False
    canvas.modifiers = held
    if canvas.pointer is not None:
        canvas.moved(canvas.pointer)
    return True


def _plain(canvas: BenchCanvas, key: Qt.Key, shift: bool) -> bool:
    """Keys without an arrow."""
    if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
        canvas.activated.emit()
    elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
        order = _order(canvas)
        canvas.session.select(canvas.session_tag(order[0 if key == Qt.Key.Key_Home else -1]))
    elif key in _ZOOM:
        canvas.sight.zoom_by(_ZOOM[key])
    elif key in _PAGES and canvas.view is not None:
        across, up = (0.0, canvas.view.bands.bench) if shift else (canvas.view.width, 0.0)
        canvas.sight.pan_by(_PAGES[key] * _PAGE * across, _PAGES[key] * _PAGE * up)
    elif key == Qt.Key.Key_A and not shift:
        canvas.add_asked.emit()
    else:
        return False
    return True


def _order(canvas: BenchCanvas) -> list[str]:
    assert canvas.view is not None
    return placing.walk_order(canvas.view, canvas.session.document.outlets)


# Arrows -----------------------------------------------------------------------------------------------------------------------


def _arrow(canvas: BenchCanvas, key: Qt.Key, held: Qt.KeyboardModifier) -> bool:
    right, down = _ARROWS[key]
    if held == _SHIFT and right:
        return _widen(canvas, right)
    if held == (_SHIFT | _CTRL) and right:
        canvas.nudge(right)
        return True
    return not held & ~_ALT and _walk(canvas, right, down, along_pipes=bool(held & _ALT))


def _widen(canvas: BenchCanvas, step: int) -> bool:
    """Take the next stage into the selection, or out of it where it was in."""
    session = canvas.session
    assert canvas.view is not None
    order = [*canvas.view.route.nodes(), *canvas.view.route.loose]
    node = placing.selected_node(session.selection)
    following = placing.neighbour(order, node if node in order else None, step)
    if following is None:
        return False
    tag: Tag = ("stage", following)
    if tag in session.also:
        # Walking back over what was taken in gives it up again.
        session.select(tag, tuple(each for each in session.also if each != tag))
    else:
        session.select(tag, session.chosen)
    return True


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
