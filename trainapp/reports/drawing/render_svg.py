"""The display list as SVG text."""

from __future__ import annotations

from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from trainapp.reports.drawing.display import Circle, Display, Dots, Group, Line, Path, Point, Polyline, Rect, Shape, Strokes, Text
from trainapp.reports.drawing.tokens import FONT_STACK, THEMES, Theme


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def svg(display: Display, theme: str = "light", title: str = "") -> str:
    """The drawing as one SVG document with live text."""
    tokens = THEMES[theme]
    w, h = _n(display.width), _n(display.height)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}" height="{h}" viewBox="0 0 {w} {h}" font-family="{FONT_STACK}">'
    ground = f'<rect width="{w}" height="{h}" fill="{tokens[display.ground]}"/>'
    named = f"<title>{escape(title)}</title>" if title else ""
    return "\n".join([head, *([named] if named else []), ground, *_Writer(tokens).shapes(display.items), "</svg>", ""])


class _Writer:
    def __init__(self, tokens: Theme) -> None:
        self.tokens = tokens
        self.clips = 0

    def shapes(self, items: list[Shape]) -> Iterator[str]:
        for shape in items:
            yield from self.shape(shape)

    def shape(self, shape: Shape) -> Iterator[str]:
        if isinstance(shape, Group):
            yield from self.group(shape)
        elif isinstance(shape, Text):
            yield self.text(shape)
        elif isinstance(shape, Line):
            ends = f'x1="{_n(shape.x1)}" y1="{_n(shape.y1)}" x2="{_n(shape.x2)}" y2="{_n(shape.y2)}"'
            yield f"<line {ends}{self.pen(shape.token, shape.width, shape.dash)}/>"
        elif isinstance(shape, Rect):
            corner = f' rx="{_n(shape.corner)}"' if shape.corner else ""
            place = f'x="{_n(shape.x)}" y="{_n(shape.y)}" width="{_n(shape.w)}" height="{_n(shape.h)}"{corner}'
            yield f"<rect {place}{self.fill(shape.fill)}{self.pen(shape.stroke, shape.width, shape.dash)}/>"
        elif isinstance(shape, Circle):
            place = f'cx="{_n(shape.x)}" cy="{_n(shape.y)}" r="{_n(shape.r)}"'
            yield f"<circle {place}{self.fill(shape.fill)}{self.pen(shape.stroke, shape.width, shape.dash)}/>"
        elif isinstance(shape, Polyline):
            yield self.polyline(shape)
        elif isinstance(shape, Path):
            data = " ".join(" ".join(part if isinstance(part, str) else _n(part) for part in command) for command in shape.commands)
            yield f'<path d="{data}"{self.fill(shape.fill)}{self.pen(shape.stroke, shape.width)}/>'
        elif isinstance(shape, Dots):
            yield self.dots(shape)
        else:
            yield self.strokes(shape)

    def group(self, group: Group) -> Iterator[str]:
        clip = ""
        if group.clip is not None:
            self.clips += 1
            c = group.clip
            area = f'<rect x="{_n(c.x)}" y="{_n(c.y)}" width="{_n(c.w)}" height="{_n(c.h)}"/>'
            yield f'<clipPath id="clip{self.clips}">{area}</clipPath>'
            clip = f' clip-path="url(#clip{self.clips})"'
        name = f" aria-label={quoteattr(group.name)}" if group.name else ""
        yield f"<g{clip}{name}>"
        if group.tooltip:
            yield f"<title>{escape(group.tooltip)}</title>"
        yield from self.shapes(group.items)
        yield "</g>"

    def text(self, text: Text) -> str:
        anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
        weight = ' font-weight="bold"' if text.bold else ""
        place = f'x="{_n(text.x)}" y="{_n(text.y)}" font-size="{_n(text.size)}"'
        return f"<text {place}{self.fill(text.token)}{anchor}{weight}>{escape(text.text)}</text>"

    def polyline(self, line: Polyline) -> str:
        kind = "polygon" if line.closed else "polyline"
        points = " ".join(f"{_n(x)},{_n(y)}" for x, y in line.points)
        join = ' stroke-linejoin="round"' if line.round else ""
        return f'<{kind} points="{points}"{self.fill(line.fill)}{self.pen(line.stroke, line.width, line.dash)}{join}/>'

    def dots(self, dots: Dots) -> str:
        """All dots as one path of round-capped strokes of no length."""
        data = "".join(f"M{_n(dots.x + x)} {_n(dots.y + y)}h0" for x, y in dots.points)
        return f'<path d="{data}" fill="none"{self.pen(dots.token, 2 * dots.r)} stroke-linecap="round"/>'

    def strokes(self, strokes: Strokes) -> str:
        def at(x: float, y: float) -> Point:
            return strokes.x + x, strokes.y + y

        data = "".join("M{} {}L{} {}".format(*map(_n, (*at(a, b), *at(c, d)))) for a, b, c, d in strokes.segments)
        return f'<path d="{data}" fill="none"{self.pen(strokes.token, strokes.width)}/>'

    def fill(self, token: str) -> str:
        return f' fill="{self.tokens[token]}"' if token else ' fill="none"'

    def pen(self, token: str, width: float, dash: tuple[float, ...] = ()) -> str:
        if not token:
            return ""
        dashes = f' stroke-dasharray="{" ".join(map(_n, dash))}"' if dash else ""
        return f' stroke="{self.tokens[token]}" stroke-width="{_n(width)}"{dashes}'
