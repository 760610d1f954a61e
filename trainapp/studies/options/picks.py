"""The few trains of a front that are worth a column of their own, each for one reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainapp.studies.options.criteria import Criterion, PickRules, criteria, criterion, pick_rules
from trainapp.studies.options.trains import Train


@dataclass(frozen=True, slots=True)
class Pick:
    """A train and why it is picked: the criterion that it is best by, and others by which it is best too."""

    train: Train
    key: str
    also: tuple[str, ...] = ()


def picks(front: Sequence[Train], most: int | None = None) -> list[Pick]:
    """The best train by each criterion, unless one picked before does nearly as well; the cheapest to own of those that do equally well.

    Args:
        most: how many at the most; as the rules have it where none is given. Where fewer than the rules want differ enough, those that
            differ at all come next.
    """
    rules = pick_rules()
    wanted = min(most or rules.most, rules.most) if most is None or most <= rules.most else most
    affordable = _affordable(front, rules)
    chosen: list[Pick] = []
    for key in rules.order:
        if len(chosen) < wanted:
            _consider(chosen, criterion(key), affordable)
    while len(chosen) < min(rules.least, wanted) and _add_next(chosen, rules, affordable):
        pass
    return _with_all_reasons(chosen, affordable)


def _affordable(front: Sequence[Train], rules: PickRules) -> list[Train]:
    if not front:
        return []
    least = min(train.value("own") for train in front)
    return [train for train in front if train.value("own") <= least * rules.dearest]


def _consider(chosen: list[Pick], by: Criterion, trains: Sequence[Train]) -> None:
    """Add the best train by a criterion where it gains enough over those that are chosen."""
    if not trains:
        return
    best = _champion(by, trains)
    if not any(best is pick.train for pick in chosen) and (not chosen or _gain(by, best, chosen) >= 1.0):
        chosen.append(Pick(best, by.key))


def _add_next(chosen: list[Pick], rules: PickRules, trains: Sequence[Train]) -> bool:
    """Add the train that comes nearest to gaining enough by any criterion; False where none gains a step."""
    found = []
    for place, key in enumerate(rules.order):
        by = criterion(key)
        best = _champion(by, trains) if trains else None
        if best is not None and not any(best is pick.train for pick in chosen) and _gain(by, best, chosen) * _enough(by, chosen) >= by.step:
            found.append((-_gain(by, best, chosen), place, Pick(best, key)))
    if found:
        chosen.append(min(found, key=lambda row: row[:2])[2])
    return bool(found)


def _champion(by: Criterion, trains: Sequence[Train]) -> Train:
    """The cheapest to own of those within a step of the best."""
    values = [train.value(by.key) for train in trains]
    best = max(values) if by.more else min(values)
    near = [train for train, value in zip(trains, values, strict=True) if abs(value - best) < by.step]
    return min(near, key=lambda train: train.merit)


def _gain(by: Criterion, train: Train, chosen: Sequence[Pick]) -> float:
    """What a train gains by a criterion over the best of those that are chosen, in what is enough."""
    value, other = train.value(by.key), _best_of(by, chosen)
    return (value - other if by.more else other - value) / _enough(by, chosen)


def _enough(by: Criterion, chosen: Sequence[Pick]) -> float:
    """How much better than those that are chosen is a reason."""
    return max(by.least, by.share * abs(_best_of(by, chosen)), by.step)


def _best_of(by: Criterion, chosen: Sequence[Pick]) -> float:
    values = [pick.train.value(by.key) for pick in chosen]
    return max(values) if by.more else min(values)


def _with_all_reasons(chosen: Sequence[Pick], trains: Sequence[Train]) -> list[Pick]:
    """Each pick with everything else that it is best by."""
    champions = {by.key: _champion(by, trains) for by in criteria()} if trains else {}
    named = {pick.key for pick in chosen}
    also = {id(pick.train): tuple(k for k, t in champions.items() if t is pick.train and k not in named) for pick in chosen}
    return [Pick(pick.train, pick.key, also[id(pick.train)]) for pick in chosen]
