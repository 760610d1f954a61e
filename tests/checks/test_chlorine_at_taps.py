"""Chlorine that is left: a health limit at the taps, its taste, a rule ahead of ultraviolet light, and where no limit is held."""

from __future__ import annotations

from typing import Any

import pytest

from tests.checks.build import FINE, chain, found, one, train, uv
from tests.train.trains import MAIN, stage
from trainapp.checks import findings, headline, not_judged
from trainapp.train.evaluation import Evaluation

CARBON = stage("carbon", "carbon_bed", tank_diameter="16 in", bed_depth="48 in")


def _fed(*stages: dict[str, Any], dose: str = "5 mg/L", **more: Any) -> Evaluation:
    return train([stage("feed", "oxidant_feed", oxidant="chlorine", dose=dose), *stages], {"ammonia": "0 mg/L"}, **more)


def test_too_much_chlorine_at_the_taps_fails() -> None:
    """40 CFR 141.65: 4.0 mg/L."""
    finding = one(_fed(FINE, uv(), dose="8 mg/L"), "health", analyte="free_chlorine")
    assert (finding.severity, finding.stage, finding.source, finding.status) == ("fail", "house", "40cfr141.65", "from memory")
    assert finding.limit is not None and finding.limit.low == 4.0
    assert not any("Boiling does not remove" in caution for caution in finding.cautions), "chlorine leaves with the steam"


@pytest.mark.parametrize(("dose", "severity"), [("30 mg/L", "fail"), ("6 mg/L", "caution")])
def test_what_is_fed_is_held_to_the_limit_though_its_demand_was_not_measured(dose: str, severity: str) -> None:
    """40 CFR 141.65: 4.0 mg/L. A fail where next to nothing of the dose could be used up."""
    water = dict.fromkeys(("ammonia", "hydrogen_sulfide", "iron", "iron_dissolved", "manganese"))
    fed = train([stage("feed", "oxidant_feed", oxidant="chlorine", dose=dose), FINE, uv()], water)
    finding = one(fed, "health", analyte="free_chlorine")
    assert finding.severity == severity and "Set the feed by a test" in finding.message and "laboratory" not in finding.message
    assert not found(fed, "taste")


def test_what_passes_round_carbon_is_told_so() -> None:
    ways = [*chain("supply", "carbon", "fine", "house"), {"from": "supply", "to": "round"}, {"from": "round", "to": "fine"}]
    stages = [CARBON, stage("round", "bypass", share="40 %"), FINE]
    note = one(train(stages, {"free_chlorine": "1.2 mg/L"}, links=ways, supply=MAIN), "taste")
    assert "what passes round the carbon bed brings it" in note.message and "larger bed" not in note.message


def test_what_a_test_did_not_find_has_no_taste() -> None:
    assert not found(train([FINE], {"free_chlorine": "<0.5 mg/L"}, supply=MAIN), "taste")
    assert found(train([FINE], {"free_chlorine": "0.5 mg/L"}, supply=MAIN), "taste")


@pytest.mark.parametrize("train_of", [lambda: _fed(FINE, uv(), dose="3 mg/L"), lambda: _fed(CARBON, FINE, uv())])
def test_within_it_or_behind_carbon_it_is_silent(train_of: Any) -> None:
    assert not found(train_of(), "health", analyte="free_chlorine")


def test_a_chlorinated_main_is_judged_too() -> None:
    assert found(train(water={"free_chlorine": "4.6 mg/L"}, supply=MAIN), "health", analyte="free_chlorine", severity="fail")
    assert not found(train(water={"free_chlorine": "0.8 mg/L"}, supply=MAIN), "health", analyte="free_chlorine")


def test_chlorine_ahead_of_a_chamber_is_a_note() -> None:
    """France, arrêté of 9 October 2012, article 20: no oxidants ahead of ultraviolet light; stricter than this scale, so a note."""
    note = one(_fed(FINE, uv(), dose="2 mg/L"), "order", analyte="free_chlorine")
    assert (note.severity, note.stage, note.source, note.status) == ("note", "uv", "france-2012-art20", "published")
    assert not found(_fed(CARBON, FINE, uv(), dose="2 mg/L"), "order", analyte="free_chlorine")
    assert not found(train(), "order", analyte="free_chlorine")


