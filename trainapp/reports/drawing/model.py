"""What the bench drawing shows, as plain values: texts ready to print, numbers only where a position follows from them.

:func:`trainapp.reports.drawing.builder.bench_model` makes it from an evaluation; a test makes it by hand.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from trainapp.stages.base import Figure, Severity
from trainapp.train.graph import HOUSE as HOUSE
from trainapp.train.graph import SUPPLY as SUPPLY

#: What a ledger cell says of its value: no limit, inside, inside but close, outside, an interval with the limit in it, not measured.
Status = Literal["none", "within", "near", "over", "unknown", "missing"]


@dataclass(frozen=True, slots=True)
class Gauge:
    """The small bar of a ledger cell, in fractions of its length.

    Attributes:
        low, high: the bar reaches from 0 to `high`; where `low` < `high` the value is an interval and that part is an outline.
        tick: where the limit stands.
        allowed: the side of the tick that is allowed.
        arrow: the value has no upper end.
    """

    low: float
    high: float
    tick: float
    allowed: Literal["below", "above"]
    arrow: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """One analyte at one point.

    Attributes:
        values: the value without its unit, fullest text first; shorter ones stand in where there is no room.
        limit: the limit with its side ("≤0.3"), empty for none.
        status: see :data:`Status`. `severity` is what a value over its limit counts as.
        closeness: 0 at rest, 1 at the limit; ranks two limits of one value.
        tooltip: value, limit, source and its status, in a sentence.
        when: the flow it holds at where that is not the peak and the value is another there: "by day" (the day's average), "at night".
    """

    values: tuple[str, ...]
    limit: str = ""
    status: Status = "none"
    severity: Severity = "fail"
    gauge: Gauge | None = None
    closeness: float = 0.0
    tooltip: str = ""
    when: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """The water as it arrives at one node: a stage or an end."""

    node: str
    raw: bool = False
    mixed: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One analyte along the pipe; `cells` by node id of the columns.

    `short` names it in the line of rows not shown; one that `stays` is shown whatever its cells say. `acted`: a stage on the bench
    works on it, so that it is shown before rows on which nothing does.
    """

    key: str
    label: str
    unit: str
    cells: Mapping[str, Cell]
    short: str = ""
    stays: bool = False
    acted: bool = False


@dataclass(frozen=True, slots=True)
class StageState:
    """How a stage looks in use; shares are 0 to 1, None where it has no such thing. It is told by denser texture and a number.

    Attributes:
        fill: what is left of its capacity. clog: dirt on the way to when it is due. film: what a film takes from the light.
        store: what is left of its salt or chemical. lit: whether its lamp burns.
        doing: what it is doing beside its work ("washing"), "" for nothing.
        inside, beside, lamp: lines in the vessel, in the tank beside it, next to the chamber: numbers with a word.
        illustrative: whether the film is a teaching picture; its label says so, and the band does where the label finds no room.
    """

    fill: float | None = None
    clog: float | None = None
    film: float | None = None
    store: float | None = None
    lit: bool | None = None
    doing: str = ""
    inside: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    lamp: tuple[str, ...] = ()
    illustrative: bool = False


@dataclass(frozen=True, slots=True)
class StageModel:
    """One stage as it stands.

    Attributes:
        number: "1", "3a"; empty for a bypass valve or a tee, which is named and not numbered.
        name, size: under the floor. figure: of one unit, metres. count: units in parallel;
            bodies: tanks of one unit that take turns.
        x: centre on the floor from the left wall, metres, where the user placed it.
        fall: pressure lost clean and dirty, as text.
        clearance: what the free height above is for ("lamp draws out 34 in"), and what there is ("26 in to the ceiling").
        state: how it looks in use, None for as new.
    """

    id: str
    kind: str
    number: str
    name: str
    size: str
    figure: Figure
    count: int = 1
    x: float | None = None
    fall: tuple[str, str] = ("", "")
    clearance: tuple[str, ...] = ()
    tooltip: str = ""
    bodies: int = 1
    state: StageState | None = None

    @property
    def title(self) -> str:
        """Number and name."""
        return f"{self.number} {self.name}".strip()


@dataclass(frozen=True, slots=True)
class SupplyModel:
    """Where the water comes from: a pressure tank on the floor (width, height in metres), or a meter in the pipe for mains.

    `x` is its middle from the left wall, metres, where the user placed it.
    """

    kind: Literal["well", "mains"]
    name: str
    size: str
    width: float = 0.45
    height: float = 1.0
    tooltip: str = ""
    x: float | None = None


@dataclass(frozen=True, slots=True)
class LinkModel:
    """One run of pipe.

    Attributes:
        flow: m3/s at the peak. share: of a bypass ("bypass 18 %").
        speed: without unit; `too_fast`: what a speed over its limit counts as, "" within it.
        diameter: outside diameter, metres.
        unprotected: leads raw water round the disinfection to somebody's mouth.
    """

    source: str
    target: str
    flow: float
    share: str = ""
    speed: str = ""
    too_fast: Severity | Literal[""] = ""
    diameter: float = 0.028
    unprotected: bool = False
    tooltip: str = ""

    @property
    def key(self) -> tuple[str, str]:
        return self.source, self.target


@dataclass(frozen=True, slots=True)
class EndModel:
    """An end of the train. `name` in lists ("house"), `label` at the pipe ("outdoor taps, raw")."""

    id: str
    name: str
    label: str
    tooltip: str = ""


@dataclass(frozen=True, slots=True)
class Pressure:
    """Pressure at one place, in the shown unit: clean, dirty, lowest (dirty at the pump's cut-in)."""

    clean: float
    dirty: float
    lowest: float


@dataclass(frozen=True, slots=True)
class PressureModel:
    """Pressure along the pipe in the shown unit: entering and leaving each node (the supply only leaves, ends are only entered).

    `marks` says which of "clean", "dirty", "lowest" at the house is below what is wanted, and what that counts as. `words` are what the
    three are called, `meaning` what the staircase shows; `most` is a pressure that its axis reaches at the least.
    """

    unit: str
    decimals: int
    entering: Mapping[str, Pressure]
    leaving: Mapping[str, Pressure]
    wanted: float | None = None
    marks: Mapping[str, Severity] = field(default_factory=dict)
    words: tuple[str, str, str] = ("clean", "dirty", "cut-in")
    meaning: str = "pressure along the pipe at the peak, filters clean (solid) and dirty (dashed)"
    most: float = 0.0

    def text(self, value: float) -> str:
        """A pressure as it is printed."""
        return f"{value:.{self.decimals}f}".replace("-", "\u2212")


@dataclass(frozen=True, slots=True)
class FlowTick:
    """A named flow on the slider: value in the shown unit, word and text of the value."""

    key: str
    word: str
    value: float
    text: str


@dataclass(frozen=True, slots=True)
class TryFlow:
    """The slider: its unit, its marks from the lowest to the highest, and the flow it stands at, in the shown unit."""

    unit: str
    ticks: tuple[FlowTick, ...]
    current: float


@dataclass(frozen=True, slots=True)
class FindingModel:
    """One finding as a list and a capsule show it.

    Attributes:
        number: in list order, from 1. place: where, in a word or two ("inlet of 5").
        spots: where its capsule may stand: ("stage", id), ("inlet", id), ("above", id), ("end", id), ("link", a, b), ("room",).
        detail: the figures ("0.06 mg/L where at most 0.05 may enter"); message: one sentence; cautions: the usual ones.
    """

    number: int
    severity: Severity
    title: str
    message: str
    place: str = ""
    spots: tuple[tuple[str, ...], ...] = ()
    detail: str = ""
    cautions: tuple[str, ...] = ()
    accepted: bool = False


@dataclass(frozen=True, slots=True)
class Verdict:
    """The headline and what stands beside it.

    Attributes:
        mark: worst severity, "" for nothing found. headline: the counts, or that nothing was found among what was measured.
        rest: what was not tested, what gives in first, that only tests show whether water is fit to drink.
        warning: what to do now, where the water must not be drunk; stands before everything.
        safety: the usual cautions, a sentence each. not_judged: what stands outside the verdict, a sentence each.
    """

    mark: Severity | Literal[""]
    headline: str
    rest: str = ""
    warning: str = ""
    safety: tuple[str, ...] = ()
    not_judged: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BenchModel:
    """Everything that the bench view shows.

    Attributes:
        site: name of the site. system: which units the texts are in.
        flow_unit, speed_unit: as row heads print them; `flow_factor` is one m3/s in the flow unit.
        room_width, room_height: metres, None where unknown.
        stages: in flow order; one that no link touches stands on the floor and is in no band.
        columns: nodes that get a ledger column, in flow order, the house last.
    """

    site: str
    system: Literal["us", "metric"]
    supply: SupplyModel
    stages: tuple[StageModel, ...]
    links: tuple[LinkModel, ...]
    ends: tuple[EndModel, ...]
    columns: tuple[Column, ...] = ()
    rows: tuple[Row, ...] = ()
    pressure: PressureModel | None = None
    try_flow: TryFlow | None = None
    findings: tuple[FindingModel, ...] = ()
    verdict: Verdict = field(default_factory=lambda: Verdict("", ""))
    flow_unit: str = "gpm"
    flow_factor: float = 15850.323
    speed_unit: str = "ft/s"
    room_width: float | None = None
    room_height: float | None = None

    def flow_text(self, flow: float) -> str:
        """A flow in m3/s as the path line prints it."""
        return f"{flow * self.flow_factor:.1f}"

    def stage(self, node: str) -> StageModel | None:
        """The stage of that id, None for another node."""
        return next((stage for stage in self.stages if stage.id == node), None)
