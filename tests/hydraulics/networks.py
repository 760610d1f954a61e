"""Networks of published examples, as this program solves them and as EPANET does, and a Hazen-Williams element to compare with."""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from trainapp.hydraulics.constants import FOOT, GRAVITY, INCH
from trainapp.hydraulics.elements import Element
from trainapp.hydraulics.network import Network
from trainapp.hydraulics.pipes import PipeRun
from trainapp.hydraulics.water_properties import water

#: kg/m3 that psi and feet of head are exchanged by in the published tables.
RHO = 999.0
#: EPANET's constant of the Hazen-Williams equation in SI.
_HAZEN_WILLIAMS = 10.666829500036352
#: m2/s of EPANET's relative viscosity 1.
_EPANET_VISCOSITY = 1.1e-5 * FOOT**2


@dataclass(frozen=True, slots=True)
class HazenWilliams:
    """h = 10.667 L Q^1.852/(C^1.852 D^4.871) m, with fittings' K; lengths in m."""

    length: float
    bore: float
    c: float
    k: float = 0.0
    rho: float = RHO

    def loss_and_slope(self, flow: float) -> tuple[float, float]:
        q = abs(flow)
        friction = self.rho * GRAVITY * _HAZEN_WILLIAMS * self.length / (self.c**1.852 * self.bore**4.871)
        minor = 0.5 * self.rho * self.k / (0.25 * math.pi * self.bore**2) ** 2
        return math.copysign(friction * q**1.852 + minor * q * q, flow), 1.852 * friction * q**0.852 + 2.0 * minor * q

    def loss(self, flow: float) -> float:
        return self.loss_and_slope(flow)[0]

    def slope(self, flow: float) -> float:
        return self.loss_and_slope(flow)[1]


@dataclass(frozen=True, slots=True)
class FixedFriction:
    """Darcy-Weisbach with a given friction factor; lengths in m."""

    length: float
    bore: float
    f: float
    rho: float = RHO

    def loss(self, flow: float) -> float:
        return self._coefficient * flow * abs(flow)

    def slope(self, flow: float) -> float:
        return 2.0 * self._coefficient * abs(flow)

    @property
    def _coefficient(self) -> float:
        return 8.0 * self.rho * self.f * self.length / (math.pi**2 * self.bore**5)


class Pipe(NamedTuple):
    """One pipe between two nodes; `rough` is Hazen-Williams C, or the roughness in m."""

    key: str
    start: str
    end: str
    length: float
    bore: float
    k: float
    rough: float


def imperial(key: str, start: str, end: str, feet: float, inches: float, k: float, rough: float) -> Pipe:
    """A pipe given in feet and inches."""
    return Pipe(key, start, end, feet * FOOT, inches * INCH, k, rough)


def element(pipe: Pipe, law: str, temperature: float) -> Element:
    """The pipe by Hazen-Williams ("H-W") or Darcy-Weisbach ("D-W")."""
    if law == "H-W":
        return HazenWilliams(pipe.length, pipe.bore, pipe.rough, pipe.k)
    return PipeRun(pipe.bore, pipe.length, pipe.rough, pipe.k, temperature)


def ours(
    pipes: Sequence[Pipe], heads: Mapping[str, float], draws: Mapping[str, float], law: str = "H-W", temperature: float = 15.0
) -> Network:
    """The network as this program builds it; heads in Pa, draws in m3/s."""
    network = Network()
    for pipe in pipes:
        network.link(pipe.key, pipe.start, pipe.end, element(pipe, law, temperature))
    for node, head in heads.items():
        network.fix(node, head)
    for node, flow in draws.items():
        network.draw(node, flow)
    return network


def load_wntr() -> Any:
    """The wntr package; what it warns of while it is imported is not ours."""
    with _quiet():
        import wntr
    return wntr


