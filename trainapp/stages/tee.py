"""A tee: pipes meet in it and part again, so that the waters mix before they divide. It does nothing else to the water.

What the fitting loses belongs to the fittings of the pipes that end in it (`tee_run`, `tee_branch`).
"""

from __future__ import annotations

from trainapp.hydraulics.elements import Element, Resistance
from trainapp.stages._figures import measured
from trainapp.stages.base import Duty, Figure, Remark, Stage
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Working
from trainapp.water.stream import Stream

_SIZE = (0.06, 0.06)  # m, of the fitting
#: Under a millionth of a Pa at any flow of a house: a network cannot hold an element without any loss.
_NOTHING = Resistance(quadratic=1.0)


@register
class Tee(Stage):
    """A point where pipes meet and part."""

    spec = load_spec("tee")

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        if w.keep:
            w.step("Q", "flow that comes together in it at the peak", duty.flows, "flow", result="joint_flow")
        return water.copy()

    def losses(self, cold: float) -> tuple[Element, Element]:
        return _NOTHING, _NOTHING

    def figure(self) -> Figure:
        return measured(Figure("inline", *_SIZE), self.settings)