@pytest.mark.parametrize("limits", ["canada", "who", "eu"])
def test_sets_without_a_figure_say_so(limits: str) -> None:
    fed = _fed(FINE, uv(), goals={"limits": limits})
    assert not found(fed, "health", analyte="free_chlorine")
    assert any(line.startswith("free chlorine at the taps: no figure") for line in not_judged(fed))
    assert not any("at the taps" in line for line in not_judged(train(goals={"limits": limits})))
    assert not any("at the taps" in line for line in not_judged(_fed(FINE, uv())))


def test_a_well_is_not_asked_for_chlorine() -> None:
    evaluation = train(water={"free_chlorine": None})
    assert "free chlorine" not in headline(evaluation, [f for f in findings(evaluation) if f.severity == "note"])


def test_chlorine_that_is_left_is_tasted() -> None:
    """From 0.3 mg/L on (common practice, no source); 2 mg/L as fed, and a little more while the pump runs slow."""
    note = one(_fed(dose="2 mg/L"), "taste")
    assert (note.severity, note.stage, note.source, note.status) == ("note", "house", "common-practice", "common practice")
    assert note.value is not None and note.limit is not None and (note.limit.low, note.limit.dimension) == (0.3, "concentration")
    assert 2.0 < note.value.low < 3.0
    assert note.message.startswith("Tastes and smells of chlorine: up to 2.") and "no carbon stands behind the feed" in note.message
    for quiet in (_fed(CARBON, dose="2 mg/L"), _fed(dose="0.2 mg/L"), train()):
        assert not found(quiet, "taste")


def test_of_a_main_only_what_was_measured_is_tasted() -> None:
    told = one(train([FINE], {"free_chlorine": "0.8 mg/L"}, supply=MAIN), "taste").message
    assert "0.8 mg/L" in told and told.endswith("carbon takes it out, and with it what keeps the pipes behind clean.")
    over = one(train([FINE], {"free_chlorine": ">2 mg/L"}, supply=MAIN, goals={"limits": "eu"}), "taste")
    assert "more than 2 mg/L" in over.message and over.value is not None and (over.value.low, over.value.high) == (2.0, None)
    for sheet in ({"free_chlorine": None}, {"free_chlorine": "0.2 mg/L"}):
        assert not found(train([FINE], sheet, supply=MAIN), "taste")


def test_one_cause_tells_of_its_taste_once() -> None:
    """A chamber that tells of chlorine names the taste, too; a limit that it breaks speaks alone."""
    links = [*chain("supply", "feed", "fine", "uv", "house"), *chain("feed", "bar"), *chain("supply", "yard")]
    outlets = {"bar": {"peak": "1 gpm"}, "yard": {"peak": "1 gpm", "drinking": False}}
    note = one(_fed(FINE, uv(), dose="2 mg/L", links=links, outlets=outlets), "order", analyte="free_chlorine")
    assert note.title == 'Chlorine reaches the UV chamber and is tasted at the house and the outlet "bar"'
    assert note.also_at == ("house", "bar")
    for train_of in (_fed(FINE, uv(), dose="2 mg/L"), _fed(dose="8 mg/L")):
        assert not found(train_of, "taste")


def test_carbon_ahead_of_the_feed_is_none_behind_it() -> None:
    feed = stage("feed", "oxidant_feed", oxidant="chlorine", dose="2 mg/L")
    assert "no carbon stands behind the feed" in one(train([CARBON, feed]), "taste").message
    small = stage("carbon", "carbon_bed", tank_diameter="8 in")
    told = one(train([feed, small]), "taste").message
    assert "the carbon bed does not take all of it" in told and "a larger bed takes more of it" in told
