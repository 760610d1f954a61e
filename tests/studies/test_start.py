"""The kitchen-table start: for any answers a train that evaluates, fails in nothing it could have put right, and says what it assumes."""

from __future__ import annotations

from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainapp.checks import findings as check_all
from trainapp.checks.finding import Finding
from trainapp.studies.remedies_worth import asks_for_a_test
from trainapp.studies.start import ASKED, SOURCES, Answers, Source, Started, start
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import DocumentError, dumps, loads
from trainapp.train.evaluate import evaluate
from trainapp.train.model import ItemRow
from trainapp.train.plan import open_plan
from trainapp.train.raw import AT_RISK


def found_in(started: Started) -> list[Finding]:
    return check_all(evaluate(open_plan(loads(dumps(started.document)))))


def kinds(started: Started) -> list[str]:
    """Kinds of stage in the order of flow."""
    plan = open_plan(started.document)
    return [plan.stages[node].spec.kind for node in plan.order if node in plan.stages]


def holds(answers: Answers) -> Started:
    """What is true of every start."""
    started = start(answers)
    document = started.document
    found = found_in(started)
    assert [f for f in found if f.severity == "fail"] == []
    assert document.site.word("notes").startswith("A first train from answers at a kitchen table") and started.assumed
    assert all(text in document.site.word("notes") for text in started.assumed)
    assert [row["text"] for row in document.log if row["event"] == "assumed"] == list(started.assumed)
    # every stage is an item, and the log says why each of the first stands there
    assert all(entry.item in document.items for entry in document.stages)
    told = {row["stage"] for row in document.log if row["event"] == "chosen"}
    assert told <= {entry.id for entry in document.stages} and (told or not document.stages)
    assert started.order.test("nitrate") is not None and started.order.test("lead") is not None
    return started


# Grid of answers --------------------------------------------------------------------------------------------------------------

#: Nobody has to know more than this by heart.
GRID = list(
    product(
        ("drilled_well", "mains", "spring", "surface"),
        (1, 2, 4, 6, 8),
        ("0 gpg", "3 gpg", "6.4 gpg", "12 gpg", "20 gpg", "40 gpg"),
        ("0 mg/L", "0.2 mg/L", "1 mg/L", "3 mg/L", "6 mg/L"),
        ("6.0", "6.4", "7.0", "8.0"),
    )
)


