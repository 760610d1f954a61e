"""Remedies: each one that is offered clears its finding and makes no new failure, in the order and within the bounds that are promised."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from tests.studies.sites import CASES, CLEAN, SOFT, chamber, fine, site
from tests.train.trains import full_train, twelve_stages
from trainapp.checks import findings as check_all
from trainapp.checks.finding import Finding
from trainapp.checks.limits import limit_set
from trainapp.studies.cost import default_prices
from trainapp.studies.remedies import MOST_TRIES, Remedy, Workshop, key_of, remedies, topics, with_remedies
from trainapp.studies.remedies_cost import Cost, cost_between, nearest, works_prices
from trainapp.studies.remedies_worth import STANDING, gives_up_treatment, size
from trainapp.train.catalogue import Catalogue
from trainapp.train.document import Document, dumps, loads
from trainapp.train.edits import (
    AddStage,
    ChangeSetting,
    Edit,
    MoveStage,
    RemoveStage,
    SetValue,
    apply,
    edit_from_json,
    invert,
    plan_edit,
)
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.model import ItemRow
from trainapp.train.plan import open_plan


def checked(document: Document) -> tuple[Evaluation, list[Finding]]:
    evaluation = evaluate(open_plan(document))
    return evaluation, check_all(evaluation)


def pick(findings: list[Finding], code: str, stage: str, analyte: str) -> Finding:
    found = [f for f in findings if (f.code, f.stage, f.analyte) == (code, stage, analyte)]
    assert found, [key_of(f) for f in findings]
    return found[0]


def assert_holds(document: Document, before: list[Finding], finding: Finding, remedy: Remedy) -> Document:
    """Apply what JSON says of it to the document as it is read from its file: cleared, nothing new fails, one undo takes it back."""
    said = json.loads(json.dumps(remedy.to_json()))
    edit = edit_from_json({"edit": "batch", "edits": said["edits"], "name": said["label"]})
    again = loads(dumps(document))
    patch = plan_edit(again, edit)
    after = apply(again, patch)
    _, found = checked(after)
    same = [f for f in found if key_of(f) == key_of(finding)]
    assert all(any(f.cause == old.cause and key_of(f) == key_of(old) for old in before if old is not finding) for f in same), remedy.label
    was = {key_of(f) for f in before if f.severity == "fail"}
    assert {key_of(f) for f in found if f.severity == "fail"} <= was, remedy.label
    titles = {f.title for f in before} - {f.title for f in found}
    assert set(remedy.clears) <= titles
    assert dumps(apply(after, invert(patch))) == dumps(document)
    return after


def assert_touches_the_train_alone(remedy: Remedy) -> None:
    """A remedy never argues with the sample, the demand, the goals or what the source is."""
    for edit in remedy.to_json()["edits"]:
        if edit["edit"] in ("set_value", "remove_value"):
            path = edit["path"].split(".") if isinstance(edit["path"], str) else edit["path"]
            assert path[0] in ("plumbing", "links", "stages", "items", "supply"), edit
            if path[0] == "supply":
                assert path[1] in ("cut_in", "cut_out", "precharge", "tank_volume", "control", "set_pressure"), edit


@pytest.mark.parametrize(("document", "code", "stage", "analyte", "words"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_is_offered_clears_the_finding(document: Document, code: str, stage: str, analyte: str, words: str) -> None:
    evaluation, found = checked(document)
    finding = pick(found, code, stage, analyte)
    answer = remedies(document, evaluation, found, finding)
    labels = [remedy.label for remedy in answer.offered]
    assert 1 <= len(labels) <= 3, answer.tried
    assert any(words in label for label in labels), labels
    for remedy in answer.offered:
        assert_touches_the_train_alone(remedy)
        assert remedy.label.endswith(".") and remedy.label[0].isupper() and len(remedy.changes) <= 3
        assert_holds(document, found, finding, remedy)


def test_every_finding_of_a_long_train() -> None:
    document = full_train()
    evaluation, found = checked(document)
    shop = Workshop(document, evaluation, found)
    offers = 0
    for finding in found:
        answer = shop.remedies(finding, limit=1)
        offers += len(answer.offered)
        for remedy in answer.offered:
            assert_holds(document, found, finding, remedy)
    assert offers >= len([f for f in found if f.severity != "note"]) // 2


# What is said of them ---------------------------------------------------------------------------------------------------------


def test_the_best_stands_first() -> None:
    document = site(fine(), chamber(), water={"hardness": "22 gpg"})
    evaluation, found = checked(document)
    offered = remedies(document, evaluation, found, pick(found, "inlet-limit", "uv", "hardness"), limit=10).offered
    assert len(offered) > 2
    ranks = [(len(r.brings), size(r.edits)) for r in offered]
    assert ranks == sorted(ranks)
    for rank in set(ranks):
        costs = [r.cost for r, its in zip(offered, ranks, strict=True) if its == rank and r.cost is not None]
        assert costs == sorted(costs)


def test_one_setting_stands_before_another_item_and_before_a_stage_put_in() -> None:
    document = site({"id": "fine", "kind": "sediment_cartridge", "settings": {"rating": "5 um", "length": "10 in", "diameter": "2.5 in"}},
                    peak="4 gpm")  # fmt: skip
    evaluation, found = checked(document)
    offered = remedies(document, evaluation, found, pick(found, "low-pressure", "house", ""), limit=9).offered
    sizes = [size(r.edits) for r in offered]
    assert offered[0].label.startswith("Change the sediment cartridge at") and sizes == sorted(sizes)
    assert sizes[0] == 0 and sizes[-1] >= 4
    put = AddStage(kind="softener")
    one, two = ChangeSetting(stage="uv", key="metal_run", value="12 in"), ChangeSetting(stage="uv", key="shutoff", value="valve")
    move, swap = MoveStage(id="uv", into=("a", "b")), SetValue(path=("stages", "uv", "item"), value="x")
    ranked: list[tuple[Edit, ...]] = [(one,), (one, two), (move,), (swap,), (put,), (put, put)]
    assert [size(edits) for edits in ranked] == [0, 1, 2, 3, 4, 5]
    assert size((ChangeSetting(stage="uv", key="count", value=2),)) == size((swap,))


def test_what_brings_a_caution_is_refused_where_a_caution_is_answered() -> None:
    document = site(chamber(), water={"total_coliform": "12 /100mL"})
    evaluation, found = checked(document)
    finding = pick(found, "order", "uv", "")
    answer = remedies(document, evaluation, found, finding, limit=20)
    assert finding.severity == "caution" and answer.offered
    cautions = {key_of(f) for f in found if f.severity != "note"}
    for remedy in answer.offered:
        after = apply(document, plan_edit(document, remedy.edit, Catalogue.load()))
        fresh = [f for f in checked(after)[1] if f.severity != "note" and key_of(f) not in cautions]
        assert all(f.code in STANDING for f in fresh), [f.title for f in fresh]
    # each of these clears it and takes the house below the wanted pressure
    refused = ("5 um, 10 x 4-1/2 in", "1 um absolute, 10 x 4-1/2 in")
    assert not any(words in r.label for r in answer.offered for words in refused) and "a sediment cartridge ahead" in " ".join(answer.tried)


def test_a_failure_that_only_a_caution_clears_says_what_comes() -> None:
    document = site(fine(), water={"total_coliform": "12 /100mL"})
    evaluation, found = checked(document)
    answer = remedies(document, evaluation, found, pick(found, "unprotected-path", "house", ""))
    assert answer.offered and all("Low pressure at the house" in remedy.brings for remedy in answer.offered)


def test_treatment_is_not_given_up() -> None:
    document = site(SOFT, fine(), chamber(), water={"hardness": "22 gpg"})
    before, limits = evaluate(open_plan(document)), limit_set("us")
    out = evaluate(open_plan(apply(document, plan_edit(document, RemoveStage(id="softener")))))
    assert gives_up_treatment(before, out, limits) and not gives_up_treatment(out, before, limits)
    assert not gives_up_treatment(before, before, limits)
    # what was never there is no loss
    tannin = site({"id": "tannin", "kind": "tannin_resin"}, water={"hardness": "0.5 gpg"})
    without = evaluate(open_plan(apply(tannin, plan_edit(tannin, RemoveStage(id="tannin")))))
    assert not gives_up_treatment(evaluate(open_plan(tannin)), without, limits)


def test_cost_is_what_the_bill_grows_by() -> None:
    bare = site(fine(), chamber(), water={"hardness": "22 gpg"})
    evaluation, found = checked(bare)
    hardness = pick(found, "inlet-limit", "uv", "hardness")
    prices = {row.word("label"): row.amount for row in Catalogue.load().rows.values()}
    for remedy in remedies(bare, evaluation, found, hardness).offered:
        bought = next(label for label in prices if f"{label[:1].lower()}{label[1:]}, ahead" in remedy.label)
        assert remedy.cost == Decimal(f"{prices[bought]:.2f}")


def test_an_item_is_swapped_for_the_difference_and_what_exists_costs_nothing_back() -> None:
    row = Catalogue.load().rows["softener-9x48"]
    for beside, cost in (({}, Decimal("1290.00") - Decimal("920.00")), ({"existing": True}, Decimal("1290.00"))):
        soft = {"id": "softener", "kind": "softener", "item": "softener-9x48", **beside}
        kept = {"softener-9x48": {"kind": "softener", "label": row.word("label"), "price": 920, "settings": dict(row.settings)}}
        document = site(soft, water={"hardness": "30 gpg"}, peak="4 gpm", items=kept)
        evaluation, found = checked(document)
        finding = pick(found, "capacity-short", "softener", "hardness")
        offered = remedies(document, evaluation, found, finding, limit=9).offered
        (swapped,) = [r for r in offered if r.label == "Swap the softener for a softener 2 ft3, 12 x 52 in."]
        assert swapped.cost == cost
        after = assert_holds(document, found, finding, swapped)
        entry = after.stage("softener")
        assert entry.item == "softener-12x52" and "existing" not in entry.beside and list(after.items) == ["softener-12x52"]


def test_works_are_priced_from_the_list_and_settings_cost_nothing() -> None:
    """Hours of a fitter are those of the price list."""
    document = full_train()
    evaluation, found = checked(document)
    finding = pick(found, "low-pressure", "house", "")
    shop = Workshop(document, evaluation, found)
    for candidate in shop._candidates(finding):
        assert set(candidate.works) <= set(works_prices()), candidate.label
    pipe = [c for c in shop._candidates(finding) if c.tried == "larger pipe"]
    assert pipe and all(c.works == ("pipe",) * len(evaluation.links) for c in pipe)
    cost = cost_between(document, document, Catalogue.load(), pipe[0].works)
    assert cost.whole and cost.invented and cost.amount == len(evaluation.links) * works_prices()["pipe"]
    assert works_prices()["pipe"] == Decimal("26") + default_prices().labour / 2
    setting = [c for c in shop._candidates(finding) if c.tried in ("changing the cartridge sooner", "a higher range of the pump switch")]
    assert setting and all(not c.works for c in setting)
    assert cost_between(document, document, Catalogue.load()) == Cost(Decimal(0))


def test_a_stage_without_an_item_is_priced_as_the_nearest_of_the_catalogue() -> None:
    catalogue = Catalogue.load()
    for item in ("softener-9x48", "softener-12x52"):
        near = nearest(catalogue, "softener", catalogue.settings(item))
        assert near is catalogue.row(item)
    assert nearest(Catalogue({}), "softener", catalogue.settings("softener-9x48")) is None
    plain = {"id": "softener", "kind": "softener", "settings": dict(catalogue.rows["softener-9x48"].settings)}
    bare = site(plain, water={"hardness": "30 gpg"})
    swapped = apply(bare, plan_edit(bare, SetValue(path=("stages", "softener", "item"), value="softener-12x52")))
    prices = [catalogue.rows[item].amount for item in ("softener-9x48", "softener-12x52")]
    cost = cost_between(bare, swapped, catalogue)
    assert cost.whole and cost.invented and float(cost.amount) == prices[1] - prices[0]


def test_no_remedy_comes_to_what_a_better_one_does() -> None:
    document = site(chamber(), water={"hardness": "22 gpg", "iron": "2 mg/L"})
    evaluation, found = checked(document)
    shop = Workshop(document, evaluation, found)
    for finding in (f for f in found if f.severity != "note"):
        answer = shop.remedies(finding, limit=9)
        offered = answer.offered or answer.easing
        for place, remedy in enumerate(offered):
            for better in offered[:place]:
                assert (better.tried, better.changes, better.leaves) != (remedy.tried, remedy.changes, remedy.leaves)
        assert {words for words, _ in answer.failed} <= set(answer.tried) - {r.tried for r in offered}
        assert all(reason for _, reason in answer.failed)


def test_changes_name_figures_before_and_after() -> None:
    document = site(fine(), chamber(), water={"hardness": "22 gpg"})
    evaluation, found = checked(document)
    finding = pick(found, "inlet-limit", "uv", "hardness")
    (us,) = remedies(document, evaluation, found, finding, limit=1).offered
    (metric,) = remedies(document, evaluation, found, finding, limit=1, system="metric").offered
    assert us.edits == metric.edits
    assert us.changes[0].startswith("pressure at the house with dirty filters ") and " psi instead of " in us.changes[0]
    assert " bar instead of " in metric.changes[0]
    assert any(text.startswith("salt in a month ") and text.endswith(" instead of 0 lb") for text in us.changes)


def test_what_comes_with_it_is_said() -> None:
    document = site(fine(), water={"total_coliform": "12 /100mL"})
    evaluation, found = checked(document)
    answer = remedies(document, evaluation, found, pick(found, "unprotected-path", "house", ""))
    assert all("Coliform: treated by design, test to confirm" in "".join(r.brings) or r.brings for r in answer.offered)


# Bounds -----------------------------------------------------------------------------------------------------------------------


def test_where_nothing_helps_what_was_tried_is_said() -> None:
    # acid water with much iron: no medium takes iron at this pH, and calcite ahead of it would be coated
    water = {"iron": "6 mg/L", "iron_dissolved": "5.5 mg/L", "ph": "6.3", "alkalinity": "60 mg/L"}
    document = site(*(s for s in (full_train().tree["stages"][1],)), water=water, peak="4 gpm")
    evaluation, found = checked(document)
    finding = pick(found, "outlet-goal", "house", "iron")
    answer = remedies(document, evaluation, found, finding, catalogue=Catalogue({}))
    assert answer.offered == () and "units side by side" in answer.tried and len(set(answer.tried)) == len(answer.tried)


def test_what_only_eases_is_kept_apart() -> None:
    document = site({"id": "carbon", "kind": "carbon_bed", "settings": {"tank_diameter": "10 in"}}, peak="9 gpm")
    evaluation, found = checked(document)
    finding = pick(found, "over-rating", "carbon", "")
    # with an empty catalogue all that can be done is another unit beside it
    answer = remedies(document, evaluation, found, finding, catalogue=Catalogue({}))
    assert finding.severity == "caution" and answer.offered == () and answer.easing
    for remedy in answer.easing:
        assert remedy.leaves == "note"
        edit = edit_from_json({"edit": "batch", "edits": remedy.to_json()["edits"]})
        _, after = checked(apply(document, plan_edit(document, edit)))
        assert pick(after, "over-rating", "carbon", "").severity == "note"
    whole = remedies(document, evaluation, found, finding)
    assert whole.offered and whole.easing == () and all(remedy.leaves == "" for remedy in whole.offered)


@pytest.mark.parametrize("code", ["health", "after-start-up", "regulated", "sample-gap", "sample-doubt"])
def test_only_tests_and_people_answer_these(code: str) -> None:
    water = {"total_coliform": "12 /100mL", "nitrate": "18 mg/L", "free_chlorine": "0.3 mg/L", "total_chlorine": "0.1 mg/L"}
    document = Document.of({**site(fine(), chamber(), water=water).tree, "site": {"name": "Test", "use": "food"}})
    evaluation, found = checked(document)
    concerned = [f for f in found if f.code == code]
    assert concerned or code == "sample-gap"
    for finding in concerned:
        assert remedies(document, evaluation, found, finding).offered == ()


def test_tries_are_counted_and_can_be_called_off() -> None:
    document = twelve_stages()
    evaluation, found = checked(document)
    finding = pick(found, "low-pressure", "house", "")
    asked: list[int] = []
    shop = Workshop(document, evaluation, found)
    shop.remedies(finding, cancelled=lambda: bool(asked.append(0)))
    assert 10 < len(asked) <= MOST_TRIES
    again = Workshop(document, evaluation, found)
    answer = again.remedies(finding, cancelled=lambda: True)
    assert answer.offered == () and answer.tried == ()


def test_the_same_question_has_the_same_answer() -> None:
    document = full_train()
    evaluation, found = checked(document)
    finding = pick(found, "low-pressure", "house", "")
    first, second = (remedies(document, evaluation, found, finding) for _ in range(2))
    assert first == second
    assert dumps(document) == dumps(full_train())


def test_items_come_from_the_catalogue_that_is_given() -> None:
    own = ItemRow.model_validate({"kind": "softener", "label": "Own softener", "price": 700,
                                  "settings": {"resin_volume": "2 ft3", "tank_diameter": "12 in"}})  # fmt: skip
    document = site(fine(), chamber(), water={"hardness": "22 gpg"})
    evaluation, found = checked(document)
    finding = pick(found, "inlet-limit", "uv", "hardness")
    (remedy,) = remedies(document, evaluation, found, finding, catalogue=Catalogue({"mine": own})).offered
    assert "own softener" in remedy.label and remedy.cost == Decimal("700.00")
    assert remedies(document, evaluation, found, finding, catalogue=Catalogue({})).offered == ()


def test_findings_take_their_remedies_along() -> None:
    water = {"hardness": "18 gpg", "tds": "300 mg/L"}
    document = site(SOFT, water=water, supply={**site().tree["supply"], "precharge": "48 psi"})
    evaluation, found = checked(document)
    answered = with_remedies(document, evaluation, found)
    assert [key_of(f) for f in answered] == [key_of(f) for f in found]
    (precharge,) = [f for f in answered if f.code == "precharge"]
    first = precharge.remedies[0]
    assert first["label"] == "Set the tank's air to 38.0 psi with the tank empty." and first["cost"] == "0"
    assert first["edits"] == [{"edit": "set_value", "path": "supply.precharge", "value": "38 psi"}]
    # notes are left alone unless they are asked for
    assert all(f.remedies == () for f in answered if f.severity == "note")
    notes = with_remedies(document, evaluation, found, severities=("note",))
    assert any(f.remedies for f in notes if f.analyte == "sodium")


def test_topics_are_found_by_themselves() -> None:
    assert {topic.__module__.rpartition("_")[2] for topic in topics()} >= {"flow", "order", "size", "uv", "wash", "water"}
    assert CLEAN["total_coliform"] == "absent"
