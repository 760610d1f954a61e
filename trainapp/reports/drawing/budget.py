"""How the height of the view is shared: what gives way first when it is low, and what grows when it is tall."""

from __future__ import annotations

from dataclasses import dataclass, replace

from trainapp.reports.drawing.tokens import ROW, ROW_TIGHT

HEADLINE = 28.0
NAMES, NAMES_SHORT = 40.0, 26.0
HEADS = 22.0
SUMMARY = 18.0
LINE_ROW = 18.0
TRY_FLOW = 38.0
STAIRS_LOW, STAIRS, STAIRS_MOST = 64.0, 96.0, 200.0

#: The bench never falls under the least. It is held at the good height while rows give way, at the low one while the staircase does.
BENCH_LEAST, BENCH_LOW, BENCH_FAIR, BENCH_GOOD = 220.0, 250.0, 264.0, 300.0

#: Ledger rows that always leave room: fewer are shown only where fewer are known. The bench gives way a little before they are fewer
#: than the good number, and no more than some are added to the default for what stages work on.
ROWS_LEAST, ROWS_GOOD, _ROWS_ADDED = 4, 6, 2

#: Height that bar and foot of the window take beside the view, px: rows are counted by window height.
_CHROME = 68.0


@dataclass(frozen=True, slots=True)
class Needs:
    """What there is to show.

    Attributes:
        rows: ledger rows at hand. urgent: rows that never leave (over, near, unknown). acted: others that stages work on, which leave
            after those on which none does.
        path: height of the path line. heads: height of the column heads, brackets included.
        bench_most: height beyond which the bench cannot use more.
        pressure, flow: whether there is a staircase, a slider. headline: height of the verdict line.
    """

    rows: int
    urgent: int
    path: float
    heads: float
    bench_most: float
    acted: int = 0
    pressure: bool = True
    flow: bool = True
    headline: float = HEADLINE


@dataclass(frozen=True, slots=True)
class Bands:
    """Heights of the bands, px. With `pressure_rows` two rows stand for the staircase, whose height `stairs` is then 0."""

    headline: float
    bench: float
    names: float
    path: float
    heads: float
    row: float
    rows: int
    summary: float
    stairs: float
    pressure_rows: bool
    fall: float
    speed: float
    flow: float

    @property
    def sizes(self) -> bool:
        """Whether names have a line for the size under them."""
        return self.names == NAMES

    @property
    def total(self) -> float:
        """Height of all bands together."""
        pressure_rows = 2 * self.row if self.pressure_rows else 0.0
        below = self.row * self.rows + self.summary + self.stairs + pressure_rows + self.fall + self.speed + self.flow
        return self.headline + self.bench + self.names + self.path + self.heads + below


def default_rows(height: float) -> int:
    """Rows shown by default for a view of that height: 6 in a window of 800 px, 8 at 940, 10 at 1080."""
    return 6 + 2 * max(0, int((height + _CHROME - 800.0) // 140.0))


def share(height: float, needs: Needs, bench_least: float = BENCH_LEAST) -> Bands:
    """Heights for a view `height` px high; the total is more than that only where the bench is at its least and nothing can leave."""
    steps = _givings(_richest(height, needs), needs)
    last = next((i for i, bands in enumerate(steps) if bands.pressure_rows), len(steps))
    kept = min(max(ROWS_GOOD, needs.urgent + min(needs.acted, _ROWS_ADDED)), steps[0].rows)
    good = sum(bands.rows >= kept for bands in steps[:last])
    fair = ((BENCH_GOOD, steps[:good]), (BENCH_FAIR, steps[good - 1 : good]), (BENCH_GOOD, steps[good:last]))
    for floor, some in (*fair, (BENCH_LOW, steps[last - 1 : last]), (BENCH_LEAST, steps[last:] or steps[-1:])):
        least = min(floor, needs.bench_most)
        for bands in some:
            bench = min(BENCH_GOOD, needs.bench_most, height - bands.total)
            if bench >= least:
                return _grown(replace(bands, bench=bench), height, needs)
    return replace(steps[-1], bench=min(BENCH_LEAST, needs.bench_most, max(height - steps[-1].total, bench_least)))


def _richest(height: float, needs: Needs) -> Bands:
    usual = default_rows(height)
    rows = min(needs.rows, max(usual, min(needs.urgent + needs.acted, max(usual, needs.urgent) + _ROWS_ADDED)))
    return Bands(
        headline=needs.headline,
        bench=0.0,
        names=NAMES,
        path=needs.path,
        heads=needs.heads if needs.rows else 0.0,
        row=ROW_TIGHT if height + _CHROME <= 800.0 else ROW,
        rows=rows,
        summary=SUMMARY if needs.rows else 0.0,
        stairs=STAIRS if needs.pressure else 0.0,
        pressure_rows=False,
        fall=LINE_ROW if needs.pressure else 0.0,
        speed=LINE_ROW if needs.pressure else 0.0,
        flow=TRY_FLOW if needs.flow else 0.0,
    )


def _givings(bands: Bands, needs: Needs) -> list[Bands]:
    """The bands and, one by one, what is left of them as things leave in their order."""
    steps = [bands]
    steps.append(replace(steps[-1], speed=0.0))
    steps.append(replace(steps[-1], fall=0.0))
    steps.append(replace(steps[-1], names=NAMES_SHORT))
    for rows in range(bands.rows - 1, min(max(ROWS_LEAST, needs.urgent), bands.rows) - 1, -1):
        steps.append(replace(steps[-1], rows=rows))
    if needs.pressure:
        steps.append(replace(steps[-1], stairs=STAIRS_LOW))
        steps.append(replace(steps[-1], stairs=0.0, pressure_rows=True))
    return steps


def _grown(bands: Bands, height: float, needs: Needs) -> Bands:
    """Spend what is left: the bench first, then all rows, then the staircase; the rest stays blank."""
    spare = height - bands.total
    if spare <= 0:
        return bands
    bench = min(bands.bench + spare, max(bands.bench, needs.bench_most))
    spare -= bench - bands.bench
    more = min(int(spare // bands.row), needs.rows - bands.rows)
    spare -= more * bands.row
    stairs = min(bands.stairs + spare, max(bands.stairs, STAIRS_MOST)) if bands.stairs else 0.0
    return replace(bands, bench=bench, rows=bands.rows + more, stairs=stairs)
