"""The whole bench view: verdict, bench, names, path line, ledger, staircase and slider on one grid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil

from trainapp.reports.drawing import bench, ledger, names, pathline, rows, staircase
from trainapp.reports.drawing.budget import Bands, Needs, share
from trainapp.reports.drawing.columns import LedgerColumn, ledger_columns
from trainapp.reports.drawing.display import Box, Display, Group, Measure, Polyline, Shape, Tag, Text
from trainapp.reports.drawing.floor import SCALE_LEAST, SCALE_MOST, grid, least_scale, opened, spread, zoomed
from trainapp.reports.drawing.frame import MARGIN, Band, Frame, Grid, Options, Spread
from trainapp.reports.drawing.layers import Layer, LayerName, Pan
from trainapp.reports.drawing.marks import mark
from trainapp.reports.drawing.measure import wrap
from trainapp.reports.drawing.model import BenchModel
from trainapp.reports.drawing.standing import own_floor
from trainapp.reports.drawing.tokens import BODY, CAPTION, HEADING, MARK_LIST
from trainapp.train.routes import Route, route


@dataclass(frozen=True)
class View:
    """A laid-out view and what a window needs to work with it. Places are px of the drawing as if nothing were panned.

    Attributes:
        layers: what to draw and to hit, in drawing order. width, height, top: of the view.
        pan: how far it is panned; `most` holds it. content: width and height that all of it needs; larger than asked where it scrolls.
        spread: scale (px/m) and floor places, for dropping a stage; `floor` is the y of the floor, `wall` the x of the left wall.
        fit: scale at which all of it fits, as far as that can be read. least: scale at which all of it fits, whatever can be read.
        grid: the bands' x and the tier (hand it back in the next :class:`Options`).
        slider: the flow slider, None without one.
        bands_top: y below which `scroll` moves the drawing. lanes: tags of the lanes that can be opened.
    """

    layers: tuple[Layer, ...]
    width: float
    height: float
    top: float
    pan: Pan
    most: Pan
    content: tuple[float, float]
    spread: Spread
    fit: float
    least: float
    grid: Grid
    route: Route
    columns: tuple[LedgerColumn, ...]
    bands: Bands
    floor: float
    wall: float
    bands_top: float
    slider: rows.Slider | None
    lanes: tuple[tuple[str | int, ...], ...]

    @property
    def wide(self) -> bool:
        """Whether not all of it fits beside the heads and words where it can be read."""
        return self.least < SCALE_LEAST

    def metres(self, x: float) -> float:
        """Distance from the left wall of an x on the bench, metres."""
        return (x - self.wall) / self.spread.scale

    def panned(self, pan: Pan) -> View:
        """The same view, moved."""
        return replace(self, pan=pan.within(self.most))

    @cached_property
    def display(self) -> Display:
        """All of it where it is seen."""
        return Display(self.width, self.top + self.height, [shape for layer in self.layers for shape in layer.placed(self.pan)])

    def layer(self, name: LayerName) -> Layer:
        """One layer by its name."""
        return next(layer for layer in self.layers if layer.name == name)

    def at(self, x: float, y: float) -> Group | None:
        """The topmost group under a point of the view."""
        return next((found for layer in reversed(self.layers) if (found := layer.at(x, y, self.pan)) is not None), None)

    def find(self, tag: Tag, name: LayerName = "bench") -> Group | None:
        """The first group of a tag in a layer."""
        return self.layer(name).groups.get(tag)


#: What is said beside an empty bench, and how wide.
_EMPTY = "Nothing stands here yet. Drag a stage from the shelf onto the pipe, or choose one there and press Return."
_EMPTY_WIDTH = 260.0

#: Px that a bench without bands takes at the least.
_LOWEST = 96.0


def layout(model: BenchModel, options: Options, measure: Measure) -> View:
    """Lay the view out; pure: the same arguments give the same drawing."""
    way = route([stage.id for stage in model.stages], model.links, [end.id for end in model.ends])
    if not options.bands:
        model = replace(model, columns=(), rows=(), pressure=None, try_flow=None)
    columns = ledger_columns(model, way)
    frame = Frame(0.0, options.width)
    height = bench.extent(model, way)
    room = spread(model, way, columns, frame, SCALE_MOST)
    bands = share(options.height, _needs(model, way, columns, room.scale * height, options, measure), options.bench_least)
    if not options.bands:
        # alone it may be as low as it must
        bands = replace(bands, bench=max(min(bands.bench, options.height - bands.headline - bands.names), _LOWEST))
    fit = spread(model, way, columns, frame, (bands.bench - bench.TOP_PAD) / height)
    least = least_scale(model, way, columns, frame, fit)
    fit = opened(model, way, columns, frame, fit, least)
    at = zoomed(model, way, columns, frame, fit, options.zoom, least) if options.zoom != 1.0 else fit
    under = grid(way, columns, frame, at, options.tier)
    wide = under.end + MARGIN
    over = wide > options.width + 0.5
    frame = replace(frame, words=options.width - MARGIN + 8.0 if over else under.end + 8.0)
    if at.tidy or not own_floor(model):
        at = replace(at, end=under.end)
    tall = max(at.scale * height + bench.TOP_PAD, bands.bench)
    made = _Composer(model, way, columns, options, frame, measure, bands, at, under, wide if over else options.width, tall)
    return made.compose(fit.scale, least)


def _needs(model: BenchModel, way: Route, columns: Sequence[LedgerColumn], bench_most: float, options: Options, measure: Measure) -> Needs:
    up, down = pathline.height(way)
    shared = any(len(column.nodes) > 1 for column in columns)
    lanes = any(column.lane for column in columns)
    return Needs(
        rows=len(model.rows),
        urgent=sum(ledger.urgent(row) for row in model.rows),
        acted=0 if options.rows else sum(row.acted and not ledger.urgent(row) for row in model.rows),
        path=up + down if options.bands else 0.0,
        heads=20.0 + (16.0 if lanes else 8.0 if shared else 0.0),
        bench_most=bench_most + bench.TOP_PAD,
        pressure=model.pressure is not None,
        flow=model.try_flow is not None,
        headline=headline(model, options.width, measure)[1] if options.headline else 8.0,
    )


#: Width at the right of the verdict line that is left to the window's own commands, px.
_COMMANDS = 150.0


def headline(model: BenchModel, width: float, measure: Measure, top: float = 0.0) -> tuple[list[Shape], float]:
    """The verdict line and its height: what to do now, the counts, and the rest, on further lines where it does not fit beside them."""
    verdict, left, y = model.verdict, 12.0, top + 19.0
    items: list[Shape] = []
    for line in wrap(verdict.warning, width - _COMMANDS - left, HEADING, True, measure) if verdict.warning else ():
        items.append(Text(left, y, line, "ink", HEADING, "start", True))
        y += 18.0
    x = left
    if verdict.mark:
        items += mark(verdict.mark, x + 6.5, y - 4.5, MARK_LIST)
        x += 20.0
    for i, line in enumerate(wrap(verdict.headline, width - _COMMANDS - x, HEADING, True, measure)):
        y += 18.0 if i else 0.0
        items.append(Text(x, y, line, "ink", HEADING, "start", True))
    beside = x + measure(items[-1].text, HEADING, True) + 12.0 if isinstance(items[-1], Text) else x
    if verdict.rest and measure(verdict.rest, BODY, False) <= width - _COMMANDS - beside:
        items.append(Text(beside, y, verdict.rest, "ink2", BODY))
    elif verdict.rest:
        for line in wrap(verdict.rest, width - 12.0 - left, BODY, False, measure):
            y += 16.0
            items.append(Text(left, y, line, "ink2", BODY))
    return items, y + 9.0 - top


@dataclass(slots=True)
class _Composer:
    """Puts the bands below one another. `wide` and `tall` are what all of it takes sideways, and the bench upwards."""

    model: BenchModel
    route: Route
    columns: tuple[LedgerColumn, ...]
    options: Options
    frame: Frame
    measure: Measure
    bands: Bands
    at: Spread
    grid: Grid
    wide: float
    tall: float
    slider: rows.Slider | None = None

    def compose(self, fit: float, least: float) -> View:
        options, bands, top = self.options, self.bands, self.options.top + self.bands.headline
        floor = top + bands.bench
        below = floor + bands.names
        scene = bench.scene(self.model, self.route, options, self.frame, self.at, self.measure, floor - self.tall, floor)
        standing = [*bench.draw(scene), *self._empty_words(floor)]
        leaders = self._leaders(floor + bands.names - 2) if options.bands else []
        under_floor = [*names.names(scene, floor, bands.sizes), *leaders]
        band, end = self._bands(below)
        # Whole px, so that what is panned stays crisp.
        more = (self.wide - options.width, self.tall - bands.bench, max(bands.total - options.height, 0.0))
        most = Pan(*(float(ceil(px - 0.001)) for px in more))
        return View(
            layers=self._layers(standing, under_floor, band, below, end),
            width=options.width,
            height=options.height,
            top=options.top,
            pan=Pan(options.pan_x, options.pan_y, options.scroll).within(most),
            most=most,
            content=(self.wide, end - options.top),
            spread=self.at,
            fit=fit,
            least=least,
            grid=self.grid,
            route=self.route,
            columns=self.columns,
            bands=bands,
            floor=floor,
            wall=self.frame.wall,
            bands_top=below,
            slider=self.slider,
            lanes=tuple(staircase.lane_tag(fork, lane) for fork in self.route.forks() for lane in fork.lanes),
        )

    def _layers(self, standing: list[Shape], names: list[Shape], band: Band, below: float, end: float) -> tuple[Layer, ...]:
        """What moves as one, cut where there is more of it than its room holds: the bench at its band, bands at heads and words."""
        width, bench_top = self.options.width, self.options.top + self.bands.headline
        bottom = self.options.top + self.options.height
        over_wide, over_tall = self.wide > width + 0.5, self.tall > self.bands.bench + 0.5
        low = max(bottom - below, 0.0)
        scrolled = Box(0.0, below, width, low) if end > bottom + 0.5 else None
        left, right = self.frame.heads_right, self.frame.words - 4.0
        return (
            Layer("headline", self._headline() if self.options.headline else []),
            Layer("bench", standing, Box(0.0, bench_top, width, self.bands.bench + 6.0) if over_wide or over_tall else None),
            Layer("names", names, Box(0.0, bench_top + self.bands.bench + 6.0, width, self.bands.names) if over_wide else None),
            Layer("under", band.under, scrolled),
            Layer("bands", band.moving, Box(left, below, right - left, low) if over_wide else scrolled),
            Layer("fixed", band.fixed, scrolled),
        )

    def _headline(self) -> list[Shape]:
        """The verdict sentence and what stands beside it."""
        items, _ = headline(self.model, self.options.width, self.measure, self.options.top)
        return items

    def _empty_words(self, floor: float) -> list[Shape]:
        """Beside a bench on which nothing stands, how something gets there; only where it can."""
        if self.model.stages or not self.options.choosing:
            return []
        left, y = self.at.end + MARGIN, floor - self.bands.bench / 2
        lines = wrap(_EMPTY, min(self.options.width - left - 12.0, _EMPTY_WIDTH), BODY, False, self.measure)
        return [Text(left, y + 18.0 * i, line, "ink2", BODY) for i, line in enumerate(lines)]

    def _leaders(self, y: float) -> list[Shape]:
        """Elbows from vessels to bands that do not stand under them, in the gap under the names."""
        items: list[Shape] = []
        for wanted, x in self.grid.leaders.values():
            items.append(Polyline(((wanted, y), (wanted, y + 4), (x, y + 4), (x, y + 8)), "edge", 1.0))
        return items

    def _bands(self, top: float) -> tuple[Band, float]:
        """Everything under the names; and where it ends without scrolling."""
        model, bands, band = self.model, self.bands, Band()
        y = top
        if not self.options.bands:
            return band, y
        up, _ = pathline.height(self.route)
        band.add(pathline.draw(model, self.route, self.options, self.frame, self.grid, y + up, self.measure))
        if not self.at.tidy:
            band.fixed += self._untidy(y + up)
        y += bands.path
        if bands.rows:
            self._ledger(band, y)
            y += bands.heads + bands.rows * bands.row + bands.summary
        y = self._pressure(band, y)
        if bands.flow and model.try_flow is not None:
            self.slider = rows.slider(model.try_flow, self.frame, self.grid, y + 12.0)
            current = self.options.flow if self.options.flow is not None else model.try_flow.current
            band.fixed += rows.try_flow(model.try_flow, self.slider, self.frame, current, self.measure)
            y += bands.flow
        return band, y

    def _pressure(self, band: Band, y: float) -> float:
        """Staircase, or two rows for it, and the rows under it; where they end."""
        model, bands = self.model, self.bands
        if bands.pressure_rows:
            band.add(rows.pressure_rows(model, self.columns, self.frame, self.grid, y, bands.row, self.measure))
            y += 2 * bands.row
        if bands.stairs:
            box = (y + 10.0, y + bands.stairs - 8.0)
            band.add(staircase.draw(model, self.route, self.options, self.frame, self.grid, box, self.measure))
            y += bands.stairs
        if bands.fall:
            band.add(rows.fall_row(model, self.route, self.options, self.frame, self.grid, y + 12.0, self.measure))
            y += bands.fall
        if bands.speed:
            band.add(rows.speed_row(model, self.route, self.frame, self.grid, y + 12.0, self.measure))
            y += bands.speed
        return y

    def _ledger(self, band: Band, y: float) -> None:
        bands = self.bands
        made = ledger.Ledger(self.model, self.columns, self.grid, self.frame, self.options, self.measure)
        shown = ledger.chosen_rows(self.model, self.options, bands.rows)
        top = y + bands.heads
        band.add(ledger.heads(made, top - 8.0, top - 23.0))
        band.add(ledger.rows(made, shown, top, bands.row))
        band.add(ledger.summary(made, shown, top + bands.rows * bands.row + 13.0))

    def _untidy(self, y: float) -> list[Shape]:
        """One line that says why the bands do not stand under the vessels, and offers to mend it."""
        text = Text(self.frame.text_left, y + 18.0, "Tidy up", "accent", CAPTION)
        box = text.box(self.measure)
        reason = "The floor order is not the flow order, so the bands do not stand under the vessels."
        return [Group([text], ("tidy",), reason, "Tidy up", (box.grown(4.0),))]
