"""What stands outside the verdict, as its reader spells it."""

from __future__ import annotations

from trainapp.checks import not_judged
from trainapp.spelling import spelt
from trainapp.train.evaluation import Evaluation


def unjudged(evaluation: Evaluation) -> list[str]:
    """A clause each; a name that stands in the sample stays as it stands there."""
    own = tuple(f"{name} " for name in evaluation.plan.raw.unnamed)
    return [text if text.startswith(own) else spelt(text) for text in not_judged(evaluation)]