# a sample of the grid; its step has no factor in common with any of its sides, so that every answer meets every source
@pytest.mark.parametrize("answers", GRID[:: 2400 // 8 + 1], ids=lambda a: "-".join(map(str, a)).replace(" ", ""))
def test_the_first_train_has_no_fault_of_its_own(answers: tuple[Source, int, str, str, str]) -> None:
    started = holds(Answers(*answers))
    assert [f.title for f in found_in(started) if f.severity == "caution" and not asks_for_a_test(f)] == []


def test_clocks_stand_apart() -> None:
    started = holds(Answers("drilled_well", 4, "20 gpg", "3 mg/L", "6.4"))
    hours = {r.cleaning.hour for r in evaluate(open_plan(started.document)).stages.values() if r.cleaning is not None}
    assert len(hours) >= 2 and min(b - a for a, b in pairwise(sorted(hours))) >= 2.0


def test_a_stage_is_called_for_by_a_limit_that_is_named() -> None:
    told = " ".join(holds(Answers("drilled_well", 3, "18 gpg", "2.1 mg/L", "6.3")).chosen)
    assert "Iron is 2.1 mg/L, above 0.3 mg/L; so much stains" in told and "pH is 6.3, below 6.5; water so acid" in told
    # the limit is told in the unit of the answer: 120 mg/L is 7.0 gpg
    assert "Hardness is 18 gpg, above 7.0 gpg; such water is hard" in told
    assert "Hardness is 300 mg/L, above 120 mg/L;" in " ".join(holds(Answers("drilled_well", 3, "300 mg/L")).chosen)
    assert not any("no germs" in text for text in start(Answers()).assumed)


def test_an_answer_that_calls_for_nothing_is_answered() -> None:
    started = holds(Answers("drilled_well", 2, "6.4 gpg", "0.1 mg/L", "7.2"))
    assert kinds(started) == ["sediment_cartridge"]
    told = " ".join(started.chosen)
    assert "Hardness is 6.4 gpg: up to 120 mg/L (7 gpg)" in told and "Iron is 0.1 mg/L" in told and "pH is 7.2" in told
    assert "Not put in: pH is 7.2: it asks for no neutralizer" in started.document.site.word("notes")
    # hardness from the neutralizer has its softener: nothing then says that none is put in
    spring = holds(Answers("spring", 2, "3 gpg", None, "6.2"))
    assert "softener" in kinds(spring) and not any("no softener" in text for text in spring.chosen)


def test_acid_water_with_much_iron_is_strained_before_its_ph_is_raised() -> None:
    order = kinds(holds(Answers("drilled_well", 4, "20 gpg", "6 mg/L", "6.0")))
    assert "iron_filter" not in order
    assert order.index("oxidant_feed") < order.index("sediment_bed") < order.index("neutralizer") < order.index("softener")


@given(
    st.sampled_from(SOURCES), st.integers(1, 8), st.none() | st.floats(0, 35), st.none() | st.floats(0, 12), st.none() | st.floats(5.5, 9)
)
@settings(max_examples=2)
def test_any_answer_of_a_household(source: str, people: int, hardness: float | None, iron: float | None, ph: float | None) -> None:
    texts = [None if v is None else f"{v:.2f}{unit}" for v, unit in ((hardness, " gpg"), (iron, " mg/L"), (ph, ""))]
    holds(Answers(source, people, *texts))  # type: ignore[arg-type]


# What the answers call for -----------------------------------------------------------------------------------------------------


def test_nothing_told_calls_for_a_cartridge_alone_on_a_well() -> None:
    started = holds(Answers())
    assert kinds(started) == ["sediment_cartridge"] and started.chosen[0].startswith("Sediment cartridge 20 um")
    assert started.assumed[:2] == (
        "A drilled well, because nobody said what kind of source.",
        "4 people, because nobody said how many.",
    )
    assert started.document.supply.word("source") == "drilled_well"
    assert started.document.log[0]["text"] == "Told: a source that nobody named."
    assert any("Hardness, Iron, pH: not tested" in text for text in started.assumed)
    assert started.document.samples[0].results == {}


@pytest.mark.parametrize("source", SOURCES)
def test_ultraviolet_where_the_source_needs_it(source: str) -> None:
    started = holds(Answers(source, 3))  # type: ignore[arg-type]
    found = kinds(started)
    assert (found[-1:] == ["uv_chamber"]) == (source in AT_RISK)
    if source in AT_RISK:
        plan = open_plan(started.document)
        uv, fine = (plan.stages[node].settings for node in (plan.order[-2], plan.order[-3]))
        assert uv.word("device_class") == "A" and uv.word("shutoff") == "valve"
        assert fine.word("rating_basis") == "absolute" and fine.number("rating") == pytest.approx(1e-6)
    else:
        assert found == ([] if source == "mains" else ["sediment_cartridge"])


@pytest.mark.parametrize(
    ("answers", "wanted"),
    [
        (Answers(hardness="18 gpg"), ["softener"]),
        (Answers(hardness="110 mg/L"), ["sediment_cartridge"]),
        (Answers("mains", hardness="110 mg/L"), []),
        (Answers(hardness=">400 mg/L"), ["softener"]),
        (Answers(iron="2 mg/L"), ["iron_filter"]),
        (Answers("mains", iron="<0.5 mg/L"), []),
        (Answers(ph="6.2"), ["neutralizer"]),
        (Answers("mains", ph="7.0"), []),
        (Answers(hardness="18 gpg", iron="2 mg/L", ph="7.2"), ["iron_filter", "softener"]),
    ],
)
def test_each_stage_is_called_for_by_its_answer(answers: Answers, wanted: list[str]) -> None:
    assert kinds(holds(answers)) == wanted


def test_items_fit_the_water_and_the_people() -> None:
    few, many = (holds(Answers(people=people, hardness="20 gpg")) for people in (1, 8))
    sizes = [open_plan(s.document).stages["softener"].settings.number("resin_volume") for s in (few, many)]
    assert sizes[0] < sizes[1]
    assert [f.code for s in (few, many) for f in found_in(s) if f.code in ("capacity-short", "over-rating", "backwash-short")] == []


def test_too_much_iron_for_any_filter_is_said() -> None:
    started = start(Answers(iron="20 mg/L"))
    assert any("more than an oxidising filter is used for, ask a designer" in text for text in started.chosen)


def test_items_come_from_the_catalogue_that_is_given() -> None:
    settings = {"resin_volume": "2 ft3", "tank_diameter": "12 in"}
    own = ItemRow.model_validate({"kind": "softener", "label": "Own softener", "settings": settings})
    started = start(Answers(hardness="18 gpg", iron="1 mg/L"), catalogue=Catalogue({"mine": own}))
    assert started.document.stage("softener").item == "mine" and kinds(started) == ["softener"]
    assert "No iron filter of the catalogue was found" in started.chosen[0]


# Answers that cannot be read ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        (Answers(hardness="3 furlongs"), 'start.hardness: "3 furlongs" is not a hardness'),
        (Answers(iron="much"), 'start.iron: "much" is not a concentration'),
        (Answers(ph="17"), 'start.ph: "17" is not a pH between 0 and 14'),
        (Answers(iron="-2 mg/L"), 'start.iron: "-2 mg/L" is not a concentration, it is below zero'),
        (Answers(people=0), "start.people: a household start is for 1 to 24 people"),
        (Answers(people=400), "start.people: a household start is for 1 to 24 people"),
        (Answers(source="moon"), 'start.source: "moon" is not one of drilled_well'),  # type: ignore[arg-type]
    ],
)
def test_an_answer_that_cannot_be_read_is_named(answers: Answers, sentence: str) -> None:
    with pytest.raises(DocumentError) as caught:
        start(answers)
    assert sentence in str(caught.value) and "\n" not in str(caught.value)


def test_blank_answers_are_not_tested() -> None:
    assert dumps(start(Answers(hardness=" ", iron="", ph=None)).document) != ""
    assert start(Answers(hardness=" ")).document.samples[0].results == {}
    assert ASKED == ("hardness", "iron", "ph")


def test_the_same_answers_make_the_same_train() -> None:
    answers = Answers("drilled_well", 3, "18 gpg", "1 mg/L", name="Lone Alder")
    first, second = start(answers), start(answers)
    assert dumps(first.document) == dumps(second.document) and first.order == second.order
    assert first.document.site.word("name") == first.order.site == "Lone Alder"
