"""Sentences about options: why one is there, what it is meant to treat, what was left out and why."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from trainapp import units
from trainapp.studies.cost import Bill
from trainapp.studies.options.criteria import Criterion, criteria, criterion
from trainapp.studies.options.layouts import Layout, Layouts
from trainapp.studies.options.picks import Pick
from trainapp.studies.options.reasons import about, why
from trainapp.studies.options.site import Site, adverse_end
from trainapp.studies.options.trains import Tally, Train
from trainapp.train.evaluation import Evaluation
from trainapp.train.zones import HOUSE
from trainapp.units import System
from trainapp.water.analytes import BY_KEY

#: What stands beside a number of treated water, and beside germs behind a chamber: nothing here is a promise.
PROVE, TEST = "prove by test", "treated, test to confirm"
#: Where a residual is so near its limit that its model cannot tell, and from which share of the limit on.
_DECIMALS = 2
CLOSE, _NEAR, _MODELLED = "too close to call, test after start-up", 0.8, frozenset({"iron", "manganese"})


def money(amount: float, currency: str, decimals: int = 2) -> str:
    """Money as it is read: whole above 100, and always in a currency without decimals; with the sign of dollars."""
    decimals = 0 if abs(amount) >= 100 else decimals
    return f"${amount:,.{decimals}f}" if currency == "USD" else f"{amount:,.{decimals}f} {currency}"


def span(years: int) -> str:
    """A number of years in words."""
    return f"{years} year{'s' * (years != 1)}"


def shown(by: Criterion, value: float, currency: str, system: System, decimals: int = 2) -> str:
    """A figure with its unit; `decimals` of the currency."""
    if by.dimension == "money":
        return money(value, currency, decimals)
    if by.dimension == "none":
        return f"{value:.0f}"
    if value == 0.0:
        return "none"
    return re.sub(r"(?<![\d.])\d{4,}", lambda found: f"{int(found[0]):,}", units.show(value, by.dimension, system))


# Why it is there ------------------------------------------------------------------------------------------------------------------

_GAIN = {
    "buy": "It costs least to buy, {value}",
    "own": "It costs {value} to own over {span} instead of {other}",
    "chores": "It asks for {value} chores a year instead of {other}",
    "pressure": "It leaves {value} at the house main instead of {other}",
    "drain": "It sends {value} of water a year to the drain instead of {other}",
    "salt": "It uses {value} of salt a year instead of {other}",
    "cautions": "It leaves {value} of the {other} cautions that other equipment can mend",
}

#: Share of the cost to buy that makes no difference.
_ABOUT = 0.01
_ALL = {"1": "the one caution", "2": "both cautions"}


def reason(pick: Pick, first: Pick, bill: Bill, years: int, system: System) -> str:
    """One sentence: what the pick is best by, what the first pick has there, and what it costs more or less to buy."""
    by, currency = criterion(pick.key), bill.currency
    value, other = (shown(by, train.value(by.key), currency, system, bill.decimals) for train in (pick.train, first.train))
    text = _GAIN[by.key].format(value=value, other=other, span=span(years))
    if by.key == "cautions" and value == "0":
        text = f"It does away with {_ALL.get(other, f'all {other} cautions')} that other equipment can mend"
    if pick is first:
        value = shown(criterion(by.key), pick.train.value(by.key), currency, system, bill.decimals)
        best = [criterion(key).label.split(",")[0] for key in pick.also]
        return f"It costs least to buy, {value}." if not best else f"It costs least to buy, {value}; no other has {_better(pick.also)}."
    dearer = pick.train.value("buy") - first.train.value("buy")
    if abs(dearer) < max(criterion("buy").step, _ABOUT * first.train.value("buy")):
        return f"{text}, for about as much to buy."
    return f"{text}, for {money(abs(dearer), currency, bill.decimals)} {'more' if dearer > 0 else 'less'} to buy."


def untied(pick: Pick, chosen: Sequence[Pick], currency: str, system: System) -> Pick:
    """A pick without what it is also best by where another of those chosen reads the same there."""

    def reads(train: Train, key: str) -> str:
        return shown(criterion(key), train.value(key), currency, system)

    others = [other.train for other in chosen if other is not pick]
    return replace(pick, also=tuple(k for k in pick.also if all(reads(other, k) != reads(pick.train, k) for other in others)))


def _better(keys: Sequence[str]) -> str:
    words = [f"{'more' if criterion(key).more else 'less'} {criterion(key).label.split(',')[0]}" for key in keys]
    words = [word.replace("less chores", "fewer chores").replace("less cautions", "fewer cautions") for word in words]
    words = [word.replace("less cost", "a lower cost") for word in words]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


# What it does -----------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Treated:
    """One thing that a site needs, and what a train makes of it.

    Attributes:
        need: key. complaint: what people see. treats: what the train is meant against.
        before, after: of the raw water and at the house, adverse end, in words; "" where it has no number.
        met: whether it comes to within its limit; None where that cannot be said. caution: what belongs beside it.
        analyte: whose numbers these are, "" where it has none.
    """

    need: str
    complaint: str
    treats: str
    before: str
    after: str
    met: bool | None
    caution: str
    analyte: str = ""


def treated(site: Site, evaluation: Evaluation) -> Iterator[Treated]:
    """What a train makes of everything that its site needs."""
    for need in site.needs:
        rule = need.rule
        if need.value is None or need.limit is None:
            yield Treated(rule.key, rule.complaint, rule.treats, "", "", None, TEST if rule.key == "germs" else "")
            continue
        left = adverse_end(rule, evaluation.points[HOUSE].water)
        dimension = BY_KEY[rule.analyte].dimension
        before, after = (beside_limit(value, need.limit, dimension, site.system, rule.analyte) for value in (need.value, left))
        said = CLOSE if need.is_met(left) and is_close(rule.analyte, left, need.limit) else PROVE
        yield Treated(rule.key, rule.complaint, rule.treats, before, after, need.is_met(left), said, rule.analyte)


def beside_limit(value: float, limit: float, dimension: str, system: System, analyte: str) -> str:
    """A predicted value beside its limit, in the decimals of every other: what would read as the limit is just under or just over it."""
    plain, bound = (units.show(number, dimension, system, analyte=analyte) for number in (value, limit))
    if plain == bound and not math.isclose(value, limit, rel_tol=1e-9):
        return f"just {'over' if value > limit else 'under'} {bound}"
    text = units.show_against_limit(value, limit, dimension, system, analyte=analyte)
    return _to_two_decimals(text, value, limit) if dimension == "concentration" else text


def _to_two_decimals(text: str, value: float, limit: float) -> str:
    """mg/L with no more than two decimals, where that neither reads as nothing nor as what its limit is."""
    number, _, unit = text.partition(" ")
    if len(number.partition(".")[2]) <= _DECIMALS or not number.replace(".", "").isdigit():
        return text
    told = round(value, _DECIMALS)
    return f"{told:.{_DECIMALS}f} {unit}" if told and (told < limit) == (value < limit) and not math.isclose(told, limit) else text


def is_close(analyte: str, value: float, limit: float) -> bool:
    """Whether a predicted residual within its limit is nearer to it than the model can tell (iron, manganese; rules of the checks)."""
    return analyte in _MODELLED and value > _NEAR * limit


# What was left out ------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Trains that are not among the options.

    Attributes:
        what: stage or way that it is about. why: in words. trains: how many; 0 where none was built.
    """

    what: str
    why: str
    trains: int


