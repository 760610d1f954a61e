"""What a laboratory sheet says that does not fit together, and water that leaves a stage unlike its prediction: `sample-doubt`."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import isfinite, log10

from trainapp.checks.context import SUPPLY, Context, analyte_label
from trainapp.checks.finding import Amount, Finding
from trainapp.checks.policy import amount, rule
from trainapp.data import load_toml
from trainapp.stages.base import Severity
from trainapp.stages.working import AVERAGE
from trainapp.train.evaluation import Evaluation
from trainapp.water.analytes import BY_KEY
from trainapp.water.carbonate import Ions, from_ph
from trainapp.water.indices import BALANCE_NEEDS, charge_balance, conductivity
from trainapp.water.sample import Result
from trainapp.water.stream import Stream

#: A sheet as something that can be kept: results by analyte, in alphabetical order.
Sheet = tuple[tuple[str, Result], ...]


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something that does not fit: how bad, a title, a sentence, the analyte that it hangs on, the source of the test."""

    severity: Severity
    title: str
    sentence: str
    analyte: str
    source: str
    status: str


def check(evaluation: Evaluation, context: Context) -> Iterable[Finding]:
    """Each sheet taken at the supply for itself, then each taken behind a stage against its prediction."""
    raw = context.plan.raw
    for sample in context.document.samples:
        at, sheet = sample.word("at"), raw.sheets[sample.id]
        if at == SUPPLY:
            for doubt in doubts(tuple(sorted(sheet.items()))):
                yield Finding(
                    "sample-doubt", doubt.severity, "", doubt.title, f'Sample "{sample.id}": {doubt.sentence}', doubt.analyte,
                    source=doubt.source, status=doubt.status, cause=f"sample-doubt:{doubt.title}",
                )  # fmt: skip
        elif at in evaluation.points:
            yield from _behind(evaluation, context, at, sample.id, sheet)


@lru_cache(maxsize=256)
def doubts(sheet: Sheet) -> tuple[Doubt, ...]:
    """All doubts about one sheet. Kept, because an edit of the train asks again about the same sheet."""
    results = dict(sheet)
    return tuple(doubt for test in _TESTS for doubt in test(results))


# Parts and wholes ---------------------------------------------------------------------------------------------------------

#: A part, its whole, and how far a laboratory may be off.
_PARTS = (("iron_dissolved", "iron"), ("manganese_dissolved", "manganese"), ("turbidity_filtered_5um", "turbidity"), ("free_chlorine", "total_chlorine"))


def _parts(sheet: Mapping[str, Result]) -> Iterator[Doubt]:
    off = amount("laboratory_error")
    for part, whole in _PARTS:
        if part in sheet and whole in sheet and sheet[part].low > sheet[whole].high * (1 + off):
            yield Doubt(
                "caution", f"More {_inside(part)} than {_inside(whole)}",
                f"{analyte_label(part)} is more than {_inside(whole)} in all: one of the two is wrong.", part, "logic", "computed",
            )  # fmt: skip
    if "uvt" in sheet and "uvt_filtered" in sheet and sheet["uvt_filtered"].high < sheet["uvt"].low:
        yield Doubt(
            "caution", "UVT falls by filtering", "UVT after filtering is below UVT before it: one of the two is wrong.", "uvt_filtered", "logic", "computed",
        )  # fmt: skip
    if "e_coli" in sheet and "total_coliform" in sheet and sheet["e_coli"].low > sheet["total_coliform"].high:
        yield Doubt(
            "caution", "E. coli without coliform", "E. coli is a coliform, and total coliform is less than it: ask the laboratory.",
            "total_coliform", "logic", "computed",
        )  # fmt: skip


