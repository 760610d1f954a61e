"""A pressure regulator: the water passes unchanged; behind it the pressure is what it holds, or what arrives less its own loss."""

from __future__ import annotations

from trainapp.hydraulics.devices import flow_coefficient
from trainapp.hydraulics.elements import Element
from trainapp.stages._figures import measured
from trainapp.stages.base import Chore, Duty, Figure, Remark, Stage
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Working
from trainapp.water.stream import Stream

_BODY = (0.10, 0.16)  # m, of a 1 in body with its bonnet


@register
class PressureRegulator(Stage):
    """Direct-acting regulator. A wide-open body loses (Q/Cv)^2; less than the setting behind it is never called held."""

    spec = load_spec("pressure_regulator")

    @property
    def holds_pressure(self) -> float:
        """Most that stands behind it at the peak, Pa gauge: the setting less its maker's fall-off."""
        return max(float(self.settings["set_pressure"]) - self._falloff, 0.0)

    @property
    def _falloff(self) -> float:
        return float(self.settings.get("falloff") or 0.0)

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        setting = w.step("p_set", "pressure it is set to at rest", self.settings.number("set_pressure"), "pressure")
        falloff = w.step("Δp_f", "fall below the setting at the peak", self._falloff, "pressure", note=self._falloff_note())
        held = max(setting - falloff, 0.0)
        w.step("p_held", "most that stands behind it at the peak", held, "pressure", formula="p_set − Δp_f", result="held")
        remarks.append(self._closed_house(setting))
        if setting > self.spec.constants["static_limit"]:
            remarks.append(self._set_too_high(setting))
        return water.copy()

    def _falloff_note(self) -> str:
        return "" if self.settings.get("falloff") else "no chart given, taken as none; most fall several psi short at the peak"

    @staticmethod
    def _closed_house(setting: float) -> Remark:
        return Remark(
            "regulator-check", "note", "A regulator closes the house off",
            "A regulator lets no warmed water back: where a water heater stands behind it, an expansion tank must stand there too.",
            value=setting, dimension="pressure", source="upc-608", status="published",
        )  # fmt: skip

    def _set_too_high(self, setting: float) -> Remark:
        return Remark(
            "high-pressure", "note", "Regulator set above 80 psi",
            "It is set above the pressure that a building may have without a regulator.",
            value=setting, limit=self.spec.constants["static_limit"], dimension="pressure", source="upc-608", status="published",
        )  # fmt: skip

    def losses(self, cold: float) -> tuple[Element, Element]:
        body = flow_coefficient(self.spec.constants["cv"])
        return body, body

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        return (Chore("Clean the regulator's strainer and read the pressure behind it", self.spec.constants["strainer_days"]),)

    def figure(self) -> Figure:
        width, height = _BODY
        return measured(Figure("inline", width, height), self.settings)

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (("set_pressure", self.settings.number("set_pressure"), "pressure"),)
