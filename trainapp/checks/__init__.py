"""Checks: one module a kind of finding. What an evaluation means, worst first, with where each limit comes from.

Every module of this package that defines ``check(evaluation, context) -> Iterable[Finding]`` is asked; no list names it.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterable
from functools import cache

import numpy as np
from numpy.typing import NDArray

from trainapp.checks.accept import may_accept, with_acceptances
from trainapp.checks.context import Context
from trainapp.checks.finding import Finding
from trainapp.checks.merge import merged, ordered
from trainapp.checks.safety import safety
from trainapp.checks.summary import Verdict, headline, not_judged, verdict
from trainapp.train.evaluation import Evaluation
from trainapp.units import System

Check = Callable[[Evaluation, Context], Iterable[Finding]]


@cache
def checks() -> tuple[Check, ...]:
    """Every check there is, by the name of its module."""
    modules = (importlib.import_module(f"{__name__}.{found.name}") for found in pkgutil.iter_modules(__path__))
    return tuple(module.check for module in modules if hasattr(module, "check"))


def findings(evaluation: Evaluation, *, system: System = "us") -> list[Finding]:
    """All findings: one for each cause, worst first, with the document's acceptances beside them.

    Args:
        evaluation: of the design sample, with its worked steps kept.
        system: units of the messages; values and limits stay in internal units.
    """
    context = Context(evaluation, system)
    found = [finding for check in checks() for finding in check(evaluation, context)]
    answered = with_acceptances(merged(found, context.rank, context.ultraviolet), context.document.accepted, context.ultraviolet)
    return ordered(answered, context.rank)


def limit_ranks(evaluation: Evaluation) -> NDArray[np.int8]:
    """How bad the limits of stages and taps are broken in each water of an evaluation: 0 not, 1 note, 2 caution, 3 fail; shape (waters,).

    Only what follows from the water is judged here, one matrix for all waters; what a device says of itself is in :func:`findings`.
    """
    ranks = Context(evaluation).ranks
    return ranks.max(axis=0) if len(ranks) else np.zeros(evaluation.points["supply"].water.waters, dtype=np.int8)


__all__ = [
    "Check", "Context", "Finding", "Verdict", "checks", "findings", "headline", "limit_ranks", "may_accept", "not_judged", "safety",
    "verdict",
]  # fmt: skip
