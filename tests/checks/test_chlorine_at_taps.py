"""Chlorine that is left: a health limit at the taps, a rule ahead of ultraviolet light, and what is told where no limit is held."""

from __future__ import annotations

from typing import Any

import pytest

from tests.checks.build import FINE, found, one, train, uv
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
