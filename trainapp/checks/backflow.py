"""Water that runs a pipe against its arrow: a bridge between lanes that the pressures drive backwards."""

from __future__ import annotations

from collections.abc import Iterator

from trainapp.checks.context import Context
from trainapp.checks.finding import Amount, Finding
from trainapp.train.evaluation import Evaluation

#: m3/s below which a flow is the solver's rounding.
_NONE = 1e-9


def check(evaluation: Evaluation, context: Context) -> Iterator[Finding]:
    """Every pipe that runs backwards at any of the three flows."""
    for (source, target), link in evaluation.links.items():
        most = -float(link.flow.min())
        if most > _NONE:
            way = f"from {context.name(source)} to {context.name(target)}"
            message = (
                f"{context.show(most, 'flow')} runs back through the pipe {way}: treated water mixes with untreated, and what is told of "
                "the water behind it does not hold. Turn the pipe round or take it out."
            )
            yield Finding(
                "backflow", "fail", target, f"Water runs backwards into {context.name(source)}", message,
                value=Amount.of(-most, "flow"), limit=Amount.of(0.0, "flow"), source="logic", status="computed", cause=f"backflow:{source}",
            )  # fmt: skip
