"""Which keys do what: those of the table of commands, and those that the user has given instead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QKeySequence

from trainapp.desktop.actions import COMMANDS
from trainapp.desktop.command import Command
from trainapp.desktop.prefs import Prefs
from trainapp.spelling import inside

#: What keys and mouse do where they have no command of their own.
ELSEWHERE: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        "On the bench",
        (
            ("Walk along the train", "Left, Right"),
            ("Take the next stage into the selection", "Shift+Left, Shift+Right"),
            ("Nudge what is selected along the floor", "Ctrl+Shift+Left, Ctrl+Shift+Right"),
            ("To the pipe between two stages", "Alt+Left, Alt+Right"),
            ("To the first stage, to the last", "Home, End"),
            ("Down into the water, up again", "Down, Up"),
            ("Show the card of what is selected", "Return"),
            ("Add here", "A"),
            ("Zoom in, zoom out", "+, -"),
            ("Move the view sideways", "PgUp, PgDown"),
            ("Move the view up and down", "Shift+PgUp, Shift+PgDown"),
            ("Give up a drag, select nothing", "Esc"),
        ),
    ),
    (
        "On the bench, by mouse",
        (
            ("Zoom to the pointer", "Ctrl+wheel"),
            ("Move the view", "wheel, Shift+wheel, middle button, Space+drag"),
            ("Take into the selection, or out of it", "Shift+click, Ctrl+click"),
            ("Select several", "drag over the floor"),
            ("Order instead of floor, or the other way round", "Alt+drag"),
            ("Menu of what is selected", "right button"),
        ),
    ),
    (
        "In lists",
        (
            ("From finding to finding", "Down, Up"),
            ("Open or close a finding", "Return"),
            ("Add what is selected on the shelf", "Return"),
            ("Leave a field as it was", "Esc"),
        ),
    ),
    (
        "In a lesson",
        (
            ("The next thing, the last one away", "Right, PgDown, Left, PgUp"),
            ("Count a guess, take the last one back", "1, Backspace"),
            ("Play the clock, hold it", "Space"),
            ("Show something to try", "T"),
            ("Change what has the keyboard", "Up, Down"),
            ("Leave the lesson", "Esc"),
        ),
    ),
)
_PORTABLE = QKeySequence.SequenceFormat.PortableText
#: Modifiers with which a letter is no longer typed into a field.
_HELD = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
_TYPED_ALONE = (Qt.Key.Key_Delete, Qt.Key.Key_Insert, *(Qt.Key(Qt.Key.Key_F1.value + i) for i in range(24)))


class Bindings(QObject):
    """Tells every window of the application that keys have changed."""

    #: Signal emitted when a command has another key.
    changed = Signal()


@cache
def bindings() -> Bindings:
    """The application's."""
    return Bindings()


def sequence(keys: str) -> QKeySequence:
    """A shortcut from its portable text."""
    return QKeySequence(keys, _PORTABLE)


def native(keys: str) -> str:
    """A shortcut as this system writes it."""
    return sequence(keys).toString(QKeySequence.SequenceFormat.NativeText) or keys


def keys_of(command: Command, own: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The keys of a command, the user's own before those of the table."""
    return own.get(command.id, command.keys)


def sequences(command: Command, prefs: Prefs) -> list[QKeySequence]:
    """The same as Qt takes them."""
    return [sequence(keys) for keys in keys_of(command, prefs.keys)]


def refusal(command: Command, keys: str, own: Mapping[str, tuple[str, ...]]) -> str:
    """Why a command cannot have a key, one sentence; "" where it can."""
    wanted = sequence(keys)
    if wanted.isEmpty() or wanted.count() != 1:
        return f"{keys or 'Nothing'} is no key of its own"
    pressed = wanted[0]
    if not pressed.keyboardModifiers() & _HELD and pressed.key() not in _TYPED_ALONE:
        return f"{native(keys)} alone is typed into fields: take it with Ctrl or Alt, or take a function key"
    for text, taken in _on_the_bench():
        if sequence(taken) == wanted:
            return f"{native(keys)} belongs to the bench already: {inside(text)}"
    for other in COMMANDS:
        meets = not other.view or not command.view or other.view == command.view
        if other.id != command.id and meets and any(sequence(its) == wanted for its in keys_of(other, own)):
            return f"{native(keys)} belongs to “{name_of(other)}” already"
    return ""


def change(prefs: Prefs, command: Command, keys: Iterable[str]) -> str:
    """Give a command these keys, none of them for no key at all; why not, where one cannot be had.

    Keys that are those of the table are not kept as one's own.
    """
    own, wanted = dict(prefs.keys), tuple(keys)
    problem = next((said for text in wanted if (said := refusal(command, text, own))), "")
    if problem:
        return problem
    own.pop(command.id, None)
    if wanted != command.keys:
        own[command.id] = wanted
    prefs.keys = own
    bindings().changed.emit()
    return ""


def reset_all(prefs: Prefs) -> None:
    """Give every command the keys of the table again."""
    prefs.keys = {}
    bindings().changed.emit()


def name_of(command: Command) -> str:
    """A command inside a sentence."""
    return command.text.replace("…", "")


def _on_the_bench() -> Iterable[tuple[str, str]]:
    return ((text, part.strip()) for text, keys in ELSEWHERE[0][1] for part in keys.split(","))
