"""How often the verdict on a train holds, and which uncertain thing matters most.

A sample is one bottle. What it says, the season it was taken in and the flows that were guessed are drawn from spreads, and the limits, the
pressure and the ratings are judged anew for each draw. What is not drawn stays as it is: what nobody measured, what a stage says of its
capacity and upkeep, the order of stages, the class of a device.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass

import numpy as np

from trainapp.checks import findings as check_all
from trainapp.checks import verdict as verdict_of
from trainapp.checks.context import Context, analyte_label
from trainapp.checks.drinking import warning
from trainapp.checks.finding import Finding
from trainapp.checks.limits import WaterLimit
from trainapp.checks.summary import Verdict
from trainapp.checks.table import Row
from trainapp.stages.working import Array
from trainapp.studies.confidence.drawn import Drawn, Judged, Ranks
from trainapp.studies.confidence.factors import Factors
from trainapp.studies.confidence.flows import CODES, Peaks
from trainapp.studies.confidence.indices import Indices, indices
from trainapp.studies.confidence.sobol import points
from trainapp.studies.confidence.spreads import Spreads, default_spreads
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan
from trainapp.units import System

Progress = Callable[[float], object]

#: Threads, and draws that one of them makes into waters at a time.
_THREADS, _DRAWS = 2, 4_000
#: Findings that follow from what is drawn; the others stay as they are.
_DRAWN = CODES | {"inlet-limit", "outlet-goal", "override"}
_FEWEST, _MOST_FOR_INDICES = 256, 1_024
#: Shares of failing draws between which a failure itself is what varies.
_VARIES = (0.02, 0.98)


@dataclass(frozen=True, slots=True)
class Met:
    """Something that is found in some of the draws.

    Attributes:
        what: in words ("Iron into the UV chamber"). at, analyte: where and of what, "" for flow.
        fails, cautions: in how many draws. counted: False for health and disinfection, of which no number is told.
    """

    what: str
    at: str
    analyte: str
    fails: int
    cautions: int
    counted: bool


@dataclass(frozen=True, slots=True)
class Share:
    """What one uncertain thing adds to the variance: alone, and with all that it does together with others; 0 to 1."""

    key: str
    label: str
    first: float
    total: float


@dataclass(frozen=True, slots=True)
class Confidence:
    """The answer.

    Attributes:
        document, spreads, draws, seed: what was asked.
        verdict: on the design sample. no_fail, no_caution: draws without a failure, and without a caution too.
        fixed: failures and cautions of the design that no draw changes.
        met: what is found in some draws, the most frequent failure leading.
        shares: of the variance, the greatest leading; `of_failing` whether of failing itself, else of how near a limit is.
        sampled: whether any figure of a sample was drawn. warning: what keeps people from the water now, "" for nothing.
    """

    document: Document
    spreads: Spreads
    draws: int
    seed: int
    verdict: Verdict
    no_fail: int
    no_caution: int
    fixed: tuple[Finding, ...]
    met: tuple[Met, ...]
    shares: tuple[Share, ...]
    of_failing: bool
    sampled: bool = True
    warning: str = ""


def confidence(
    document: Document,
    draws: int = 2_048,
    seed: int = 1,
    spreads: Spreads | None = None,
    system: System = "us",
    *,
    progress: Progress | None = None,
) -> Confidence:
    """How sure the verdict on a document is.

    Args:
        draws: how many cases. seed: of the scrambling; the same seed gives the same answer.
        system: the units that findings are told in.
        progress: told how far it is, 0 to 1.

    Raises:
        DocumentError: the document cannot be used.
    """
    return _Study(document, draws, seed, spreads or default_spreads(), system, progress or (lambda share: None)).answer()


class _Study:
    """One study in the making."""

    def __init__(self, document: Document, draws: int, seed: int, spreads: Spreads, system: System, progress: Progress) -> None:
        self.document, self.draws, self.seed, self.spreads, self.progress = document, draws, seed, spreads, progress
        plan = open_plan(document)
        self.design = evaluate(plan)
        self.findings = check_all(self.design, system=system)
        self.drawn = Drawn(self.design)
        self.factors = Factors(plan, spreads, frozenset(row.limit.analyte for row in self.drawn.rows))
        widest = float(np.exp(spreads.within * np.log1p(spreads.peak)))
        self.peaks = Peaks(plan, 1.0 / widest, widest)
        self.done, self.whole = 0, draws

    def answer(self) -> Confidence:
        things = len(self.factors.names)
        for_indices = 1 << int(np.log2(min(max(self.draws // 4, _FEWEST), _MOST_FOR_INDICES)))
        self.whole = self.draws + for_indices * (things + 2)
        ranks, flow_ranks, _ = self._judged(points(self.draws, things, self.seed))
        found = indices(self._results, things, for_indices, self.seed + 1)
        fixed = tuple(f for f in self.findings if f.severity != "note" and not _is_drawn(f))
        worst = np.maximum(ranks.max(axis=0) if len(ranks) else np.zeros(self.draws, dtype=np.int8), flow_ranks)
        kept = max(({"fail": 3, "caution": 2}[f.severity] for f in fixed), default=0)
        worst = np.maximum(worst, kept)
        shares, of_failing = self._shares(found)
        return Confidence(
            document=self.document,
            spreads=self.spreads,
            draws=self.draws,
            seed=self.seed,
            verdict=verdict_of(self.findings),
            no_fail=int((worst < 3).sum()),
            no_caution=int((worst < 2).sum()),
            fixed=fixed,
            met=tuple(sorted(self._met(ranks, flow_ranks), key=lambda met: (-met.fails, -met.cautions, met.what))),
            shares=shares,
            of_failing=of_failing,
            sampled=self.factors.draws_sample,
            warning=warning(self.findings),
        )

    # Running ------------------------------------------------------------------------------------------------------------------

    def _judged(self, uniform: Array) -> tuple[Ranks, Ranks, Array]:
        """Ranks of limits (rows, draws), ranks of flow (draws,), and closeness (draws,)."""
        z = self.factors.deviations(uniform)
        times = self.factors.peak(z)
        size = min(_DRAWS, -(-len(z) // _THREADS))
        parts = [z[start : start + size] for start in range(0, len(z), size)]
        # numbers are crunched outside the interpreter's lock: a second processor halves the time
        judged = self._in_threads(parts)
        ranks = np.concatenate([part.ranks for part in judged], axis=1)
        closeness = np.concatenate([part.closeness for part in judged])
        return ranks, self.peaks.rank(times), np.maximum(closeness, times / self.peaks.failing)

    def _in_threads(self, parts: Sequence[Array]) -> list[Judged]:
        """What becomes of the parts, in their order. How far it is, is counted and told here, in the thread that asked; where that one
        is stopped, parts that wait are not begun."""
        with ThreadPoolExecutor(_THREADS) as pool:
            sizes = {pool.submit(self._chunk, part): len(part) for part in parts}
            try:
                for made in as_completed(sizes):
                    made.result()
                    self.done += sizes[made]
                    self.progress(min(self.done / self.whole, 1.0))
            except BaseException:
                pool.shutdown(wait=False, cancel_futures=True)
                raise
        return [made.result() for made in sizes]

    def _chunk(self, z: Array) -> Judged:
        return self.drawn.judge(self.factors.water(z), self.factors.peak(z), self.factors.daily(z))

    def _results(self, uniform: Array) -> Array:
        """Whether it fails, and how near the nearest limit is; shape (draws, 2)."""
        ranks, flow_ranks, closeness = self._judged(uniform)
        worst = np.maximum(ranks.max(axis=0) if len(ranks) else 0, flow_ranks)
        return np.column_stack([(worst == 3).astype(np.float64), closeness])

    def _shares(self, found: Indices) -> tuple[tuple[Share, ...], bool]:
        of_failing = _VARIES[0] <= float(found.mean[0]) <= _VARIES[1]
        column = 0 if of_failing else 1
        listed = [
            Share(factor.key, factor.label, float(np.clip(first, 0.0, 1.0)), float(np.clip(total, 0.0, 1.0)))
            for factor, first, total in zip(self.factors.names, found.first[:, column], found.total[:, column], strict=True)
            if not np.isnan(total)
        ]
        return tuple(sorted(listed, key=lambda share: (-share.total, share.key))), of_failing

    # What is found ---------------------------------------------------------------------------------------------------------------

    def _met(self, ranks: Ranks, flow_ranks: Ranks) -> Iterator[Met]:
        """What is found in some draws: of each analyte at all places together, and of flow."""
        context = Context(self.design)
        of: dict[str, list[int]] = {}
        for i, row in enumerate(self.drawn.rows):
            of.setdefault(row.limit.analyte, []).append(i)
        for analyte, its in of.items():
            worst = ranks[its].max(axis=0)
            fails, cautions = int((worst == 3).sum()), int((worst == 2).sum())
            if fails or cautions:
                lead = max(its, key=lambda i: (int((ranks[i] == 3).sum()), int((ranks[i] >= 2).sum())))
                at = self.drawn.rows[lead].at
                where = "at" if at in self.design.plan.demands else "into"
                met = [self.drawn.rows[i] for i in its if (ranks[i] >= 2).any()]
                what = f"{analyte_label(analyte)} {where} {context.name(at)}"
                yield Met(what, at, analyte, fails, cautions, not _touches_health(context, met))
        for title, step in {s.finding.title: s for s in self.peaks.steps if s.finding is not None}.items():
            assert step.finding is not None
            ranks_told = {s.rank for s in self.peaks.steps if s.finding is not None and s.finding.title == title}
            fails, cautions = (int((flow_ranks == rank).sum()) if rank in ranks_told else 0 for rank in (3, 2))
            if fails or cautions:
                yield Met(title, step.finding.stage, "", fails, cautions, step.finding.stage not in context.ultraviolet)


def _is_drawn(finding: Finding) -> bool:
    """Whether a finding follows from what is drawn."""
    is_limit = finding.code == "health" and finding.analyte != "" and finding.value is not None
    return finding.code in _DRAWN or is_limit


def _touches_health(context: Context, rows: list[Row]) -> bool:
    """Whether limits are of health, or decide what light does to germs."""
    health = any(isinstance(row.limit, WaterLimit) and row.limit.kind == "health" for row in rows)
    return health or any(row.at in context.ultraviolet and row.limit.analyte in ("uvt", "turbidity") for row in rows)