def _hardness(sheet: Mapping[str, Result]) -> Iterator[Doubt]:
    if not {"hardness", "calcium", "magnesium"} <= sheet.keys():
        return
    summed = 2.4973 * sheet["calcium"].high + 4.1180 * sheet["magnesium"].high
    given, off = sheet["hardness"].high, amount("laboratory_error")
    if abs(summed - given) > max(off * max(summed, given), 10.0):
        yield Doubt(
            "caution", "Hardness does not fit calcium and magnesium",
            f"Calcium and magnesium make {summed:.0f} mg/L of hardness and {given:.0f} mg/L is given.", "hardness", "sm-2340b", "from memory",
        )  # fmt: skip


def _absorbance(sheet: Mapping[str, Result]) -> Iterator[Doubt]:
    """Iron against UVT: rust alone must not absorb more than the whole water does."""
    if "uvt" not in sheet or "iron" not in sheet or sheet["uvt"].low <= 0:
        return
    whole = -log10(sheet["uvt"].low / 100.0)
    ferric = load_toml("water/particles.toml")["ferric_absorbance"]["value"]
    rust = max(sheet["iron"].low - sheet["iron_dissolved"].high, 0.0) if "iron_dissolved" in sheet else 0.0
    if ferric * rust > whole * (1 + amount("laboratory_error")):
        yield Doubt(
            "caution", "Iron and UVT do not fit",
            f"The rust in this water alone would absorb {ferric * rust:.2f} per cm and the UVT given means {whole:.2f} in all.",
            "uvt", "bolton-2001", "from memory",
        )  # fmt: skip
    elif ferric * sheet["iron"].low > whole:
        yield Doubt(
            "note", "UVT was measured before the iron rusted",
            f"Once all its iron is rust this water absorbs {ferric * sheet['iron'].low:.2f} per cm; the UVT given means {whole:.2f}, so it was "
            "measured while iron was still dissolved: measure UVT again behind the iron stage.",
            "uvt", "bolton-2001", "from memory",
        )  # fmt: skip


# Sums ---------------------------------------------------------------------------------------------------------------------


def _charges(sheet: Mapping[str, Result]) -> Iterator[Doubt]:
    if not sheet.keys() >= set(BALANCE_NEEDS):
        return
    balance = charge_balance(_numbers(sheet))
    error, allowed = float(balance.error), float(balance.allowed)
    if abs(error) > allowed:
        more = "positive" if error > 0 else "negative"
        yield Doubt(
            "caution" if abs(error) > max(allowed, amount("charge_error")) else "note", "The charges do not balance",
            f"The ions carry {abs(error):.1f} % more {more} charge than the other; {allowed:.0f} % is accepted: look at units and bases, "
            "alkalinity as bicarbonate above all.",
            "alkalinity", "sm-1030e", "from memory",
        )  # fmt: skip


def _conductivity(sheet: Mapping[str, Result]) -> Iterator[Doubt]:
    """Within 15 % of what the ions conduct; only where all that count were measured."""
    if not sheet.keys() >= {*BALANCE_NEEDS, "conductivity", "ph"}:
        return
    numbers = _numbers(sheet)
    names = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "nitrate", "ammonia")
    ions = Ions(*(numbers.get(name, 0.0) for name in names))
    conducted = float(conductivity(from_ph(numbers["ph"], numbers["alkalinity"], ions, numbers.get("temperature", 25.0))))
    given, off = numbers["conductivity"], rule("conductivity_error")
    if isfinite(conducted) and abs(conducted - given) > off.value * given:
        yield Doubt(
            "caution", "Conductivity does not fit the ions",
            f"The ions given conduct {conducted:.0f} uS/cm and {given:.0f} uS/cm was measured.", "conductivity", off.source, off.status,
        )  # fmt: skip


def _solids(sheet: Mapping[str, Result]) -> Iterator[Doubt]:
    if not {"tds", "conductivity"} <= sheet.keys() or sheet["conductivity"].low <= 0:
        return
    ratio = sheet["tds"].high / sheet["conductivity"].high
    if not 0.45 <= ratio <= 0.85:
        yield Doubt(
            "note", "Dissolved solids do not fit conductivity",
            f"Dissolved solids are {ratio:.2f} of conductivity; 0.55 to 0.70 is usual.", "tds", "sm-1030e", "from memory",
        )  # fmt: skip