def left_out(site: Site, layouts: Layouts, built: Sequence[Layout], tally: Tally, kept: int) -> Iterator[LeftOut]:
    """What was left out and why: what the catalogue lacks, ways that do not suit, then equipment by how many trains it took with it."""
    for missing in layouts.missing.values():
        yield LeftOut(_start(missing.label), "the catalogue has none", 0)
    for need in site.needs:
        for way in need.rule.ways:
            if way.unless is not None and need.value is not None and need.value > way.unless:
                dimension = BY_KEY[need.rule.analyte].dimension
                most = units.show(way.unless, dimension, site.system, analyte=need.rule.analyte)
                names = " and ".join(_label(site, key) for key in way.places)
                yield LeftOut(f"{_start(names)} alone against {need.rule.complaint}", f"not tried above {most}", 0)
    for said, trains in sorted(tally.left_out.items(), key=lambda item: (-item[1], item[0])):
        yield LeftOut(about(site, said), why(site, built, said), trains)
    beaten = tally.considered - sum(tally.left_out.values()) - kept
    if beaten > 0:
        yield LeftOut("All others", "another train is nowhere worse and somewhere better", beaten)


def _label(site: Site, place: str) -> str:
    rules = site.rules
    known = rules.places.get(place) or rules.heads.get(place)
    return known.label if known is not None else place


def _start(text: str) -> str:
    return text[:1].upper() + text[1:]


__all__ = ["PROVE", "LeftOut", "Treated", "criteria", "left_out", "money", "reason", "shown", "span", "treated"]
