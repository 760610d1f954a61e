"""Pages ready to be drawn: display lists placed on sheets, and the bookmarks that lead to them."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainapp.reports.drawing.display import Display


@dataclass(frozen=True, slots=True)
class Placed:
    """A drawing on a page: its left upper corner at (x, y) px, `scale` page px a px of its own. Its ground is not drawn: paper is white."""

    display: Display
    x: float
    y: float
    scale: float = 1.0


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture of dots on a page: a PNG file, its left upper corner and its size, px."""

    png: bytes
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Bookmark:
    """An entry of the outline: its text, depth from 0, and the y (px) on its page that it leads to."""

    text: str
    level: int
    y: float


@dataclass(slots=True)
class Page:
    """One sheet, px."""

    width: float
    height: float
    parts: list[Placed] = field(default_factory=list)
    marks: list[Bookmark] = field(default_factory=list)
    pictures: list[Picture] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class PrintJob:
    """A document to print: its title and subject, and its pages."""

    title: str
    subject: str
    pages: tuple[Page, ...]
