"""Pipes and their fittings: bores by material and nominal size, and the pressure a run of pipe takes.

Loss is Darcy and Weisbach's, dP = (f L/D + K) rho V^2/2, with Colebrook's friction factor (Clamond's solution) above Re 4000 and
64/Re below Re 2000. Between them no correlation holds; there f Re^2 follows the one cubic that meets both ends in value and slope, so
that loss stays continuous and strictly rising and a network always has exactly one solution. That bridge is this program's own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from trainapp.data import load_toml
from trainapp.hydraulics.constants import GRAVITY, INCH
from trainapp.hydraulics.elements import Series
from trainapp.hydraulics.water_properties import water

#: Reynolds numbers between which neither laminar nor turbulent friction holds.
LAMINAR_END, TURBULENT_START = 2000.0, 4000.0

_SIZE_TOLERANCE = 0.005
_LOG = 2.0 / math.log(10.0)


class PipeError(ValueError):
    """A material, size or fitting that the tables do not hold; its text ends a sentence that begins with the place."""


@dataclass(frozen=True, slots=True)
class PipeSize:
    """One row of the pipe table.

    Attributes:
        material: key in documents.
        label: plain name with the nominal size.
        nominal, bore, outside: m.
        roughness: m.
        insert: whether its fittings sit inside the pipe.
        source, status: where the bore comes from.
    """

    material: str
    label: str
    nominal: float
    bore: float
    outside: float
    roughness: float
    insert: bool
    source: str
    status: str


def pipe_inches(text: str) -> float:
    """Inches from a trade size such as 1-1/4."""
    return float(sum(Fraction(part) for part in text.split("-")))


@lru_cache(maxsize=1)
def pipe_sizes() -> dict[str, tuple[PipeSize, ...]]:
    """Every material's sizes, smallest first, by the material's key."""
    return {
        material: tuple(
            PipeSize(
                material,
                f"{table['label']}, {row['size']} in",
                pipe_inches(row["size"]) * INCH,
                row["bore"] * INCH,
                row["outside"] * INCH,
                table["roughness"],
                table["fittings"] == "insert",
                row.get("source", table["source"]),
                row.get("status", table["status"]),
            )
            for row in table["sizes"]
        )
        for material, table in load_toml("hydraulics/pipes.toml").items()
    }


def pipe_size(material: str, nominal: float) -> PipeSize:
    """The row for a material and a nominal size in m.

    Raises:
        PipeError: unknown material, or a size it is not made in.
    """
    sizes = pipe_sizes().get(material)
    if sizes is None:
        raise PipeError(f'"{material}" is not a pipe material; use one of {", ".join(pipe_sizes())}')
    for size in sizes:
        if abs(size.nominal - nominal) <= _SIZE_TOLERANCE * size.nominal:
            return size
    made = ", ".join(size.label.rpartition(", ")[2] for size in sizes)
    raise PipeError(f"{nominal / INCH:g} in is not a size of {material}; it is made in {made}")


def fitting_kinds() -> tuple[str, ...]:
    """The fittings that a document may count."""
    return tuple(load_toml("hydraulics/fittings.toml"))


@lru_cache(maxsize=512)
def _fully_turbulent(bore: float) -> float:
    from fluids.friction import ft_Crane

    return float(ft_Crane(bore))


def fitting_coefficient(kind: str, bore: float, insert: bool = False) -> float:
    """K of one fitting on the velocity head in a pipe of `bore` m; `insert` for fittings that sit inside the pipe.

    K = (L/D) fT, Crane TP-410; insert fittings lose several times that (from memory).

    Raises:
        PipeError: unknown fitting.
    """
    row = load_toml("hydraulics/fittings.toml").get(kind)
    if row is None:
        raise PipeError(f'"{kind}" is not a fitting; use one of {", ".join(fitting_kinds())}')
    return float(row["diameters"] * _fully_turbulent(bore) * (row["insert"] if insert else 1.0))


def fittings_coefficient(fittings: Mapping[str, int], bore: float, insert: bool = False) -> float:
    """Sum of K of counted fittings; see :func:`fitting_coefficient`."""
    return sum(count * fitting_coefficient(kind, bore, insert) for kind, count in fittings.items())


def size_change_coefficient(upstream: float, downstream: float) -> float:
    """K of a sudden change of bore (m), on the velocity head in the smaller: 0.5(1 - b^2) narrowing, (1 - b^2)^2 widening (TP-410)."""
    ratio = (min(upstream, downstream) / max(upstream, downstream)) ** 2
    return 0.5 * (1.0 - ratio) if downstream < upstream else (1.0 - ratio) ** 2


def _colebrook(reynolds: float, relative: float) -> tuple[float, float]:
    """f Re^2 and its derivative by Re, from Colebrook's equation (differentiated implicitly)."""
    f = _clamond()(reynolds, relative)
    x = 1.0 / math.sqrt(f)
    bend = _LOG * 2.51 / ((relative / 3.7 + 2.51 * x / reynolds) * reynolds)
    df = -2.0 * f * bend / (1.0 + bend) / reynolds
    return f * reynolds * reynolds, reynolds * (2.0 * f + reynolds * df)


@lru_cache(maxsize=1)
def _clamond() -> Callable[[float, float], float]:
    from fluids.friction import Clamond

    solve: Callable[[float, float], float] = Clamond
    return solve


