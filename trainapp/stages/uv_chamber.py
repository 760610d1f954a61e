"""UV chamber: the certificate decides, the calculation only subtracts.

`dose_credited` starts at the rated dose and is taken down by flow above and absorbance above the rating, and by lamp and sleeve only where
the rating does not hold at the end of both. `dose_estimate` is optics for teaching: it may rise above the rating, and no check reads it.
No germ is ever taken out of the water that leaves, and log figures are shown for class A alone, inside every rating and limit.
"""

from __future__ import annotations

import numpy as np

from trainapp.dimensions import DAY, GPM, YEAR
from trainapp.hydraulics.devices import rated_point
from trainapp.hydraulics.elements import Element
from trainapp.stages._ageing_uv import UvAgeing
from trainapp.stages._figures import measured
from trainapp.stages._optics import LN10, absorbance, mean_path, tanks_in_series
from trainapp.stages._sleeve import sleeve_index
from trainapp.stages._uv_table import log_steps
from trainapp.stages.base import Chore, Duty, Figure, Rating, Remark, Settings, Severity, Stage
from trainapp.stages.registry import load_spec, register
from trainapp.stages.working import Array, Working, pick
from trainapp.water.stream import FAVOURABLE, Stream

#: Solved flows and settings meet in floats: this much over a rating is not over it.
SLACK = 1e-4
_YEAR = YEAR / DAY  # d
#: Limits that other ones tell of: solids follow turbidity, and what tannin does to the light is in UVT.
_FOLLOWS = frozenset({"suspended_solids", "tannin"})
_UV_SAFETY = "Unplug it first: its light burns eyes and skin, and a broken lamp sets mercury free."


