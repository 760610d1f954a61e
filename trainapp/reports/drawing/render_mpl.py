"""The display list as PNG or PDF, through matplotlib's Figure; matplotlib is loaded when the first picture is drawn."""

from __future__ import annotations

from dataclasses import replace
from typing import IO, TYPE_CHECKING, Any
from warnings import filterwarnings

from trainapp.reports.drawing.display import Box, Circle, Display, Dots, Group, Line, Path, Polyline, Rect, Shape, Strokes, Text
from trainapp.reports.drawing.fallback import fallbacks
from trainapp.reports.drawing.glyphs import words
from trainapp.reports.drawing.tokens import FONT, THEMES, Theme

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

#: Points of a printed page per px: a px is 1/96 in, so text of 11 px prints at 8.25 pt.
POINTS_PER_PX = 0.75
PX_PER_INCH = 72.0 / POINTS_PER_PX


def figure(display: Display, theme: str, unit: float) -> Figure:
    """The drawing on a figure; `unit` is the points that a px becomes."""
    from matplotlib.figure import Figure

    tokens = THEMES[theme]
    made = Figure(figsize=(display.width * unit / 72.0, display.height * unit / 72.0), dpi=72.0, facecolor=tokens[display.ground])
    axes = made.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(0.0, display.width)
    axes.set_ylim(display.height, 0.0)
    _Painter(axes, tokens, unit, _families(display)).paint(display.items, None)
    return made


def _families(display: Display) -> list[str]:
    """Names of the fonts that its letters are looked for in, the bundled one first."""
    fonts = fallbacks(words((display,)))
    # what no font has is told in a sentence of our own
    filterwarnings("ignore", r"Glyph \d+ .*missing from font", UserWarning)
    if fonts:
        from matplotlib.font_manager import fontManager

        known = {entry.name for entry in fontManager.ttflist}
        for font in fonts:
            if font.name not in known:
                fontManager.addfont(font.path)
                # letters in bold are the same: there is one file
                fontManager.ttflist.append(replace(fontManager.ttflist[-1], weight=700))
    return [FONT, *(font.name for font in fonts)]


def write_png(display: Display, file: IO[bytes], theme: str = "light", scale: float = 2.0) -> None:
    """Write a PNG of `scale` dots per px, which says that a px is 1/96 in."""
    resolution = PX_PER_INCH * scale
    options: dict[str, Any] = {"metadata": {"Software": None}, "pil_kwargs": {"dpi": (resolution, resolution)}}
    figure(display, theme, 1.0).savefig(file, format="png", dpi=72.0 * scale, **options)


def write_pdf(display: Display, file: IO[bytes], theme: str = "print", title: str = "") -> None:
    """Write a PDF with its fonts embedded (TrueType, so that text can be searched and copied) and no date, so that it is repeatable."""
    from matplotlib import rc_context

    with rc_context({"pdf.fonttype": 42, "font.family": FONT}):
        about: dict[str, Any] = {"Title": title, "CreationDate": None}
        figure(display, theme, POINTS_PER_PX).savefig(file, format="pdf", metadata=about)