def _alkalinity(sheet: Mapping[str, Result]) -> Iterator[Doubt]:
    if {"alkalinity", "ph"} <= sheet.keys() and sheet["alkalinity"].high < 1.0 and sheet["ph"].low > 5.5:
        yield Doubt(
            "caution", "pH without alkalinity", f"A pH of {sheet['ph'].low:.1f} needs some alkalinity, and none is given.", "alkalinity", "logic", "computed",
        )  # fmt: skip


def _basis(sheet: Mapping[str, Result]) -> Iterator[Doubt]:
    """Nitrate that breaks its limit as nitrogen and keeps it as nitrate, with no word on which it is."""
    nitrate = sheet.get("nitrate")
    if nitrate is None or nitrate.basis_given or nitrate.kind != "value":
        return
    if 10.0 < nitrate.high <= 44.3:
        yield Doubt(
            "caution", "Nitrate: as nitrogen or as nitrate?",
            f"Nitrate of {nitrate.high:g} mg/L is read as nitrogen; as nitrate it would be {nitrate.high / 4.427:.1f} mg/L of nitrogen: ask the "
            'laboratory and write "as N" or "as NO3".',
            "nitrate", "stoichiometry", "computed",
        )  # fmt: skip


def _estimates(sheet: Mapping[str, Result]) -> Iterator[Doubt]:
    named = [analyte_label(name) for name, result in sheet.items() if result.method == "estimate"]
    if named:
        severity: Severity = "caution" if "uvt" in sheet and sheet["uvt"].method == "estimate" else "note"
        yield Doubt(
            severity, "Estimated, not measured", f"{', '.join(named)} is an estimate: have it measured before anything is bought.",
            "uvt" if severity == "caution" else "", "document", "common practice",
        )  # fmt: skip


_TESTS: tuple[Callable[[Mapping[str, Result]], Iterator[Doubt]], ...] = (
    _parts, _hardness, _absorbance, _charges, _conductivity, _solids, _alkalinity, _basis, _estimates,
)  # fmt: skip


def _numbers(sheet: Mapping[str, Result]) -> dict[str, float]:
    """The numbers of a sheet, non-detects at half of what was looked for."""
    return {
        name: result.high if result.kind == "value" else 0.5 * (result.low + result.high)
        for name, result in sheet.items()
        if result.kind != "state" and isfinite(result.high)
    }


# Behind a stage -----------------------------------------------------------------------------------------------------------


def _behind(evaluation: Evaluation, context: Context, at: str, sample: str, sheet: Mapping[str, Result]) -> Iterator[Finding]:
    """A sample of treated water that is worse than predicted: the stage does less than its model."""
    water = evaluation.points[at].water
    for name, result in sheet.items():
        analyte = BY_KEY[name]
        if analyte.adverse != "high" or analyte.states or not water.is_known(name)[0]:
            continue
        predicted = _high(water, name)
        if isfinite(predicted) and result.low > predicted * (1.0 + amount("model_accuracy")) and result.low > 0:
            yield Finding(
                "sample-doubt", "caution", at, f"{analyte.label} behind {context.name(at)} is more than predicted",
                f'Sample "{sample}" has {context.show(result.low, analyte.dimension, name)} of {_inside(name)} behind {context.name(at)}; at most '
                f"{context.show(predicted, analyte.dimension, name)} was predicted: the measurement counts, find out why.",
                name, Amount.of(result.low, analyte.dimension), Amount.of(predicted, analyte.dimension), "document",
                cause=f"sample-doubt:{at}:{name}",
            )  # fmt: skip


def _high(water: Stream, name: str) -> float:
    return float(water.high(name)[AVERAGE, 0])


def _inside(key: str) -> str:
    label = analyte_label(key)
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]
