"""What samples of treated water hold that no design can answer: germs behind the disinfection or at a tap (`health`)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from trainapp.checks.context import Context, analyte_label
from trainapp.checks.drinking import not_now
from trainapp.checks.finding import Amount, Finding
from trainapp.train.evaluation import Evaluation
from trainapp.water.sample import Result

_GERMS = ("e_coli", "total_coliform")
_FIND = "Shut the taps for drinking, disinfect the pipes behind the chamber and test again: two samples in a row have to be clear."


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Every place behind a chamber, and every tap, whose sample holds coliform or E. coli."""
    for at, sheet in context.tests.items():
        if at in context.ends or at in context.ultraviolet or context.before(at) & set(context.ultraviolet):
            yield from _germs(context, at, sheet)


def _germs(context: Context, at: str, sheet: Mapping[str, Result]) -> Iterator[Finding]:
    for name in _GERMS:
        result = sheet.get(name)
        if result is None or not result.low > 0.0:
            continue
        label = analyte_label(name)
        behind = at in context.ultraviolet or bool(context.before(at) & set(context.ultraviolet))
        where = context.name(at) if at in context.ends else f"the water leaving {context.name(at)}"
        tail = "the disinfection did not hold, or germs came in behind it" if behind else "nothing disinfects it"
        drunk = at not in context.plan.demands or context.plan.demands[at].drinking
        row = next(iter(context.limits.of(name)), None)
        yield Finding(
            "health" if drunk else "after-start-up", "fail" if drunk else "note", at, f"{label} in {where}",
            f"A sample of {where} holds {label if name == 'e_coli' else 'coliform bacteria'}: {tail}.", name,
            limit=Amount.of(0.0, "count"), source=row.source if row else "common-practice",
            status=row.status if row else "common practice", cause=f"health:{name}" if drunk else f"germs:{at}:{name}",
            cautions=(not_now(context), *((_FIND,) if behind else ())) if drunk else (),
        )  # fmt: skip
