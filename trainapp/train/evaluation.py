"""What evaluate() returns: every number about a train, by point, link and stage. Checks, screen, print and JSON only read it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from trainapp.stages.base import Cleaning, Remark, Stage
from trainapp.stages.working import Array, Working
from trainapp.water.sample import Result as SampleResult
from trainapp.water.stream import Stream

if TYPE_CHECKING:
    from trainapp.train.plan import Plan
    from trainapp.train.pressure import Triple


@dataclass(slots=True)
class Pressures:
    """Pressure at the peak, Pa gauge: clean and dirty filters with the supply running, and `lowest`: dirty at the pump's cut-in."""

    clean: float
    dirty: float
    lowest: float


@dataclass
class PointResult:
    """The water leaving one node.

    Attributes:
        at: node id ("supply", a stage, "house", an outlet).
        flow: m3/s at trickle, average, peak, shape (3,).
        pressure: at its outlet.
        water: the stream leaving it; where a sample was taken there, with what the sample found.
        explain: makes the steps behind flow and pressure; `working` keeps them.
        measured: results of samples taken there. predicted: the stream as the models leave it, None where no sample was taken.
    """

    at: str
    flow: Array
    pressure: Pressures
    water: Stream
    explain: Callable[[], Working]
    measured: Mapping[str, SampleResult] = field(default_factory=dict)
    predicted: Stream | None = None

    @cached_property
    def working(self) -> Working:
        """Steps behind flow and pressure, made when someone looks."""
        return self.explain()


@dataclass(slots=True)
class LinkResult:
    """One run of pipe: flow m3/s (3,), velocity m/s at peak, loss Pa at peak (lift included), bore m and label of its narrowest segment."""

    source: str
    target: str
    flow: Array
    velocity: float
    loss: float
    bore: float
    label: str


@dataclass(slots=True)
class StageResult:
    """One stage in its duty.

    Attributes:
        stage: the stage itself.
        inlet, outlet: the water entering and leaving.
        flow: m3/s through all its units at trickle, average, peak, shape (3,).
        daily: m3 a day through all its units.
        inlet_pressure: at its inlet, peak.
        headloss_clean, headloss_dirty: Pa at peak.
        working: its steps and results. remarks: what it has to say.
        cleaning: how one unit cleans itself here, None where it does not.
        backwash_available: m3/s that the supply gives at its inlet at `cleaning.pressure`, at the lowest pressure and with dirty filters
            ahead; None where it does not clean itself.
    """

    stage: Stage
    inlet: Stream
    outlet: Stream
    flow: Array
    daily: float
    inlet_pressure: Pressures
    headloss_clean: float
    headloss_dirty: float
    working: Working
    remarks: list[Remark]
    cleaning: Cleaning | None
    backwash_available: float | None = None


@dataclass(slots=True)
class Capacity:
    """The most the train delivers at the house, m3/s; `at` and `limited_by` (pressure, supply, rating) say what gives in first.

    `dirty`, `cut_in`: whether more would come through clean filters, or above the lowest pressure of a pump's cycle; for pressure alone.
    `lasting`: a well's yield or what fills a tank gives in first. A peak of minutes may be more, it lives on what stands there.
    """

    flow: float
    at: str
    limited_by: str
    working: Working = field(default_factory=Working)
    lasting: bool = False
    dirty: bool = False
    cut_in: bool = False


@dataclass(slots=True)
class Evaluation:
    """Every number about a train.

    Attributes:
        plan: what was evaluated.
        points, stages: by node id in flow order, "supply" first, the ends last.
        links: by (source, target).
        capacity: at the house.
        while_cleaning: waters-axis index of the case in which each cleaning stage is passed by, by stage id.
        gaps: (analyte, waters-axis index at its low, at its high plausible end) of each assumed analyte that a stage or limit needs.
        delivered: m3/s that reach each end at the peak (less than wanted where a limiter or the supply holds back).
        most_push: m3/s that the supply can push through the open train at 10 psi at the house; `pushed` what each node then carries
            (a chamber with others beside it: each of its units as if they were shut).
        alone: pressures and flows while an outlet that is not drawn with the house draws its own peak, by outlet.
    """

    plan: Plan
    points: dict[str, PointResult]
    stages: dict[str, StageResult]
    links: dict[tuple[str, str], LinkResult]
    capacity: Capacity
    while_cleaning: Mapping[str, int]
    gaps: tuple[tuple[str, int, int], ...]
    delivered: dict[str, float]
    most_push: float
    pushed: dict[str, float] = field(default_factory=dict)
    alone: Mapping[str, Triple] = field(default_factory=dict)
