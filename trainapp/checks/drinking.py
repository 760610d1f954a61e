"""What may be done with water that is not fit to drink: the one place of this advice. Boiling ends germs and nothing else.

Boiling water for one minute kills germs and takes out neither nitrate nor metals: as water boils away they grow stronger
(EPA, Emergency disinfection of drinking water, 2017; from memory). So it is advised only as far as the sheets allow.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from trainapp.checks.context import Context, analyte_inside
from trainapp.checks.finding import Finding
from trainapp.checks.limits import LimitSet
from trainapp.train.raw import RawWater
from trainapp.water.analytes import BY_KEY

#: How every sentence begins that keeps people from water that they may be drinking.
NOT_NOW = "Do not drink this water now"
#: Substances that are named first where nobody measured them.
_FIRST = ("nitrate", "arsenic", "lead")
_NAMED = 3
#: Leaves the water as it boils.
_GOES_OFF = frozenset({"free_chlorine", "total_chlorine", "hydrogen_sulfide", "ammonia"})
_OF_HEALTH = ("health", "advisory")
_BOIL = "boil it, one minute at a rolling boil"


def stays_when_boiled(analyte: str) -> bool:
    """Whether boiling leaves it in the water: whatever is dissolved, unless it is germs or a gas."""
    return BY_KEY[analyte].dimension == "concentration" and analyte not in _GOES_OFF


def left_by_boiling(limits: LimitSet, raw: RawWater) -> tuple[list[str], list[str]]:
    """Substances with a health limit that boiling leaves in the water: over or perhaps over a limit in any sample, and measured in none."""
    health = dict.fromkeys(row.analyte for row in limits.rows if row.kind == "health" and stays_when_boiled(row.analyte))
    sheets = (raw.sheet, *raw.sheets.values(), *raw.behind.values())
    over, unmeasured = [], []
    for analyte in health:
        found = [sheet[analyte] for sheet in sheets if analyte in sheet]
        bounds = [row.maximum for row in limits.of(analyte) if row.maximum is not None and row.kind in _OF_HEALTH and row.most != "note"]
        if not found:
            unmeasured.append(analyte)
        elif bounds and max(result.high for result in found) > min(bounds):
            over.append(analyte)
    return over, sorted(unmeasured, key=lambda key: _FIRST.index(key) if key in _FIRST else len(_FIRST))


def instead(context: Context) -> str:
    """What to do instead of drinking it, as a sentence goes on after "until ...: "; it ends in a full stop."""
    over, unmeasured = left_by_boiling(context.limits, context.plan.raw)
    if over:
        return f"use another source. Boiling does not remove {_either(_inside(over))} and makes {_them(over)} stronger."
    if unmeasured:
        unsure = f"{_some(unmeasured)} (not measured) and makes {_them(unmeasured)} stronger"
        return f"use another source, or {_BOIL}. Boiling does not remove {unsure}."
    return f"{_BOIL}, or use another source."


def not_now(context: Context) -> str:
    """The first line of all where the water must not be drunk."""
    return f"{NOT_NOW}: {instead(context)}"


def until(context: Context, then: str) -> str:
    """What to do until something is done: "Until this is put right: boil it, ..."."""
    return f"Until {then}: {instead(context)}"


def warning(findings: Iterable[Finding]) -> str:
    """The sentence among these findings that keeps people from the water now, "" where there is none."""
    return next(_warnings(findings), "")


def _warnings(findings: Iterable[Finding]) -> Iterator[str]:
    return (text for finding in findings for text in finding.cautions if text.startswith(NOT_NOW))


def _inside(analytes: list[str]) -> list[str]:
    return [analyte_inside(key) for key in analytes]


def _them(analytes: list[str]) -> str:
    return "it" if len(analytes) == 1 else "them"


def _some(analytes: list[str]) -> str:
    more = len(analytes) - _NAMED
    return _either([*_inside(analytes[:_NAMED]), *([f"{more} more"] if more > 0 else [])])


def _either(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


__all__ = ["NOT_NOW", "instead", "left_by_boiling", "not_now", "stays_when_boiled", "until", "warning"]
