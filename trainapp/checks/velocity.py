"""Speed of the water in the pipes: `velocity`."""

from __future__ import annotations

from collections.abc import Iterable

from trainapp.checks.context import Context, inside
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import rule
from trainapp.train.evaluation import Evaluation


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """The fastest pipe speaks; the others that are too fast stand in `also_at`."""
    caution, note = rule("velocity_caution"), rule("velocity_note")
    fast = sorted((link for link in evaluation.links.values() if link.velocity > note.value * (1 + 1e-9)), key=lambda link: -link.velocity)
    if not fast:
        return
    worst = fast[0]
    limit = caution if worst.velocity > caution.value * (1 + 1e-9) else note
    where = f"between {context.name(worst.source)} and {context.name(worst.target)}"
    what = "noise, hammer and worn fittings follow" if limit is caution else "it will be heard"
    places = dict.fromkeys(link.target for link in fast[1:] if link.target != worst.target)
    yield Finding(
        "velocity", "caution" if limit is caution else "note", worst.target, f"Fast water into {context.name(worst.target)}",
        f"At the peak water runs at {context.show_against(worst.velocity, limit.value, 'velocity')} in pipe of {inside(worst.label)}, "
        f"{where}; above {context.show(limit.value, 'velocity')} {what}.",
        value=Amount.of(worst.velocity, "velocity"), limit=Amount.of(limit.value, "velocity"), source=limit.source, status=limit.status,
        also_at=tuple(places),
    )  # fmt: skip
