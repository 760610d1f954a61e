"""A bypass: a valve that lets a share of the water go round the stages beside it. It does nothing to the water that passes it.

The train sets the valve so that its pipe carries the wanted share at the peak; alone it loses what an open valve loses.
"""

from __future__ import annotations

from trainapp.hydraulics.devices import flow_coefficient
from trainapp.hydraulics.elements import Element
from trainapp.stages._figures import measured
from trainapp.stages.base import Duty, Figure, Remark, Settings, Stage
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Working
from trainapp.water.stream import Stream

_SIZE = (0.1, 0.1)  # m, of a valve in the pipe


@register
class Bypass(Stage):
    """A valve with a position, and the share that it is set to."""

    spec = load_spec("bypass")

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        self.share = settings.number("share")
        self.is_open = settings.word("position") == "open"

    @property
    def is_shut(self) -> bool:
        return not self.is_open

    @property
    def wanted_share(self) -> float | None:
        return self.share if self.is_open else None

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        if w.keep:
            w.step("s", "share of the peak that it is set to", self.share, "fraction", result="share")
            passed = w.step("Q_b", "flow past its valve at the peak", duty.flows, "flow", result="bypass_flow")
            w.step("Q", "flow of both ways at the peak", passed / self.share, "flow", formula="Q_b/s")
        return water.copy()

    def losses(self, cold: float) -> tuple[Element, Element]:
        valve = flow_coefficient(self.spec.constants["cv"])
        return valve, valve

    def figure(self) -> Figure:
        return measured(Figure("inline", *_SIZE), self.settings)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("position", self.settings.word("position"), "choice"), ("share", self.share, "fraction"))
