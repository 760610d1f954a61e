"""What a class sees of a lesson: texts with their places on the screen."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from trainapp.desktop.fonts import measure
from trainapp.desktop.lessons.player import Player
from trainapp.reports.drawing.display import Box, texts


def press(player: Player, *keys: Qt.Key) -> None:
    """Press keys where the keyboard is."""
    for each in keys:
        QTest.keyClick(player.focusWidget() or player, each)


def written(player: Player) -> list[tuple[str, float, Box]]:
    """Every text on the board, its height of letters and its box, in px of the screen."""
    assert player.places is not None
    whole = player.places.scale
    found = []
    for part in player.board.parts():
        scale = whole * part.scale
        for text, _ in texts(part.display.items):
            if text.text:
                box = text.box(measure)
                place = Box(whole * part.x + scale * box.x, whole * part.y + scale * box.y, scale * box.w, scale * box.h)
                found.append((text.text, scale * text.size, place))
    return found


def words(player: Player) -> str:
    """All that stands on the board, in one line."""
    return " ".join(text for text, _, _ in written(player))


def to(player: Player, thing: str) -> None:
    """Go on by Right until something is in sight."""
    while not player.walk.shows(thing):  # type: ignore[arg-type]
        press(player, Qt.Key.Key_Right)