@contextmanager
def _quiet() -> Iterator[None]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def epanet_model(
    pipes: Sequence[Pipe], heads: Mapping[str, float], draws: Mapping[str, float], law: str = "H-W", temperature: float = 15.0
) -> Any:
    """The same network as a wntr model; heads in Pa are turned into metres of water."""
    wntr = load_wntr()
    rho = RHO if law == "H-W" else water(temperature).density
    model = wntr.network.WaterNetworkModel()
    model.options.time.duration = 0
    # It warns that the unit of roughness changes with the law; no pipe is in yet.
    with _quiet():
        model.options.hydraulic.headloss = law
    model.options.hydraulic.accuracy = 1e-7
    model.options.hydraulic.trials = 200
    model.options.hydraulic.viscosity = water(temperature).kinematic / _EPANET_VISCOSITY
    nodes = {node for pipe in pipes for node in (pipe.start, pipe.end)}
    for node in sorted(nodes):
        if node in heads:
            model.add_reservoir(node, base_head=heads[node] / (rho * GRAVITY))
        else:
            model.add_junction(node, base_demand=draws.get(node, 0.0), elevation=0.0)
    for pipe in pipes:
        model.add_pipe(pipe.key, pipe.start, pipe.end, pipe.length, pipe.bore, pipe.rough, pipe.k)
    return model


def epanet_flows(model: Any, folder: Path) -> dict[str, float]:
    """m3/s by pipe from EPANET; its temporary files go to `folder`."""
    wntr = load_wntr()
    with _quiet():
        results = wntr.sim.EpanetSimulator(model).run_sim(file_prefix=str(folder / "net"))
    return {key: float(flow) for key, flow in results.link["flowrate"].iloc[0].items()}


# The reference networks -------------------------------------------------------------------------------------------------------

#: Three loops (vignette of the R package hydraulics): flows of the ten pipes, m3/s in at A, out at D, G and H.
N1_ENDS = ("AB", "BC", "CD", "DE", "EA", "DF", "FG", "GE", "CH", "HF")
N1_BORES = (0.3, 0.2, 0.2, 0.2, 0.2, 0.15, 0.25, 0.15, 0.15, 0.25)
N1_LENGTHS = (250.0, 100.0, 125.0, 125.0, 100.0, 100.0, 125.0, 100.0, 100.0, 125.0)
N1_FRICTION = (0.01879, 0.02075, 0.02075, 0.02075, 0.02075, 0.02233, 0.01964, 0.02233, 0.02233, 0.01964)
N1_DRAWS = {"D": 0.040, "G": 0.020, "H": 0.020}

#: A point-of-entry loop: two units side by side, two softeners, a bridge between them and a bypass. Own example.
N2 = tuple(
    imperial(*row, 140.0)
    for row in (
        ("supply", "S", "A", 40.0, 1.025, 5.0),
        ("unit1", "A", "B", 5.0, 1.025, 60.0),
        ("unit2", "A", "C", 5.0, 1.025, 90.0),
        ("bridge", "B", "C", 3.0, 0.785, 2.0),
        ("soft1", "B", "D", 10.0, 0.785, 40.0),
        ("soft2", "C", "D", 10.0, 0.785, 15.0),
        ("bypass", "A", "D", 8.0, 1.025, 400.0),
        ("house", "D", "E", 30.0, 1.025, 6.0),
    )
)


def series(rough: float, count: int = 12) -> tuple[Pipe, ...]:
    """Runs of pipe with devices between, one behind the other from S to the last node "n12"."""
    return tuple(
        imperial(f"p{i}", "S" if i == 0 else f"n{i}", f"n{i + 1}", 4.0 + i, 1.025 if i % 3 else 0.785, 3.0 + 4.0 * i, rough)
        for i in range(count)
    )


def branches(rough: float) -> tuple[Pipe, ...]:
    """Three lanes side by side between S and O."""
    return tuple(
        imperial(*row, rough)
        for row in (
            ("in", "S", "A", 40.0, 1.025, 3.0),
            ("b1", "A", "B", 8.0, 1.025, 60.0),
            ("b2", "A", "B", 8.0, 1.025, 90.0),
            ("b3", "A", "B", 8.0, 0.785, 40.0),
            ("out", "B", "O", 30.0, 0.785, 3.0),
        )
    )
