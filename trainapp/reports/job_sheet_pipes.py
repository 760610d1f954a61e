"""Pipes of the job sheet: the schedule of runs, metal at the chambers, and all together what the drawing and the order of work ask for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass

from trainapp import units
from trainapp.checks.pressure import wants_relief
from trainapp.checks.uv_pipes import PLASTICS
from trainapp.data import load_toml
from trainapp.hydraulics.pipes import pipe_size
from trainapp.reports.in_units import nominal_size, pipes_in
from trainapp.reports.job_sheet_values import metal_run
from trainapp.reports.ledger import Ledger
from trainapp.reports.print_table import PrintTable, Row
from trainapp.spelling import inside
from trainapp.stages.base import Stage
from trainapp.stages.working import PEAK
from trainapp.train.evaluation import Evaluation
from trainapp.train.model import LinkEntry, PipeSegment
from trainapp.units import System

#: Fittings of a run that are told by themselves: a tee is counted once, where pipes part or meet, however many runs pass it.
_TEES = frozenset({"tee_run", "tee_branch"})
_VALVES = frozenset({"ball_valve", "gate_valve", "globe_valve"})
#: Roles of what is a fitting itself and gets no valves and unions of its own.
_FITTINGS = frozenset({"junction", "bypass"})

NOT_COUNTED = (
    "Not in it: short pieces and elbows between the units of one stage and its headers, hangers, threads and sealant, the fittings of "
    "drain lines, the house's own pipes, and a reserve for cutting."
)


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a run: what it is, its length in m, how many of each fitting, and whether light makes it brittle."""

    label: str
    length: float
    fittings: Mapping[str, int]
    plastic: bool


