"""Invented benches for the tests of the drawing, made by hand: no engine stands behind their numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from trainapp.reports.drawing import gauge
from trainapp.reports.drawing.model import (
    BenchModel,
    Cell,
    Column,
    EndModel,
    FindingModel,
    FlowTick,
    LinkModel,
    Pressure,
    PressureModel,
    Row,
    StageModel,
    SupplyModel,
    TryFlow,
    Verdict,
)
from trainapp.stages.base import Figure

INCH, FOOT, GPM = 0.0254, 0.3048, 6.30902e-5

TANK = Figure("tank", 13 * INCH, 60 * INCH, texture="iron", fill=33 * INCH)
SOFT = Figure("tank", 10 * INCH, 60 * INCH, texture="resin", fill=32 * INCH, beside=(18 * INCH, 33 * INCH))
CARTRIDGE = Figure("cartridge", 7 * INCH, 24 * INCH, base=30 * INCH, texture="pleat", clear_below=10 * INCH)
CHAMBER = Figure("chamber", 8 * INCH, 42 * INCH, base=26 * INCH, texture="lamp", clear_above=34 * INCH)
INLINE = Figure("inline", 4 * INCH, 4 * INCH)
CARBON = Figure("tank", 12 * INCH, 58 * INCH, texture="carbon", fill=34 * INCH)
CALCITE = Figure("tank", 10 * INCH, 60 * INCH, texture="calcite", fill=30 * INCH)
SAND = Figure("tank", 14 * INCH, 71 * INCH, texture="sand", fill=36 * INCH)
CONTACT = Figure("box", 24 * INCH, 50 * INCH, texture="water", fill=44 * INCH)

_KINDS: dict[str, tuple[str, str, Figure]] = {
    "screen": ("sediment_cartridge", "Sediment cartridge", CARTRIDGE),
    "fine": ("sediment_cartridge", "Sediment cartridge", CARTRIDGE),
    "iron": ("iron_filter", "Iron filter", TANK),
    "softener": ("softener", "Softener", SOFT),
    "uv": ("uv_chamber", "UV chamber", CHAMBER),
    "control": ("flow_control", "Flow control", INLINE),
    "bypass": ("bypass", "Bypass", INLINE),
    "carbon": ("carbon_bed", "Carbon bed", CARBON),
    "calcite": ("neutralizer", "Neutralizer", CALCITE),
    "sand": ("sediment_bed", "Sediment bed", SAND),
    "contact": ("contact_tank", "Contact tank", CONTACT),
    "tannin": ("tannin_resin", "Tannin resin", SOFT),
}
_SIZES = {"us": ("10 × 54 in", "40/60 psi"), "metric": ("25 × 137 cm", "2.8/4.1 bar")}
_NO_COLUMN = {"flow_control", "bypass"}

#: Label, unit in both systems, JSON-ish value along the train, limit ("≤" or "≥"), decimals.
_ROWS: tuple[tuple[str, str, str, str, float, float, str, float, int], ...] = (
    ("hardness", "Hardness", "gpg", "mg/L", 24.0, 0.6, "≤", 7.0, 1),
    ("iron", "Iron", "mg/L", "mg/L", 3.1, 0.1, "≤", 0.3, 2),
    ("manganese", "Manganese", "mg/L", "mg/L", 0.22, 0.06, "≤", 0.05, 2),
    ("turbidity", "Turbidity", "NTU", "NTU", 2.4, 0.4, "≤", 1.0, 1),
    ("uvt", "UVT", "%/cm", "%/cm", 71.0, 86.0, "≥", 75.0, 0),
    ("ph", "pH", "", "", 6.9, 6.9, "≥", 6.8, 1),
    ("nitrate", "Nitrate", "mg/L", "mg/L", 1.2, 1.2, "≤", 10.0, 1),
    ("hydrogen_sulfide", "Hydrogen sulfide", "mg/L", "mg/L", 0.4, 0.02, "≤", 0.05, 2),
    ("manganese_dissolved", "Manganese, dissolved", "mg/L", "mg/L", 0.2, 0.05, "", 0.0, 2),
    ("arsenic", "Arsenic", "mg/L", "mg/L", 0.005, 0.005, "≤", 0.01, 3),
    ("tannin", "Tannin", "mg/L", "mg/L", 0.0, 0.0, "", 0.0, 1),
    ("tds", "Dissolved solids", "mg/L", "mg/L", 410.0, 420.0, "", 0.0, 0),
)


def _cell(key: str, value: float, sign: str, limit: float, decimals: int) -> Cell:
    text = f"{value:.{decimals}f}"
    if key == "tannin":
        return Cell(("",), status="missing")
    if key == "arsenic":
        return Cell(("<0.005",), f"≤{limit:g}", "within", gauge=gauge.maximum_gauge(0.0, value, limit), closeness=0.5)
    if not sign:
        return Cell((text,))
    if sign == "≤":
        status = "over" if value > limit else "near" if value > 0.8 * limit else "within"
        return Cell(
            (text,), f"≤{limit:g}", status, "fail", gauge.maximum_gauge(value, value, limit), value / limit, f"{text}, at most {limit:g}"
        )
    status = "over" if value < limit else "near" if value - limit < 0.2 else "within"
    return Cell(
        (text,),
        f"≥{limit:g}",
        status,
        "fail",
        gauge.minimum_gauge(value, value, limit, 100.0 if key == "uvt" else limit + 1.5),
        limit / value,
    )


def rows(nodes: Sequence[str], limited: Sequence[str], system: str) -> tuple[Row, ...]:
    """Rows in which the water improves along the nodes; only `limited` nodes have limits."""
    made = []
    for key, label, us, metric, first, last, sign, limit, decimals in _ROWS:
        cells = {}
        for i, node in enumerate(nodes):
            part = i / max(len(nodes) - 1, 1)
            value = first if part < 0.3 else last
            cells[node] = _cell(key, value, sign if node in limited else "", limit, decimals)
        made.append(Row(key, label, us if system == "us" else metric, cells))
    return tuple(made)


def bench(
    names: Sequence[tuple[str, str]],
    links: Sequence[tuple[str, str, float]],
    ends: Sequence[tuple[str, str, str]] = (("house", "house", "to the house"),),
    system: str = "us",
    share: str = "",
    counts: dict[str, int] | None = None,
    mains: bool = False,
) -> BenchModel:
    """A bench of stages (id, number) whose id up to a digit names its kind, links (from, to, gpm) and ends (id, name, label)."""
    us = system == "us"
    stages = []
    for ident, number in names:
        kind, name, figure = _KINDS[ident.rstrip("0123456789")]
        fall = ("1.8", "7.0") if us else ("0.12", "0.48")
        size = _SIZES[system][0]
        clearance = ("lamp draws out 34 in", "26 in to the ceiling") if us else ("lamp draws out 86 cm", "66 cm to the ceiling")
        stages.append(
            StageModel(
                ident, kind, number, name, size, figure, (counts or {}).get(ident, 1), None, fall, clearance if kind == "uv_chamber" else ()
            )
        )
    made_links = tuple(
        LinkModel(
            a, b, q * GPM, share if (a.startswith("bypass") or b.startswith("bypass")) else "", "4.9" if us else "1.49", diameter=0.0286
        )
        for a, b, q in links
    )
    with_column = [s.id for s in stages if s.kind not in _NO_COLUMN]
    nodes = [*with_column, "house"]
    return BenchModel(
        site="Seven Sorrel Lodge",
        system="us" if us else "metric",
        supply=SupplyModel("mains", "Main", "65 psi" if us else "4.5 bar") if mains else SupplyModel("well", "Well", _SIZES[system][1]),
        stages=tuple(stages),
        links=made_links,
        ends=tuple(EndModel(*end) for end in ends),
        columns=tuple(Column(node, raw=i == 0) for i, node in enumerate(nodes)),
        rows=rows(nodes, [*[s.id for s in stages if s.kind in ("uv_chamber", "iron_filter")], "house"], system),
        pressure=_pressures([s.id for s in stages], made_links, [e[0] for e in ends], us),
        try_flow=_try_flow(us),
        findings=findings(stages),
        verdict=Verdict(
            "fail",
            "3 fails, 1 caution, 1 note.",
            "Gives in first: 1 Sediment, when dirty, at 7.9 of 9.0 gpm.",
            safety=("A calculation does not certify water.", "The chamber's own certificate prevails."),
            not_judged=("fluoride was not measured", "tannin was not measured"),
        ),
        flow_unit="gpm" if us else "L/min",
        flow_factor=1 / GPM if us else 60000.0,
        speed_unit="ft/s" if us else "m/s",
        room_height=8 * FOOT,
    )


def _try_flow(us: bool) -> TryFlow:
    k = 1.0 if us else 3.785
    ticks = (("night", "night", 0.2), ("capacity", "1 gives in", 7.9), ("peak", "peak", 9.0), ("twice", "twice peak", 18.0))
    return TryFlow("gpm" if us else "L/min", tuple(FlowTick(key, word, q * k, f"{q * k:.1f}") for key, word, q in ticks), 9.0 * k)


def _pressures(stages: Sequence[str], links: Sequence[LinkModel], ends: Sequence[str], us: bool) -> PressureModel:
    """Each node loses a little; nodes of one depth enter at one pressure, so that lanes lose the same."""
    k = 1.0 if us else 0.0689476
    depth = {"supply": 0}
    for _ in range(len(stages) + 2):
        for link in links:
            if link.source in depth:
                depth[link.target] = max(depth.get(link.target, 0), depth[link.source] + 1)
    most = max(depth.values())

    def at(d: float) -> Pressure:
        return Pressure((52 - 16 * d / most) * k, (52 - 25 * d / most) * k, (42 - 25 * d / most) * k)

    entering = {node: at(d) for node, d in depth.items() if node != "supply"}
    leaving = {node: at(d + 0.8) for node, d in depth.items() if node in stages} | {"supply": at(0.0)}
    return PressureModel("psi" if us else "bar", 1 if us else 2, entering, leaving, 30.0 * k, {"dirty": "caution", "lowest": "caution"})


def findings(stages: Sequence[StageModel]) -> tuple[FindingModel, ...]:
    """Findings at the UV chamber, the house, above the chamber, at the iron filter, and one without a place."""
    uv = next((s.id for s in stages if s.kind == "uv_chamber"), "")
    iron = next((s.id for s in stages if s.kind == "iron_filter"), "")
    made = [
        FindingModel(
            1, "fail", "Manganese into the UV chamber", "Manganese coats the sleeve.", "inlet of 5", (("inlet", uv),) if uv else ()
        ),
        FindingModel(2, "fail", "Pressure at the house main, filters dirty", "Pressure falls short.", "house", (("end", "house"),)),
        FindingModel(3, "fail", "Lamp cannot be drawn out", "The ceiling is too low.", "above 5", (("above", uv),) if uv else ()),
        FindingModel(4, "caution", "Iron filter backwash", "The well gives less than it needs.", "2", (("stage", iron),) if iron else ()),
        FindingModel(5, "note", "Tannin was not measured", "UVT stands in for it.", "sample"),
    ]
    return tuple(made)


def chain(nodes: Sequence[str], flow: float = 9.0) -> list[tuple[str, str, float]]:
    """Links of a plain row."""
    row = ["supply", *nodes, "house"]
    return [(a, b, flow) for a, b in zip(row, row[1:], strict=False)]


def three(system: str = "us") -> BenchModel:
    ids = ["screen", "iron", "uv"]
    return bench([(n, str(i + 1)) for i, n in enumerate(ids)], chain(ids), system=system, mains=True)


def six(system: str = "us") -> BenchModel:
    """Two softeners side by side and outdoor taps on the raw water: the bench that the look was drawn for."""
    names = [("screen", "1"), ("iron", "2"), ("softener1", "3a"), ("softener2", "3b"), ("control", "4"), ("uv", "5")]
    links = [
        ("supply", "garden", 4.0), ("supply", "screen", 9.0), ("screen", "iron", 9.0), ("iron", "softener1", 4.7),
        ("iron", "softener2", 4.3),
        ("softener1", "control", 4.7), ("softener2", "control", 4.3), ("control", "uv", 9.0), ("uv", "house", 9.0),
    ]  # fmt: skip
    ends = (("house", "house", "to the house"), ("garden", "outdoor", "outdoor taps, raw"))
    return bench(names, links, ends, system)


def row_of_six(system: str = "us") -> BenchModel:
    ids = ["screen", "iron", "softener", "carbon", "fine", "uv"]
    return bench([(n, str(i + 1)) for i, n in enumerate(ids)], chain(ids), system=system)


def twelve(system: str = "us") -> BenchModel:
    ids = ["sand", "contact", "iron", "calcite", "softener", "tannin", "carbon", "screen", "control", "fine", "uv", "control2"]
    return bench([(n, str(i + 1)) for i, n in enumerate(ids)], chain(ids), system=system)


def bypass(system: str = "us") -> BenchModel:
    names = [("screen", "1"), ("softener", "2"), ("bypass", ""), ("uv", "3")]
    links = [
        ("supply", "screen", 10.0), ("screen", "softener", 8.2), ("screen", "bypass", 1.8), ("softener", "uv", 8.2), ("bypass", "uv", 1.8),
        ("uv", "house", 10.0),
    ]  # fmt: skip
    return bench(names, links, system=system, share="bypass 18 %")


def unlike_lanes(system: str = "us") -> BenchModel:
    """Two lanes of two stages each, a bypass, and outdoor taps behind the first stage."""
    names = [("screen", "1"), ("iron1", "2a"), ("softener1", "3a"), ("iron2", "2b"), ("softener2", "3b"), ("bypass", ""), ("uv", "4")]
    links = [
        ("supply", "screen", 14.0), ("screen", "garden", 4.0), ("screen", "iron1", 4.3), ("iron1", "softener1", 4.3),
        ("screen", "iron2", 3.9),
        ("iron2", "softener2", 3.9), ("screen", "bypass", 1.8), ("softener1", "uv", 4.3), ("softener2", "uv", 3.9), ("bypass", "uv", 1.8),
        ("uv", "house", 10.0),
    ]  # fmt: skip
    ends = (("house", "house", "to the house"), ("garden", "outdoor", "outdoor taps"))
    return bench(names, links, ends, system, "bypass 18 %")


def counted(system: str = "us") -> BenchModel:
    """Identical units in parallel as one stage."""
    ids = ["screen", "iron", "uv"]
    return bench([(n, str(i + 1)) for i, n in enumerate(ids)], chain(ids), system=system, counts={"iron": 3})


def long_names(model: BenchModel) -> BenchModel:
    """The same bench with the longest names that are shown."""
    stages = tuple(replace(s, name="Whole house declared treatment of any kind") for s in model.stages)
    return replace(model, stages=stages)


ALL = {
    "three": three,
    "six": six,
    "row of six": row_of_six,
    "twelve": twelve,
    "bypass": bypass,
    "unlike lanes": unlike_lanes,
    "counted": counted,
}
