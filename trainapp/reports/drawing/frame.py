"""What a view is asked for, and the lines that all four bands share."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainapp.dimensions import FOOT as FOOT
from trainapp.dimensions import INCH as INCH
from trainapp.reports.drawing.budget import BENCH_LEAST
from trainapp.reports.drawing.columns import Tier
from trainapp.reports.drawing.display import Shape, Tag

#: Row heads stand left of the bands and row words right of them, px.
HEADS = 144.0
WORDS = 106.0

#: From the end of the pipe to the right side of the view, px.
MARGIN = WORDS + 8.0


@dataclass(frozen=True, slots=True)
class Options:
    """How the view is to be laid out.

    Attributes:
        width, height: of the whole view, px at 100 %; at another text size lay out at width / size and draw scaled.
        top: y at which the view begins.
        zoom: of bench and bands together, 1 fits; pan_x, pan_y: px that the bench is moved left and down; scroll: px that the bands
            below the bench are moved up where they are taller than their room.
        selected: tag of what is selected ("stage", id), ("link", a, b), ("cell", row, column).
        finding: number of the finding that is opened, 0 for none.
        also: tags of what is selected beside it. clearances: whether the free places that service needs are drawn at every stage.
        opened: tags ("lane", split, first node) of lanes that the staircase shows opened; an outer lane before its inner ones.
        rows: analytes chosen by the user, in order; empty for the default choice.
        tier: tier that the ledger shows now, for its 8 px of hysteresis.
        flow: the flow that the slider stands at in the shown unit, None for the model's.
        stale: numbers are of an older document; they are drawn in ink3.
        headline: whether the verdict line is drawn. bands: whether anything is drawn under the names of the bench.
        bench_least: height under which the bench never falls: beside another one it may be lower than alone.
        choosing: whether rows can be chosen, and the ledger says so.
    """

    width: float = 976.0
    height: float = 732.0
    top: float = 0.0
    zoom: float = 1.0
    pan_x: float = 0.0
    pan_y: float = 0.0
    scroll: float = 0.0
    selected: Tag = ()
    finding: int = 0
    also: tuple[Tag, ...] = ()
    clearances: bool = False
    opened: tuple[Tag, ...] = ()
    rows: tuple[str, ...] = ()
    tier: Tier | None = None
    flow: float | None = None
    stale: bool = False
    headline: bool = True
    bands: bool = True
    choosing: bool = True
    bench_least: float = BENCH_LEAST

    def holds(self, tag: Tag) -> bool:
        """Whether a tag is among what is selected."""
        return tag == self.selected or tag in self.also


@dataclass(frozen=True, slots=True)
class Frame:
    """The vertical lines of the view, px.

    Attributes:
        left, right: its sides. words: where row words begin.
    """

    left: float
    right: float
    words: float = 0.0

    @property
    def text_left(self) -> float:
        """Where row heads begin."""
        return self.left + 12.0

    @property
    def heads_right(self) -> float:
        """Where row heads end."""
        return self.left + HEADS

    @property
    def axis(self) -> float:
        """Where the scale lines of the staircase begin."""
        return self.left + HEADS - 8.0

    @property
    def words_end(self) -> float:
        """Where row words, and the lines between rows, end."""
        return self.words + WORDS - 8.0

    @property
    def wall(self) -> float:
        """The left wall of the room."""
        return self.left + 106.0

    @property
    def supply(self) -> float:
        """Centre of the supply, at the least."""
        return self.left + 154.0

    @property
    def first(self) -> float:
        """Left edge of the first column's cell, at the least."""
        return self.left + HEADS + 8.0

    @property
    def end(self) -> float:
        """The farthest end of the pipe without scrolling."""
        return self.right - MARGIN


@dataclass(slots=True)
class Band:
    """What a band is drawn from: lines under everything, what moves with the bench, and heads and words that stay."""

    under: list[Shape] = field(default_factory=list)
    moving: list[Shape] = field(default_factory=list)
    fixed: list[Shape] = field(default_factory=list)

    def add(self, other: Band) -> None:
        """Put another band's parts after these."""
        self.under += other.under
        self.moving += other.moving
        self.fixed += other.fixed


@dataclass(frozen=True, slots=True)
class Spread:
    """Where everything stands along the floor, px.

    Attributes:
        scale: px per metre, of x and y alike. pitch: column pitch that was aimed at.
        centres: of each node with a place: the supply, stages, the house column.
        units: centres of the units of each stage.
        extents: how far each stage reaches left and right of its centre.
        end: where the pipe leaves for the house.
        tidy: whether the floor order is the flow order.
        shrink: what sizes and distances in px are multiplied by where all of a long train is shown and nothing is there to be read.
    """

    scale: float
    pitch: float
    centres: dict[str, float]
    units: dict[str, tuple[float, ...]]
    extents: dict[str, tuple[float, float]]
    end: float
    tidy: bool = True
    shrink: float = 1.0


@dataclass(frozen=True, slots=True)
class Grid:
    """The bands' own x of each node and column: vessel centres, moved where columns need room, or evenly spread.

    Attributes:
        nodes: x of each node in path line and staircase.
        columns: x of each ledger column by its key.
        tier: of the ledger. cell: half a cell's width.
        leaders: nodes whose bands do not stand under them, with both x.
        end: where the bands end.
    """

    nodes: dict[str, float]
    columns: dict[str, float]
    tier: Tier
    cell: float
    end: float
    leaders: dict[str, tuple[float, float]] = field(default_factory=dict)