class PipeTables:
    """Reads one evaluation into the tables of its pipes.

    Args:
        ledger: of the evaluation. names: of every node, as the sheet calls it.
    """

    def __init__(self, ledger: Ledger, names: Mapping[str, str]) -> None:
        self.evaluation: Evaluation = ledger.evaluation
        self.system: System = ledger.system
        self.names = names

    def _show(self, value: float, dimension: str) -> str:
        return units.typeset(units.show(value, dimension, self.system))

    # Runs ---------------------------------------------------------------------------------------------------------------------

    def runs(self) -> PrintTable:
        """Every run of pipe in flow order: what it is made of, and what runs through it at the peak."""
        rows: list[Row] = []
        for entry in self.evaluation.plan.document.links:
            run = f"{self.names.get(entry.from_, entry.from_)} to {self.names.get(entry.to, entry.to)}"
            pieces = self.pieces(entry)
            kinds = "\n".join(piece.label for piece in pieces)
            lengths = "\n".join(self._length(piece.length) for piece in pieces)
            fittings = "\n".join(counted(piece.fittings) or "none" for piece in pieces)
            rows.append((run, kinds, lengths, fittings, *self._carries(entry.ends)))
        heads = ("run", "pipe", "length", "fittings", "flow", "speed", "loses")
        return PrintTable(heads, (23, 23, 8, 20, 9, 8, 9), rows, right=frozenset({2, 4, 5, 6}))

    def _length(self, metres: float) -> str:
        return self._show(metres, "length" if metres < 0.5 else "distance")

    def _carries(self, ends: tuple[str, str]) -> tuple[str, str, str]:
        """Flow, speed and loss of one run at the peak; of one that is drawn at another time, then."""
        link, plan = self.evaluation.links.get(ends), self.evaluation.plan
        if link is None:
            return "no water", "", ""
        flow, note = float(link.flow[PEAK]), ""
        outlet = plan.document.outlets.get(ends[1])
        if flow <= 0 and outlet is not None:
            flow, note = outlet.value("peak"), "\nalone"
        pipe = plan.pipes[ends]
        loss = pipe.loss(flow) + (link.loss - pipe.loss(float(link.flow[PEAK])))
        return f"{self._show(flow, 'flow')}{note}", self._show(pipe.velocity(flow), "velocity"), self._show(loss, "pressure")

    def pieces(self, entry: LinkEntry) -> list[Piece]:
        """A run in pieces, upstream first: plastic as far as no chamber asks for metal there."""
        found = [self._piece(part) for part in self.evaluation.plan.document.pipe_of(entry)]
        found = _in_metal(found, metal_run(self.evaluation, entry.from_), self._metal(entry, 0))
        return _in_metal(found[::-1], metal_run(self.evaluation, entry.to), self._metal(entry, -1))[::-1]

    def _piece(self, part: PipeSegment) -> Piece:
        material = part.word("material")
        label = pipes_in(pipe_size(material, part.value("size")).label, self.system)
        return Piece(label, part.value("length"), part.fitting_counts, material in PLASTICS)

    def _metal(self, entry: LinkEntry, end: int) -> str:
        size = self.evaluation.plan.document.pipe_of(entry)[end].value("size")
        return f"Metal, {nominal_size(size, self.system)}"

    # All together -------------------------------------------------------------------------------------------------------------

    def take_off(self) -> PrintTable:
        """Pipe by material and size, then what the drawing and the order of work ask for beside it."""
        lengths: dict[str, float] = {}
        fittings: dict[str, Counter[str]] = {}
        for entry in self.evaluation.plan.document.links:
            for piece in self.pieces(entry):
                lengths[piece.label] = lengths.get(piece.label, 0.0) + piece.length
                fittings.setdefault(piece.label, Counter()).update(piece.fittings)
        rows = [(label, self._length(length), counted(fittings[label], leave=_TEES)) for label, length in sorted(lengths.items())]
        drawn = sum(fittings.values(), Counter())
        return PrintTable(("all together", "how much", "what of it"), (30, 12, 58), [*rows, *self._beside(drawn)], right=frozenset({1}))

    def _beside(self, drawn: Counter[str]) -> Iterator[Row]:
        """What is counted from the graph, with what of it stands among the fittings above."""
        plan = self.evaluation.plan
        stages = [stage for stage in plan.stages.values() if not stage.spec.tags & _FITTINGS]
        taken_out = sum(stage.count for stage in stages)
        tees, headers = self._tees()
        if tees + headers:
            told = [f"{tees} where runs part or meet"] if tees else []
            told += [f"{headers} in the headers of units side by side"] if headers else []
            yield "tees", f"{tees + headers}", ", ".join(told)
        if taken_out:
            valves, unions = sum(drawn[kind] for kind in _VALVES), drawn["union"]
            yield "shut-off valves", f"{2 * taken_out}", f"one on both sides of each unit{_among(valves, 2 * taken_out)}"
            yield "unions", f"{2 * taken_out}", f"at the connections of each unit{_among(unions, 2 * taken_out)}"
        bypasses = [stage for stage in plan.stages.values() if "bypass" in stage.spec.tags]
        if bypasses:
            yield "valves that set a flow", f"{len(bypasses)}", ", ".join(self.names[stage.id] for stage in bypasses)
        if wants_relief(self.evaluation):
            yield "relief valve", "1", "at the pressure tank"
        bare = [end for end, demand in plan.demands.items() if not demand.drinking]
        if bare:
            yield "vacuum breakers", f"{len(bare)} or more", "at untreated taps, as the code asks"
        yield "sample taps", f"{len(stages) + 1}", "one before the first stage, one behind each"
        joints = self._joints()
        if joints:
            yield "adapters, metal to plastic", f"{joints}", "where the material changes within a run"
        yield from self._drain_lines(stages)

    def _tees(self) -> tuple[int, int]:
        """Tees where runs part or meet, and in the two headers of stages of several units."""
        pairs = [entry.ends for entry in self.evaluation.plan.document.links]
        parted, met = Counter(source for source, _ in pairs), Counter(target for _, target in pairs)
        tees = sum(count - 1 for count in (*parted.values(), *met.values()))
        return tees, sum(2 * (stage.count - 1) for stage in self.evaluation.plan.stages.values())

    def _joints(self) -> int:
        runs = [self.pieces(entry) for entry in self.evaluation.plan.document.links]
        return sum(a.plastic != b.plastic for run in runs for a, b in zip(run, run[1:], strict=False))

    def _drain_lines(self, stages: Sequence[Stage]) -> Iterator[Row]:
        """Drain lines by size; those whose length nobody gave are told as such."""
        known: dict[str, list[float]] = {}
        unknown = 0
        for stage in stages:
            drain = stage.settings.get("drain") or {}
            if stage.id in self.evaluation.stages and self.evaluation.stages[stage.id].cleaning is not None:
                if drain.get("size") and drain.get("length"):
                    known.setdefault(nominal_size(drain["size"], self.system), []).extend([drain["length"]] * stage.count)
                else:
                    unknown += stage.count
        for size, lengths in sorted(known.items()):
            yield f"drain line, {size}", self._length(sum(lengths)), _lines(len(lengths))
        if unknown:
            yield "drain line", "not given", f"{_lines(unknown)}, size or length to be settled before work begins"


def _lines(count: int) -> str:
    return f"{count} line{'s' if count != 1 else ''}"


def _among(drawn: int, needed: int) -> str:
    return f"; {min(drawn, needed)} of them stand among the fittings above" if drawn else ""


def _in_metal(pieces: list[Piece], metal: float, label: str) -> list[Piece]:
    """A run that begins at a chamber, in metal for its first `metal` m: plastic there is exchanged, metal stays."""
    found: list[Piece] = []
    for piece in pieces:
        cut = min(metal, piece.length) if piece.plastic else 0.0
        if cut > 0:
            rest = piece.length - cut
            found.append(Piece(label, cut, {} if rest > 1e-9 else piece.fittings, plastic=False))
            if rest > 1e-9:
                found.append(Piece(piece.label, rest, piece.fittings, plastic=True))
        else:
            found.append(piece)
        metal = max(metal - piece.length, 0.0)
    return found


def counted(fittings: Mapping[str, int], leave: Container[str] = ()) -> str:
    """Fittings as a list counts them, without those of some kinds."""
    return ", ".join(f"{count} {fitting(kind, count)}" for kind, count in sorted(fittings.items()) if kind not in leave and count)


def fitting(kind: str, count: int) -> str:
    """A fitting as a list counts it."""
    label = str(load_toml("hydraulics/fittings.toml")[kind]["label"]).removesuffix(", open")
    name, _, rest = label.partition(", ")
    name = inside(name) + ("s" if count != 1 else "")
    return f"{name} {rest}".strip().replace("90 degrees", "90°").replace("45 degrees", "45°")