@lru_cache(maxsize=512)
def _bridge(relative: float) -> tuple[float, float, float, float]:
    """Hermite coefficients of f Re^2 in t = (Re - 2000)/2000 between laminar and turbulent flow."""
    width = TURBULENT_START - LAMINAR_END
    y0, m0 = 64.0 * LAMINAR_END, 64.0 * width
    y1, slope = _colebrook(TURBULENT_START, relative)
    m1 = slope * width
    return y0, m0, 3.0 * (y1 - y0) - 2.0 * m0 - m1, 2.0 * (y0 - y1) + m0 + m1


def friction(reynolds: float, relative: float) -> tuple[float, float]:
    """f Re^2 and its derivative by Re, for Re >= 0 and relative roughness eps/D; f is Darcy's friction factor."""
    if reynolds <= LAMINAR_END:
        return 64.0 * reynolds, 64.0
    if reynolds >= TURBULENT_START:
        return _colebrook(reynolds, relative)
    width = TURBULENT_START - LAMINAR_END
    t = (reynolds - LAMINAR_END) / width
    a, b, c, d = _bridge(relative)
    return a + t * (b + t * (c + t * d)), (b + t * (2.0 * c + t * 3.0 * d)) / width


@dataclass(frozen=True, slots=True)
class PipeRun:
    """A straight run of one bore with its fittings; an :class:`~trainapp.hydraulics.elements.Element`.

    Attributes:
        bore, length, roughness: m.
        coefficient: sum of K of its fittings, on the velocity head in this bore.
        temperature: degC of the water.
        lift: m that the far end stands above the near end; it is not part of `loss` (see :attr:`lift_pressure`).
        label: plain name of the pipe.
    """

    bore: float
    length: float
    roughness: float
    coefficient: float = 0.0
    temperature: float = 10.0
    lift: float = 0.0
    label: str = ""
    _reynolds: float = field(init=False, repr=False, compare=False)
    _friction: float = field(init=False, repr=False, compare=False)
    _minor: float = field(init=False, repr=False, compare=False)
    _relative: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if self.bore <= 0.0 or self.length < 0.0 or self.roughness < 0.0 or self.coefficient < 0.0:
            raise ValueError("a run of pipe needs a positive bore and no negative length, roughness or coefficient")
        properties = water(self.temperature)
        area = self.area
        fixed = object.__setattr__
        fixed(self, "_reynolds", self.bore / (properties.kinematic * area))
        fixed(self, "_friction", 0.5 * properties.density * self.length * properties.kinematic**2 / self.bore**3)
        fixed(self, "_minor", 0.5 * properties.density * self.coefficient / area**2)
        fixed(self, "_relative", self.roughness / self.bore)

    @property
    def area(self) -> float:
        """m2 of the bore."""
        return 0.25 * math.pi * self.bore**2

    @property
    def lift_pressure(self) -> float:
        """Pa that the lift takes, whatever the flow."""
        return water(self.temperature).density * GRAVITY * self.lift

    def loss_and_slope(self, flow: float) -> tuple[float, float]:
        """Pa lost to friction and fittings at m3/s, and its slope, Pa per m3/s."""
        q = abs(flow)
        y, dy = friction(q * self._reynolds, self._relative)
        dp = self._friction * y + self._minor * q * q
        slope = self._friction * self._reynolds * dy + 2.0 * self._minor * q
        return (dp if flow >= 0.0 else -dp), slope

    def loss(self, flow: float) -> float:
        return self.loss_and_slope(flow)[0]

    def slope(self, flow: float) -> float:
        return self.loss_and_slope(flow)[1]

    def velocity(self, flow: float) -> float:
        """m/s at m3/s."""
        return flow / self.area

    def reynolds(self, flow: float) -> float:
        """Reynolds number at m3/s."""
        return abs(flow) * self._reynolds

    def friction_factor(self, flow: float) -> float:
        """Darcy's friction factor at a flow in m3/s other than 0; between Re 2000 and 4000 the bridge's."""
        reynolds = self.reynolds(flow)
        return friction(reynolds, self._relative)[0] / reynolds**2

    def range_note(self, flow: float) -> str:
        """One sentence where no friction correlation holds at this flow, else nothing."""
        if not LAMINAR_END < self.reynolds(flow) < TURBULENT_START:
            return ""
        return "this flow is neither laminar nor turbulent (Re 2000 to 4000): its friction is a smooth bridge between the two"


def pipe_run(
    material: str,
    nominal: float,
    length: float,
    fittings: Mapping[str, int] | None = None,
    temperature: float = 10.0,
    lift: float = 0.0,
) -> PipeRun:
    """A run of a material's nominal size (m) and length (m) with counted fittings.

    Raises:
        PipeError: unknown material, size or fitting.
    """
    size = pipe_size(material, nominal)
    coefficient = fittings_coefficient(fittings or {}, size.bore, size.insert)
    return PipeRun(size.bore, length, size.roughness, coefficient, temperature, lift, size.label)


def joined(runs: Sequence[PipeRun]) -> Series:
    """Runs of pipe in flow order as one element, with the loss of each change of bore counted in the smaller run."""
    extra = [0.0] * len(runs)
    for i, (a, b) in enumerate(zip(runs, runs[1:], strict=False)):
        extra[i if a.bore < b.bore else i + 1] += size_change_coefficient(a.bore, b.bore)
    return Series(
        tuple(
            PipeRun(run.bore, run.length, run.roughness, run.coefficient + k, run.temperature, run.lift, run.label)
            for run, k in zip(runs, extra, strict=True)
        )
    )
