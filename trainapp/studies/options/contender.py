"""What stands side by side: the water left as it is, the train on the bench, and trains that are proposed, all counted alike."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from trainapp.data import load_toml
from trainapp.studies.confidence import Confidence
from trainapp.studies.cost import PriceList
from trainapp.studies.cost.money import rounded
from trainapp.studies.options.measure import Measured, measure
from trainapp.studies.options.proposal import Option
from trainapp.studies.options.site import Site
from trainapp.studies.options.words import Treated, money, treated
from trainapp.studies.year import Options, run
from trainapp.studies.year.goals import conditions
from trainapp.train.document import Document
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

Kind = Literal["left", "bench", "option"]
LEFT, BENCH = "left", "bench"


@dataclass(frozen=True, slots=True)
class Served:
    """A year of service, looked after on time.

    Attributes:
        drawn: hours in which the house drew water. wrong: of these, hours in which it was beyond what a house notices, by analyte.
        nuisance: least and most money a month of it. Illustrative: never shown without that word.
    """

    drawn: float
    wrong: Mapping[str, float]
    nuisance: tuple[Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class Contender:
    """One column.

    Attributes:
        key: its own, whatever it is called. kind: what it is. name: on the board.
        reason: one sentence; "" of an option that was counted anew, since what it was picked for need not hold: see :func:`reason_now`.
        document: as it is evaluated.
        measured: evaluation, findings, bill, figures. treats: what it makes of what the site needs.
        kept: whether it stays on the board when others are proposed. why: the criterion that it was picked for, "" for none.
        served, sure: of a year and of draws; None until they were run.
    """

    key: str
    kind: Kind
    name: str
    reason: str
    document: Document
    measured: Measured
    treats: tuple[Treated, ...]
    kept: bool = False
    why: str = ""
    served: Served | None = None
    sure: Confidence | None = None

    @property
    def fails(self) -> int:
        """How many failures it has, those included that nothing here can solve."""
        return sum(finding.severity == "fail" for finding in self.measured.findings)


def left_as_it_is(site: Site, prices: PriceList, years: int) -> Contender:
    """The raw water straight to the house."""
    reason = "No treatment: what the raw water goes on doing."
    return _made(LEFT, "left", "Left as it is", reason, site.bare.plan.document, site, prices, years)


def on_the_bench(site: Site, prices: PriceList, years: int) -> Contender:
    """The train that is drawn in the document of a site."""
    made = _made(BENCH, "bench", "On the bench", "", site.document, site, prices, years)
    still = f" It still has {made.fails} fail{'s' * (made.fails != 1)}." if made.fails else ""
    return replace(made, reason=f"The train as it is drawn now.{still}")


def of_option(option: Option) -> Contender:
    """A train that was proposed."""
    document = option.document
    return Contender(key_of(document), "option", option.name, option.reason, document, option.measured, option.treats, why=option.key)


def key_of(document: Document) -> str:
    """What tells one train from others, whatever house it stands in."""
    tree = document.tree
    told = json.dumps([tree.get("stages", []), tree.get("items", {})], sort_keys=True, ensure_ascii=False, default=str)
    return f"option-{hashlib.blake2s(told.encode(), digest_size=6).hexdigest()}"


def again(contender: Contender, site: Site, prices: PriceList, years: int) -> Contender:
    """The same train counted anew on a site as it is supposed now. A year and draws have to be run again, and its reason is gone."""
    if contender.kind == "left":
        return left_as_it_is(site, prices, years)
    if contender.kind == "bench":
        return on_the_bench(site, prices, years)
    document = site.build(contender.document.tree["stages"], contender.document.items)
    made = _made(contender.key, "option", contender.name, "", document, site, prices, years)
    return replace(made, kept=contender.kept, why=contender.why)


def reason_now(contender: Contender, beside: Sequence[Contender]) -> str:
    """Why a column is there: the reason it was picked for, or of one counted anew what holds now beside the other options."""
    if contender.reason or contender.kind != "option":
        return contender.reason
    bill, others = contender.measured.bill, [c for c in beside if c.kind == "option" and c.key != contender.key]
    begins = f"{'Kept' if contender.kept else 'Counted anew'}: it costs {money(float(bill.buy), bill.currency, bill.decimals)} to buy"
    cheapest = min(others, key=lambda other: other.measured.bill.buy, default=None)
    if cheapest is None:
        return f"{begins}."
    more = bill.buy - cheapest.measured.bill.buy
    if more <= 0:
        return f"{begins}; no other option here costs less."
    return f"{begins}, {money(float(more), bill.currency, bill.decimals)} more than {cheapest.name}."


def _made(key: str, kind: Kind, name: str, reason: str, document: Document, site: Site, prices: PriceList, years: int) -> Contender:
    full = measure(site, evaluate(open_plan(document)), prices, years)
    return Contender(key, kind, name, reason, document, full, tuple(treated(site, full.evaluation)))


def served(contender: Contender, prices: PriceList, cancelled: Callable[[], bool] | None = None) -> Served:
    """Run a year of it.

    Args:
        cancelled: asked each day whether to give up.

    Raises:
        Cancelled: of the year, where it was given up.
    """
    go_on = None if cancelled is None else lambda share: not cancelled()
    totals = run(contender.document, Options(detail="hour"), progress=go_on).totals
    analytes = {condition.key: condition.analyte for condition in conditions()}
    wrong = {analytes[key]: hours for key, hours in totals.judged.items()}
    low, high = zip((Decimal(0), Decimal(0)), *_nuisance(wrong, totals.drawn_hours), strict=True)
    wage = prices.labour * contender.document.people
    return Served(totals.drawn_hours, wrong, (rounded(sum(low) * wage, prices.decimals), rounded(sum(high) * wage, prices.decimals)))


def _nuisance(wrong: Mapping[str, float], drawn: float) -> Iterator[tuple[Decimal, Decimal]]:
    """Least and most fitter's hours a month and person, for each thing that a house notices."""
    for row in load_toml("options/left_as_it_is.toml")["nuisance"]:
        share = Decimal(repr(wrong.get(row["analyte"], 0.0) / drawn)) if drawn > 0 else Decimal(0)
        yield Decimal(str(row["low"])) * share, Decimal(str(row["high"])) * share
