"""The kitchen-table start: a first train from what someone knows by heart, and what has to be tested before it is believed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from trainapp import __version__, data, units
from trainapp.checks import findings as check_all
from trainapp.studies.remedies import Remedy, Workshop, key_of
from trainapp.studies.remedies_worth import asks_for_a_test
from trainapp.studies.sampling_order import SamplingOrder, sampling_order
from trainapp.studies.start_stages import Called, Draft, calls, lay, not_called
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document, DocumentError
from trainapp.train.edits import SetValue, apply, plan_edit
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan
from trainapp.water.analytes import BY_KEY

Source = Literal["drilled_well", "driven_well", "dug_well", "spring", "surface", "rain", "mains"]
SOURCES: tuple[Source, ...] = get_args(Source)
#: What is asked about the water, in the order of asking.
ASKED = ("hardness", "iron", "ph")
_SAMPLE = "kitchen-table"
#: Failures and cautions that are put right before the first train is shown, at the most.
_ROUNDS = 10


@dataclass(frozen=True, slots=True)
class Answers:
    """What someone at a kitchen table says.

    Attributes:
        source: what kind of source; None where nobody said.
        people: how many live there; None where nobody said.
        hardness, iron, ph: as a result is written ("18 gpg", "<0.1 mg/L", "7.2"); None: not tested.
        name: of the site.
    """

    source: Source | None = None
    people: int | None = None
    hardness: str | None = None
    iron: str | None = None
    ph: str | None = None
    name: str = ""

    @property
    def taken(self) -> Source:
        """The source that is reckoned with."""
        return self.source or "drilled_well"


@dataclass(frozen=True, slots=True)
class Started:
    """The first train.

    Attributes:
        document: evaluates; its notes and its log say what is assumed and why each stage is there.
        assumed: what nobody said or looked at, a sentence each.
        chosen: why each stage stands there, why none was put in for an answer, and what was put right, a sentence each.
        order: what has to be tested.
    """

    document: Document
    assumed: tuple[str, ...]
    chosen: tuple[str, ...]
    order: SamplingOrder


def start(answers: Answers, *, catalogue: Catalogue | None = None) -> Started:
    """A first train for these answers, on items of the catalogue that fit its water and flow.

    Raises:
        DocumentError: an answer that cannot be read, named by its question (`start.hardness: "3 furlongs" is not a hardness`).
    """
    catalogue = catalogue or Catalogue.load()
    bare = Document.of(_tree(answers))
    draft = Draft(bare, catalogue)
    laid = [lay(draft, call) for call in calls(answers.taken, _results(answers))]
    chosen = [call for call in laid if call is not None]
    document, mended = _mended(draft.document, catalogue)
    assumed = tuple(_assumed(answers))
    spared = tuple(not_called(_results(answers), {call.kind for call in chosen}))
    reasons = (*(call.sentence for call in chosen), *spared, *mended)
    document = _told(document, answers, assumed, chosen, spared, mended)
    return Started(document, assumed, reasons, sampling_order(evaluate(open_plan(document))))


# The bare site ------------------------------------------------------------------------------------------------------------------


def _table() -> Mapping[str, Any]:
    return data.load_toml("start/start.toml")


def _tree(answers: Answers) -> dict[str, Any]:
    """A document without stages."""
    house = _table()["house"]
    people = house["people"] if answers.people is None else answers.people
    if not isinstance(people, int) or isinstance(people, bool) or not 1 <= people <= house["most"]:
        raise DocumentError("start.people", f"a household start is for 1 to {house['most']} people")
    baths = _bathrooms(people)
    fixtures = {key: each * baths for key, each in house["each"].items()} | dict(house["shared"])
    return {
        "format": "trainapp/train",
        "version": 1,
        "made_with": {"program": __version__, "limits": "us"},
        "site": {"name": answers.name or "New site", "use": "household", "people": people, "notes": ""},
        "supply": {**_supply(answers.taken)["entry"], "source": answers.taken},
        "demand": {"fixtures": fixtures, "people": people, "pattern": "household"},
        "samples": [{"id": _SAMPLE, "at": "supply", "lab": "", "results": _results(answers)}],
        "design_sample": _SAMPLE,
        "plumbing": {**{key: _table()["plumbing"][key] for key in ("material", "length", "fittings")}, "size": _pipe_size(baths)},
        "links": [{"from": "supply", "to": "house"}],
    }


def _bathrooms(people: int) -> int:
    """Bathrooms that a household of so many has."""
    return next(int(row["bathrooms"]) for row in _table()["house"]["bathrooms"] if people <= row["people"])


def _pipe_size(baths: int) -> str:
    return next(str(row["size"]) for row in _table()["plumbing"]["sizes"] if baths <= row["bathrooms"])


def _supply(source: str) -> Mapping[str, Any]:
    for row in _table()["supply"]:
        if source in row["sources"]:
            found: Mapping[str, Any] = row
            return found
    raise DocumentError("start.source", f'"{source}" is not one of {", ".join(SOURCES)}')


def _results(answers: Answers) -> dict[str, Any]:
    """What was told, as results of a field test."""
    results = {}
    for analyte in ASKED:
        text = getattr(answers, analyte)
        if text is None or not str(text).strip():
            continue
        dimension = BY_KEY[analyte].dimension
        try:
            units.parse(str(text).strip().lstrip("<>").strip(), dimension)
        except units.UnitError as error:
            raise DocumentError(f"start.{analyte}", str(error)) from None
        results[analyte] = {"value": str(text).strip(), "method": "field"}
    return results


# What is put right ----------------------------------------------------------------------------------------------------------------


def _mended(document: Document, catalogue: Catalogue) -> tuple[Document, tuple[str, ...]]:
    """Apply the best remedy of each failure and each caution of the train's own making that has one, the worst first, and say so."""
    said: list[str] = []
    given_up: set[tuple[str, str, str, str]] = set()
    for _ in range(_ROUNDS):
        evaluation = evaluate(open_plan(document))
        shop = Workshop(document, evaluation, check_all(evaluation), catalogue=catalogue)
        remedy = _first_helps(shop, given_up)
        if remedy is None:
            break
        document = apply(document, plan_edit(document, remedy.edit, catalogue))
        said.append(remedy.label)
        # what could not be helped may be now: a larger pipe leaves pressure for what takes some
        given_up.clear()
    return document, tuple(said)


