"""A constant-flow control: it takes up whatever pressure is left over once its flow is reached, and leaves the water as it is."""

from __future__ import annotations

from trainapp.dimensions import DAY, YEAR
from trainapp.hydraulics.devices import rated_point
from trainapp.hydraulics.elements import Element
from trainapp.hydraulics.limiter import FlowControl as Washer
from trainapp.stages._figures import measured
from trainapp.stages.base import Chore, Duty, Figure, Remark, Settings, Stage
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Working, pick
from trainapp.water.stream import Stream

_SIZE = (0.12, 0.06)  # m, of the fitting that holds the washer
_YEAR = YEAR / DAY  # d


@register
class FlowControl(Stage):
    """Never more than its flow, give or take its band, and less where the pressure across it is too low to hold it."""

    spec = load_spec("flow_control")

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        c = self.spec.constants
        self.washer = Washer(settings.number("flow"), c["threshold"], c["band"])
        self.cap_band = self.washer.band

    @property
    def flow_cap(self) -> float | None:
        return self.washer.nominal

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        if w.keep:
            self._steps(duty, w)
        return water.copy()

    def _steps(self, duty: Duty, w: Working) -> None:
        washer = self.washer
        held = w.step("Q_n", "flow that it holds", washer.nominal, "flow", result="nominal_flow")
        w.step("Q_lo", "least of its band", held * (1.0 - washer.band), "flow", formula=f"Q_n (1 − {washer.band:g})", source="from-memory")
        w.step(
            "Q_hi",
            "most of its band",
            held * (1.0 + washer.band),
            "flow",
            formula=f"Q_n (1 + {washer.band:g})",
            source="from-memory",
            result="most_flow",
        )
        w.step("Δp_n", "pressure across it from which it holds", washer.threshold, "pressure", source="patent-4508144", note="from memory")
        flow = min(pick(duty.flows), washer.nominal)
        loss = washer.loss(flow)
        w.step("Δp_o", "loss of its open bore at the peak", loss, "pressure", formula="Δp_n (Q/Q_n)²", source="orifice", result="bore_loss")

    def losses(self, cold: float) -> tuple[Element, Element]:
        bore = rated_point(self.washer.nominal, self.washer.threshold)
        return bore, bore

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        return (Chore("Time a bucket: check that it still holds its flow, change the washer if not", _YEAR, "flow control washer"),)

    def figure(self) -> Figure:
        return measured(Figure("inline", *_SIZE), self.settings)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("flow", self.washer.nominal, "flow"),)