@register
class UvChamber(Stage):
    """A closed chamber with a low-pressure lamp in a quartz sleeve."""

    spec = load_spec("uv_chamber")

    def __init__(self, stage_id: str, settings: Settings) -> None:
        super().__init__(stage_id, settings)
        c = self.spec.constants
        self.device_class = settings.word("device_class")
        self.rating_basis = settings.get("rating_basis") or ("alarm_point" if self.device_class == "A" else "new_lamp")
        self._basis_given = bool(settings.get("rating_basis"))
        self.certificate: str = settings.get("certificate") or ""
        #: m3/s, mJ/cm2, %/cm.
        self.rated_flow = settings.number("rated_flow")
        self.rated_dose: float = settings.get("rated_dose") or c["dose_a" if self.device_class == "A" else "dose_b"]
        self.rated_uvt = settings.number("rated_uvt")
        #: m of metal on either side, None where it is not known. shutoff: whether a valve closes when power or lamp fails.
        self.metal_run: float | None = settings.get("metal_run")
        self.shutoff = settings.word("shutoff") == "valve"
        self.rated_absorbance = float(absorbance(self.rated_uvt))
        self.lamp = 1.0 if self.rating_basis != "new_lamp" else c["lamp_end"]
        self.sleeve = 1.0 if self.rating_basis == "alarm_point" else c["sleeve_end"]
        self.layer = settings.number("water_layer") * 100.0
        hardness = [limit.maximum for limit, _ in self.spec.limits if limit.analyte == "hardness" and limit.maximum is not None]
        #: mg/L from which scale on the sleeve is asked about.
        self.hardness_guide = min(hardness, default=0.0)
        self._rated_path = float(mean_path(self.rated_absorbance, self.layer))

    @property
    def flow_cap(self) -> float | None:
        control = self.settings.get("flow_control")
        return None if control is None else float(control)

    # What it does ---------------------------------------------------------------------------------------------------------------

    def treat(self, water: Stream, duty: Duty, w: Working, remarks: list[Remark]) -> Stream:
        if w.keep:
            dose = self.credit(water, duty, w)
            self._estimate(water, duty, w)
            self._scale(water, duty, w)
            inside = self._remark(water, duty, dose, remarks)
            if inside and self.device_class == "A" and self._is_held(duty) and self._inside_limits(water, w):
                log_steps(w, dose, self.spec.media["dose_table"])
        return water.copy()

    def credit(self, water: Stream, duty: Duty, w: Working) -> Array:
        """The dose that its certificate leaves here, mJ/cm2."""
        rated = w.step("D_r", "rated dose", self.rated_dose, "dose", source="" if "rated_dose" in self.settings.given else "nsf-ansi-55")
        rated_flow = w.step("Q_r", "rated flow", self.rated_flow, "flow")
        w.step("UVT_r", "rated transmittance", self.rated_uvt, "uvt")
        rated_a = w.step("A_r", "rated absorbance", self.rated_absorbance, "absorbance", formula="−lg(UVT_r/100)", source="definition")
        flow = w.step("Q", "flow through the chamber", duty.flows, "flow")
        a = w.step("A", "absorbance at 254 nm", water.row("absorbance"), "absorbance", result="absorbance")
        w.step(
            "UVT",
            "transmittance of the water",
            water.get("uvt"),
            "uvt",
            formula="100 · 10^(−A)",
            source="definition",
            result="uvt",
            note=self._uvt_note(water),
        )
        by_flow = w.step(
            "f_Q", "left by the flow", np.minimum(1.0, rated_flow / flow), "fraction", formula="min(1, Q_r/Q)", source="nsf-ansi-55"
        )
        by_water = np.minimum(1.0, rated_a / np.maximum(a, 1e-12)) if rated_a > 0.0 else np.where(a > 0.0, 0.0, 1.0) + 0.0 * a
        w.step("f_A", "left by the water", by_water, "fraction", formula="min(1, A_r/A)", source="nsf-ansi-55")
        lamp = w.step("f_L", "left by the lamp", self.lamp, "fraction", source="malley-2020", note=self._state_note(self.lamp))
        sleeve = w.step("f_S", "left by the sleeve", self.sleeve, "fraction", source="nwri-2012", note=self._state_note(self.sleeve))
        credited: Array = rated * by_flow * by_water * (lamp * sleeve)
        return w.step(
            "D",
            "dose that the rating leaves",
            credited,
            "dose",
            formula="D_r · f_Q · f_A · f_L · f_S",
            source="nsf-ansi-55",
            result="dose_credited",
            note="" if self.certificate else "no certificate is named",
        )

    def _state_note(self, factor: float) -> str:
        return (
            f"inside the rating, which holds at the {self.rating_basis.replace('_', ' ')}"
            if factor == 1.0
            else "not inside the rating: from memory"
        )

    def _uvt_note(self, water: Stream) -> str:
        if not water.is_known("uvt")[0]:
            return "assumed: transmittance was not measured"
        least, most = pick(water.get("uvt")), pick(water.get("uvt"), reading=FAVOURABLE)
        return "" if most - least < 0.05 else f"at the best {most:.0f} %/cm, of which not all is proven"

    def _estimate(self, water: Stream, duty: Duty, w: Working) -> None:
        """Optics scaled to the rated point; for teaching."""
        c = self.spec.constants
        layer = w.step("d", "water between sleeve and wall", self.layer / 100.0, "length", source="illustrative")
        power = self.rated_dose * self.rated_flow * 1e6 / self._rated_path
        w.step(
            "P",
            "ultraviolet power into the water that the rating stands for",
            power * 1e-3,
            "power",
            formula="D_r Q_r A_r ln10/(1 − 10^(−A_r d))",
            source="uv-radial",
            result="power",
        )
        path = mean_path(water.row("absorbance"), layer * 100.0)
        dose = power * self.lamp * self.sleeve * path / (duty.flows * 1e6)
        dose = w.step(
            "D_e",
            "dose by optics, for teaching",
            dose,
            "dose",
            formula="P f_L f_S (1 − 10^(−A d))/(A ln10 Q)",
            source="uv-radial",
            result="dose_estimate",
            note="illustrative: no check reads it, only the rating counts",
        )
        tanks, per_log = int(c["mixing_tanks"]), c["mixing_dose_per_log"]
        _, mixed = tanks_in_series(dose, per_log, tanks)
        w.step(
            "D_m",
            f"the same if the chamber mixed like {tanks} tanks in series, MS2 at {per_log:g} mJ/cm2 for a log",
            mixed,
            "dose",
            formula=f"D_L · {tanks} lg(1 + {LN10:.4g} D_e/(D_L · {tanks}))",
            source="tanks-in-series",
            result="dose_mixed",
            note="illustrative",
        )

    def _scale(self, water: Stream, duty: Duty, w: Working) -> None:
        """Whether scale forms on the sleeve; only asked where the guide on hardness is passed."""
        warm = self.spec.constants["sleeve_temperature"]
        index = sleeve_index(water, self.hardness_guide, duty.cold, warm)
        if index is not None:
            w.step(
                "SI_s",
                f"saturation of scale at the sleeve, {warm:g} °C",
                index,
                formula="lg(IAP/K_s) of the closed water when warmed",
                source="plummer-busenberg-1982",
                result="sleeve_index",
                note="above 0 scale can form",
            )

    def _inside_limits(self, water: Stream, w: Working) -> bool:
        """Whether water 0 is known to stand inside the guide and the maker's own limits, at every flow and reading."""
        for limit in (*self.limits(), *(self.settings.get("inlet_limits") or ())):
            if limit.analyte not in _FOLLOWS and not water.is_known(limit.analyte)[0]:
                return False
            ends = (float(water.low(limit.analyte)[:, 0].min()), float(water.high(limit.analyte)[:, 0].max()))
            over = limit.maximum is not None and ends[1] > limit.maximum
            under = limit.minimum is not None and ends[0] < limit.minimum
            if limit.analyte == "hardness" and over:
                index = w.results.get("sleeve_index")
                over = index is None or not float(np.max(index.value[:, :, 0])) <= 0.0
            if over or under:
                return False
        return True

    def _is_held(self, duty: Duty) -> bool:
        """Whether no flow above the rating can come, and the water is of a kind that a chamber may be asked to treat alone.

        A control of its own counts at its nominal flow; any other may let a little more through than the supply pushes at it.
        """
        most = duty.most_flow * (1.0 + self.spec.constants["control_band"])
        if self.flow_cap is not None:
            most = min(most, self.flow_cap)
        return not duty.surface and most <= self.rated_flow * (1.0 + SLACK)

    # What it has to say -------------------------------------------------------------------------------------------------------------

    def _remark(self, water: Stream, duty: Duty, dose: Array, remarks: list[Remark]) -> bool:
        """Append what is outside the rating; whether all is inside it."""
        found = [r for r in (self._flow_remark(duty), self._uvt_remark(water)) if r is not None]
        if not found:
            # outside its rating a dose is short for that reason: one cause, one finding
            short = self._dose_remark(duty, dose)
            found = [short] if short is not None else []
        remarks.extend(found)
        return not found

    def _flow_remark(self, duty: Duty) -> Remark | None:
        peak = pick(duty.flows)
        if peak <= self.rated_flow * (1.0 + SLACK):
            return None
        return Remark(
            "outside-rating",
            "fail",
            "More flow than the UV chamber is rated for",
            "Water rushes through the chamber faster than it is rated for and gets less light than it needs.",
            value=peak,
            limit=self.rated_flow,
            dimension="flow",
            source="nsf-ansi-55",
            status="secondary",
        )

    def _uvt_remark(self, water: Stream) -> Remark | None:
        least, most = pick(water.get("uvt")), pick(water.get("uvt"), reading=FAVOURABLE)
        limit = self.rated_uvt
        if not water.is_known("uvt")[0]:
            return Remark(
                "sample-gap",
                "caution",
                "UV transmittance was not measured",
                "Nobody knows how far light reaches in this water: measure UVT of what will enter the chamber before it is chosen.",
                "uvt",
                source="nsf-ansi-55",
                status="secondary",
                cause="sample-gap:uvt",
            )
        if least >= limit - SLACK:
            return None
        severity: Severity = "caution" if most >= limit else "fail"
        sentence = (
            "The water may be clear enough for this chamber, but that is not proven: "
            "measure UVT after the filters ahead of it before the chamber is chosen."
            if severity == "caution"
            else "The water takes up more light than the chamber is rated for, so germs get less than they need."
        )
        return Remark(
            "outside-rating",
            severity,
            "Water too dark for the UV chamber's rating",
            sentence,
            "uvt",
            least,
            limit,
            "uvt",
            source="nsf-ansi-55",
            status="secondary",
        )

    def dose_goal(self, duty: Duty) -> float:
        """The dose that is wanted of it here, mJ/cm2: that of its class, and of class A wherever the water needs it.

        A document may ask for more than that, never for less; what is asked of class A by rule is nothing that it asks of class B.
        """
        c = self.spec.constants
        own = c["dose_a"] if duty.unsafe or self.device_class == "A" else c["dose_b"]
        return max(own, duty.uv_dose) if own == c["dose_a"] or duty.uv_dose > c["dose_a"] else own

    def _dose_remark(self, duty: Duty, dose: Array) -> Remark | None:
        """Where the dose misses its goal inside the rating, so that the device itself is too weak."""
        goal = self.dose_goal(duty)
        credited = pick(dose)
        if not credited < goal * (1.0 - SLACK):
            return None
        if not duty.unsafe and self.device_class == "B" and not self._basis_given and self.rated_dose >= goal * (1.0 - SLACK):
            return self._basis_remark(credited, goal)
        return Remark(
            "dose-short",
            "fail" if duty.unsafe else "caution",
            "The UV dose is short of its goal",
            self._why_short(credited),
            value=credited,
            limit=goal,
            dimension="dose",
            source="nsf-ansi-55",
            status="secondary",
        )

    def _why_short(self, credited: float) -> str:
        """What takes from the rated dose; nothing may, where it was rated too low from the start."""
        taken = [said for factor, said in ((self.lamp, "an old lamp"), (self.sleeve, "a sleeve due for cleaning")) if factor < 1.0]
        if taken:
            return f"What the rating leaves with {' and '.join(taken)} is less than the dose that is wanted."
        if credited < self.rated_dose * (1.0 - SLACK):
            return "What the rating leaves at this flow and in this water is less than the dose that is wanted."
        return "The dose that the chamber is rated for is less than the dose that is wanted."

    def _basis_remark(self, credited: float, goal: float) -> Remark:
        """Its class is found at reduced output already, so that the state of its rating only has to be asked."""
        return Remark(
            "dose-short", "note", "The state that the UV rating holds for is not named",
            "A class B device is usually rated at reduced output; were its rating that of a new lamp and sleeve, less would be left "
            "at the end of both: look it up.",
            value=credited, limit=goal, dimension="dose", source="nsf-ansi-55", status="from memory",
        )  # fmt: skip

    # What it needs ----------------------------------------------------------------------------------------------------------------

    def losses(self, cold: float) -> tuple[Element, Element]:
        c = self.spec.constants
        ports = rated_point(self.rated_flow, c["head_loss"])
        if self.flow_cap is not None:
            ports = ports + rated_point(self.flow_cap, c["threshold"])
        return ports, ports

    def rating(self) -> Rating:
        return Rating(self.rated_flow, self.rated_flow, "document", "common practice", is_device_rating=True)

    def chores(self, water: Stream, duty: Duty) -> tuple[Chore, ...]:
        lamp = min(self.settings.number("lamp_life") / DAY, _YEAR)
        sleeve = self.spec.constants["sleeve_days"] / DAY
        rows = [
            Chore(f"Change the UV lamp. {_UV_SAFETY}", lamp, "UV lamp"),
            Chore(f"Clean the quartz sleeve, look at its seals. {_UV_SAFETY}", sleeve, source="common-practice"),
            Chore("Change the seals of the sleeve", _YEAR, "sleeve seals"),
            Chore("Have raw and treated water tested for bacteria", _YEAR, "bacteria test", source="epa-private-wells", status="published"),
        ]
        if self.device_class == "A":
            rows.append(Chore("Have the sensor checked", _YEAR, source="onorm-m5873-1", status="published"))
        return tuple(rows)

    def ageing(self, water: Stream, duty: Duty) -> UvAgeing:
        return UvAgeing(self, water, duty)

    # How it is built --------------------------------------------------------------------------------------------------------------

    def figure(self) -> Figure:
        c = self.spec.constants
        length = c["length"] + c["length_per_flow"] * self.rated_flow / GPM
        figure = measured(Figure("chamber", c["width"], length, base=c["hung"], texture="lamp", fill=length), self.settings)
        # the lamp is drawn out along its whole length
        return Figure(
            figure.shape, figure.width, figure.height, figure.base, figure.texture, figure.height, figure.beside, clear_above=figure.height
        )

    def size_line(self) -> tuple[tuple[str, float | str, str], ...]:
        return (
            ("device_class", self.device_class, "choice"),
            ("rated_flow", self.rated_flow, "flow"),
            ("rated_dose", self.rated_dose, "dose"),
        )
