"""Breaking text into lines without losing a letter."""

from __future__ import annotations

from trainapp.reports.drawing.display import Measure

#: A word that is too long is broken behind one of these, if there is one.
_SOFT = "-/.,;:_=)]}@·"


def fold(text: str, width: float, size: float, bold: bool, measure: Measure) -> list[str]:
    """Lines no wider than `width`: of whole words where they fit, else of parts of words. At least one line.

    Args:
        text: line ends in it begin new lines.
        width: px, at least as wide as one letter.
    """
    return [line for part in text.splitlines() or [""] for line in _fold(part, width, size, bold, measure)]


def _fold(text: str, width: float, size: float, bold: bool, measure: Measure) -> list[str]:
    lines: list[str] = []
    for word in text.split(" "):
        joined = f"{lines[-1]} {word}" if lines else word
        if measure(joined, size, bold) <= width:
            lines[-1:] = [joined]
            continue
        pieces = broken(word, width, size, bold, measure)
        lines += pieces
    return lines or [""]


def broken(word: str, width: float, size: float, bold: bool, measure: Measure) -> list[str]:
    """A word in pieces that fit, each as long as can be; behind a sign where there is one in its last third."""
    pieces = []
    while measure(word, size, bold) > width and len(word) > 1:
        end = next(i for i in range(len(word), 0, -1) if i == 1 or measure(word[:i], size, bold) <= width)
        soft = max((i + 1 for i in range(end) if word[i] in _SOFT), default=0)
        end = soft if 3 * soft >= 2 * end else end
        pieces.append(word[:end])
        word = word[end:]
    return [*pieces, word]