def _first_helps(shop: Workshop, given_up: set[tuple[str, str, str, str]]) -> Remedy | None:
    """The best that clears the worst finding that can be helped, else the best that makes it less severe."""
    for finding in shop.findings:
        key = (*key_of(finding), finding.severity)
        if finding.severity == "note" or asks_for_a_test(finding) or key in given_up:
            continue
        answer = shop.remedies(finding, limit=1)
        best = (*answer.offered, *answer.easing)[:1]
        if best:
            return best[0]
        given_up.add(key)
    return None


# What is told -----------------------------------------------------------------------------------------------------------------------


def _assumed(answers: Answers) -> Iterator[str]:
    """What nobody said or looked at."""
    house, supply = _table()["house"], _supply(answers.taken)
    if answers.source is None:
        yield f"{_capital(_table()['words'][answers.taken])}, because nobody said what kind of source."
    if answers.people is None:
        yield f"{house['people']} people, because nobody said how many."
    baths = _bathrooms(house["people"] if answers.people is None else answers.people)
    rooms = f"{baths} bathroom{'s' * (baths != 1)}"
    yield f"A house with {rooms}, each with a shower, one kitchen sink and one clothes washer; it sets the peak."
    yield f"{_capital(supply['words'])}; read the pump, the switch and the gauge."
    pipe = _table()["plumbing"]
    yield f"{_pipe_size(baths)} copper pipe, {pipe['length']} and two elbows between stages."
    untested = [BY_KEY[analyte].label for analyte in ASKED if getattr(answers, analyte) is None]
    if untested:
        yield f"{', '.join(untested)}: not tested, taken within what is usual for such a source."
    yield "Not tested yet: germs, nitrate, metals, UV transmittance and all else. The sampling order names what is needed."


def _told(
    document: Document, answers: Answers, assumed: tuple[str, ...], chosen: list[Called], spared: tuple[str, ...], mended: tuple[str, ...]
) -> Document:
    """The document with its notes, and a log of assumptions and choices."""
    notes = "A first train from answers at a kitchen table, to be checked on the site. Assumed: " + " ".join(assumed)
    if spared:
        notes += " Not put in: " + " ".join(spared)
    if mended:
        notes += " Then put right on paper: " + " ".join(mended)
    log: list[dict[str, Any]] = [{"event": "start", "text": f"Told: {_told_results(answers)}."}]
    log += [{"event": "assumed", "text": text} for text in assumed]
    log += [{"event": "chosen", "stage": call.stage, "text": call.sentence} for call in chosen]
    log += [{"event": "not put in", "text": text} for text in spared]
    log += [{"event": "put right", "text": text} for text in mended]
    for path, value in (("site.notes", notes), ("log", log)):
        document = apply(document, plan_edit(document, SetValue(path=path, value=value)))
    return document


def _told_results(answers: Answers) -> str:
    parts = [_table()["words"][answers.taken] if answers.source else "a source that nobody named"]
    parts += [f"{getattr(answers, a)} of {a}" if a != "ph" else f"pH {answers.ph}" for a in ASKED if getattr(answers, a) is not None]
    return ", ".join(parts)


def source_words() -> Mapping[str, str]:
    """Every kind of source in words ("a drilled well"), in the order of asking."""
    words: Mapping[str, str] = {source: _table()["words"][source] for source in SOURCES}
    return words


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