class _Painter:
    """Adds one artist a shape; drawing order is the order of the list."""

    def __init__(self, axes: Any, tokens: Theme, unit: float, families: list[str]) -> None:
        self.axes, self.tokens, self.unit, self.families, self.order = axes, tokens, unit, families, 0.0

    def paint(self, items: list[Shape], clip: Box | None) -> None:
        for shape in items:
            if isinstance(shape, Group):
                self.paint(shape.items, shape.clip or clip)
            else:
                self.add(self.artist(shape), clip)

    def add(self, artist: Artist | None, clip: Box | None) -> None:
        from matplotlib.patches import Rectangle

        if artist is None:
            return
        self.order += 1.0
        artist.set_zorder(self.order)
        self.axes.add_artist(artist)
        if clip is not None:
            artist.set_clip_path(Rectangle((clip.x, clip.y), clip.w, clip.h, transform=self.axes.transData))

    def artist(self, shape: Shape) -> Artist | None:
        if isinstance(shape, Text):
            return self.text(shape)
        if isinstance(shape, Line):
            return self.polyline(Polyline(((shape.x1, shape.y1), (shape.x2, shape.y2)), shape.token, shape.width, shape.dash))
        if isinstance(shape, Polyline):
            return self.polyline(shape)
        if isinstance(shape, Rect):
            return self.rect(shape)
        if isinstance(shape, Circle):
            from matplotlib.patches import Circle as Disc

            return Disc((shape.x, shape.y), shape.r, **self.paints(shape.fill, shape.stroke, shape.width, shape.dash))
        if isinstance(shape, Path):
            return self.path(shape)
        if isinstance(shape, Dots):
            return self.dots(shape)
        return self.strokes(shape) if isinstance(shape, Strokes) else None

    def paints(self, fill: str, stroke: str, width: float, dash: tuple[float, ...] = ()) -> dict[str, Any]:
        style = (0.0, tuple(part / width for part in dash)) if dash and width else "-"
        return {
            "facecolor": self.tokens[fill] if fill else "none",
            "edgecolor": self.tokens[stroke] if stroke else "none",
            "linewidth": width * self.unit if stroke else 0.0,
            "linestyle": style,
        }

    def text(self, shape: Text) -> Artist:
        from matplotlib.text import Text as Words

        align = {"start": "left", "middle": "center", "end": "right"}[shape.anchor]
        return Words(
            shape.x, shape.y, shape.text, color=self.tokens[shape.token], fontsize=shape.size * self.unit, fontfamily=self.families,
            fontweight="bold" if shape.bold else "normal", ha=align, va="baseline", parse_math=False,
        )  # fmt: skip

    def polyline(self, shape: Polyline) -> Artist:
        from matplotlib.lines import Line2D
        from matplotlib.patches import Polygon

        join: Any = "round" if shape.round else "miter"
        if shape.fill or shape.closed:
            paints = self.paints(shape.fill, shape.stroke, shape.width, shape.dash)
            return Polygon(list(shape.points), closed=shape.closed, joinstyle=join, **paints)
        xs, ys = zip(*shape.points, strict=True)
        colour, width = self.tokens[shape.stroke], shape.width * self.unit
        line = Line2D(xs, ys, color=colour, linewidth=width, solid_capstyle="butt", dash_capstyle="butt")
        line.set_solid_joinstyle(join)
        if shape.dash:
            line.set_linestyle((0.0, tuple(part / shape.width for part in shape.dash)))
        return line

    def rect(self, shape: Rect) -> Artist:
        from matplotlib.patches import BoxStyle, FancyBboxPatch, Rectangle

        paints = self.paints(shape.fill, shape.stroke, shape.width, shape.dash)
        corner = min(shape.corner, shape.w / 2, shape.h / 2)
        if corner <= 0:
            return Rectangle((shape.x, shape.y), shape.w, shape.h, joinstyle="miter", **paints)
        return FancyBboxPatch((shape.x, shape.y), shape.w, shape.h, boxstyle=BoxStyle.Round(pad=0.0, rounding_size=corner), **paints)

    def path(self, shape: Path) -> Artist:
        from matplotlib.patches import PathPatch
        from matplotlib.path import Path as Outline

        codes: list[Any] = []
        points: list[tuple[float, float]] = []
        for command in shape.commands:
            numbers = [float(part) for part in command[1:]]
            pairs = list(zip(numbers[::2], numbers[1::2], strict=True)) or [points[0]]
            code = {"M": Outline.MOVETO, "L": Outline.LINETO, "Q": Outline.CURVE3, "Z": Outline.CLOSEPOLY}[str(command[0])]
            codes += [code] * len(pairs)
            points += pairs
        return PathPatch(Outline(points, codes), **self.paints(shape.fill, shape.stroke, shape.width))

    def dots(self, shape: Dots) -> Artist:
        from matplotlib.collections import EllipseCollection

        size = [2 * shape.r] * len(shape.points)
        places = [(shape.x + x, shape.y + y) for x, y in shape.points]
        return EllipseCollection(
            size, size, [0.0] * len(size), units="xy", offsets=places, offset_transform=self.axes.transData,
            facecolors=self.tokens[shape.token], linewidths=0.0,
        )  # fmt: skip

    def strokes(self, shape: Strokes) -> Artist:
        from matplotlib.collections import LineCollection

        places = [((shape.x + a, shape.y + b), (shape.x + c, shape.y + d)) for a, b, c, d in shape.segments]
        return LineCollection(places, colors=self.tokens[shape.token], linewidths=shape.width * self.unit)
