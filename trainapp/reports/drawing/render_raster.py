"""The display list as an image in memory, for animations: each picture in a few hundredths of a second.

It is drawn at twice its size and made smaller, which smooths its edges. Single pictures are written by
:mod:`~trainapp.reports.drawing.render_mpl`, which sets type better.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from math import ceil, hypot
from pathlib import Path as FilePath
from typing import TYPE_CHECKING

from trainapp.reports.drawing.display import (
    Box,
    Circle,
    Dash,
    Display,
    Dots,
    Group,
    Line,
    Path,
    Point,
    Polyline,
    Rect,
    Shape,
    Strokes,
    Text,
)
from trainapp.reports.drawing.fallback import Fallback, fallbacks, letters
from trainapp.reports.drawing.glyphs import bundled, runs, words
from trainapp.reports.drawing.tokens import THEMES, Theme

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFont import FreeTypeFont

#: Times its size at which a picture is drawn.
FINE = 2
#: Straight pieces that a curve is drawn as.
_PIECES = 8


def image(display: Display, theme: str = "light") -> Image:
    """The drawing as an image of whole px, its size rounded up."""
    from PIL import Image

    tokens = THEMES[theme]
    size = (max(ceil(display.width), 1), max(ceil(display.height), 1))
    large = Image.new("RGB", (FINE * size[0], FINE * size[1]), tokens[display.ground])
    _Brush(large, tokens, fallbacks(words((display,)))).all(display.items)
    return large.resize(size, Image.Resampling.BOX)


@cache
def _font(px: int, path: FilePath) -> FreeTypeFont:
    from PIL import ImageFont

    return ImageFont.truetype(str(path), px)


class _Brush:
    """Draws shapes in order on an image that is `FINE` times as large as they say."""

    def __init__(self, target: Image, tokens: Theme, fonts: tuple[Fallback, ...]) -> None:
        from PIL import ImageDraw

        self.target, self.tokens, self.fonts = target, tokens, fonts
        self.draw = ImageDraw.Draw(target)

    def all(self, shapes: Sequence[Shape]) -> None:
        for shape in shapes:
            self.shape(shape)

    def shape(self, shape: Shape) -> None:
        if isinstance(shape, Group):
            self.group(shape)
        elif isinstance(shape, Text):
            self.text(shape)
        elif isinstance(shape, Line):
            self.stroke([(shape.x1, shape.y1), (shape.x2, shape.y2)], shape.token, shape.width, shape.dash)
        elif isinstance(shape, Rect):
            self.rect(shape)
        elif isinstance(shape, Circle):
            box = [FINE * v for v in (shape.x - shape.r, shape.y - shape.r, shape.x + shape.r, shape.y + shape.r)]
            self.draw.ellipse(box, self.colour(shape.fill), self.colour(shape.stroke), self.width(shape.width) if shape.stroke else 0)
        elif isinstance(shape, Polyline):
            self.polyline(shape)
        elif isinstance(shape, Path):
            outline = list(_flat(shape.commands))
            self.polyline(Polyline(tuple(outline), shape.stroke, shape.width, (), shape.fill, True, True))
        else:
            self.grains(shape)

    def text(self, shape: Text) -> None:
        px, files = round(FINE * shape.size), [bundled(shape.bold), *(font.path for font in self.fonts)]
        parts = [(part, _font(px, files[at])) for part, at in runs(shape.text, letters(self.fonts))]
        x = FINE * shape.x
        if len(parts) == 1:
            anchor = {"start": "ls", "middle": "ms", "end": "rs"}[shape.anchor]
            self.draw.text((x, FINE * shape.y), shape.text, self.tokens[shape.token], parts[0][1], anchor)
            return
        x -= {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.anchor] * sum(font.getlength(part) for part, font in parts)
        for part, font in parts:
            self.draw.text((x, FINE * shape.y), part, self.tokens[shape.token], font, "ls")
            x += font.getlength(part)

    def group(self, group: Group) -> None:
        if group.clip is None:
            self.all(group.items)
            return
        left, top, right, bottom = _area(group.clip, self.target.size)
        if right <= left or bottom <= top:
            return
        inner = self.target.copy()
        _Brush(inner, self.tokens, self.fonts).all(group.items)
        self.target.paste(inner.crop((left, top, right, bottom)), (left, top))

    def rect(self, rect: Rect) -> None:
        x, y, right, bottom = FINE * rect.x, FINE * rect.y, FINE * (rect.x + rect.w), FINE * (rect.y + rect.h)
        if right < x or bottom < y:
            return
        if rect.dash:
            corners = ((rect.x, rect.y), (rect.x + rect.w, rect.y), (rect.x + rect.w, rect.y + rect.h), (rect.x, rect.y + rect.h))
            self.polyline(Polyline(corners, rect.stroke, rect.width, rect.dash, rect.fill, True))
            return
        fill, stroke, width = self.colour(rect.fill), self.colour(rect.stroke), self.width(rect.width) if rect.stroke else 0
        half = width / 2
        box = (x - half, y - half, right + half, bottom + half)
        corner = FINE * min(rect.corner, rect.w / 2, rect.h / 2)
        if corner > 0:
            self.draw.rounded_rectangle(box, corner + half, fill, stroke, width)
        else:
            self.draw.rectangle((box[0], box[1], max(box[2] - 1, box[0]), max(box[3] - 1, box[1])), fill, stroke, width)

    def polyline(self, line: Polyline) -> None:
        points = [*line.points, line.points[0]] if line.closed else list(line.points)
        if line.fill and len(line.points) > 2:
            self.draw.polygon([(FINE * x, FINE * y) for x, y in line.points], self.colour(line.fill))
        if line.stroke:
            self.stroke(points, line.stroke, line.width, line.dash)

    def stroke(self, points: Sequence[Point], token: str, width: float, dash: Dash) -> None:
        if not token:
            return
        for run in _dashed(points, dash) if dash else (points,):
            self.draw.line([(FINE * x, FINE * y) for x, y in run], self.colour(token), self.width(width), "curve" if len(run) > 2 else None)

    def grains(self, shape: Dots | Strokes) -> None:
        colour = self.colour(shape.token)
        if isinstance(shape, Dots):
            r = FINE * shape.r
            for x, y in shape.points:
                cx, cy = FINE * (shape.x + x), FINE * (shape.y + y)
                self.draw.ellipse((cx - r, cy - r, cx + r, cy + r), colour)
            return
        for a, b, c, d in shape.segments:
            ends = [FINE * v for v in (shape.x + a, shape.y + b, shape.x + c, shape.y + d)]
            self.draw.line(ends, colour, self.width(shape.width))

    def colour(self, token: str) -> str | None:
        return self.tokens[token] if token else None

    @staticmethod
    def width(px: float) -> int:
        return max(round(FINE * px), 1)


def _area(clip: Box, size: tuple[int, int]) -> tuple[int, int, int, int]:
    """A clip in px of the image, held to it."""
    left, top = max(round(FINE * clip.x), 0), max(round(FINE * clip.y), 0)
    return left, top, min(round(FINE * clip.right), size[0]), min(round(FINE * clip.bottom), size[1])


def _flat(commands: Sequence[tuple[str | float, ...]]) -> Iterator[Point]:
    """An outline as straight pieces."""
    x = y = 0.0
    for command in commands:
        n = [float(part) for part in command[1:]]
        if command[0] == "Q":
            for i in range(1, _PIECES + 1):
                t = i / _PIECES
                u = 1.0 - t
                yield u * u * x + 2 * u * t * n[0] + t * t * n[2], u * u * y + 2 * u * t * n[1] + t * t * n[3]
        elif n:
            yield n[0], n[1]
        if n:
            x, y = n[-2], n[-1]


def _dashed(points: Sequence[Point], dash: Dash) -> Iterator[list[Point]]:
    """The drawn stretches of a dashed line through points."""
    i, left, run = 0, dash[0], [points[0]]
    for (x1, y1), (x2, y2) in zip(points, points[1:], strict=False):
        length, at = hypot(x2 - x1, y2 - y1), 0.0
        while length - at > left:
            at += left
            place = (x1 + (x2 - x1) * at / length, y1 + (y2 - y1) * at / length)
            if i % 2 == 0:
                yield [*run, place]
            i += 1
            left, run = dash[i % len(dash)], [place]
        left -= length - at
        run.append((x2, y2))
    if i % 2 == 0 and len(run) > 1:
        yield run
