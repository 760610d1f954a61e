"""Confidence: points, normal numbers and indices against the outside; draws against single evaluations."""

from __future__ import annotations

import json
import threading
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm, qmc

from tests.studies.test_options_answer import run
from tests.train.trains import document, full_train, stage
from trainapp.checks import findings, limit_ranks
from trainapp.data import resources_path, samples_path
from trainapp.reports.confidence_json import confidence_json
from trainapp.reports.confidence_text import clean, confidence_lines, headline
from trainapp.stages.working import Array
from trainapp.studies.confidence import Confidence, SpreadsError, confidence, default_spreads, read_spreads
from trainapp.studies.confidence.drawn import Drawn, Judged
from trainapp.studies.confidence.factors import Factors
from trainapp.studies.confidence.flows import Peaks, with_peak
from trainapp.studies.confidence.indices import indices
from trainapp.studies.confidence.normal import normal
from trainapp.studies.confidence.sobol import most_dimensions, points
from trainapp.train.document import Document, load
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan
from trainapp.water.stream import Stream

# Points --------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("dimensions", [1, 2, 7, 40, 128])
def test_plain_points_are_those_of_a_numerical_library(dimensions: int) -> None:
    """scipy.stats.qmc.Sobol has the same direction numbers (Joe and Kuo 2008)."""
    wanted = qmc.Sobol(dimensions, scramble=False).random(512)
    assert np.array_equal(points(512, dimensions), wanted)


def test_points_go_on_where_they_stopped() -> None:
    whole = points(300, 5, seed=3)
    assert np.array_equal(np.concatenate([points(100, 5, 3), points(200, 5, 3, start=100)]), whole)


@pytest.mark.parametrize("seed", [0, 1, 17])
def test_scrambled_points_stay_a_net(seed: int) -> None:
    """Each interval of length 1/256 holds one of 256 points in every dimension, and of 256 boxes of 16 by 16 in the first two each one."""
    drawn = points(256, 12, seed)
    assert ((drawn > 0) & (drawn < 1)).all()
    for column in drawn.T:
        assert len(set(np.floor(column * 256).astype(int))) == 256
    assert len({tuple(row) for row in np.floor(drawn[:, :2] * 16).astype(int)}) == 256


def test_scrambled_points_are_more_even_than_chance() -> None:
    even, chance = qmc.discrepancy(points(512, 6, 4)), qmc.discrepancy(np.random.default_rng(4).random((512, 6)))
    assert even < chance / 4


def test_a_seed_is_an_answer_and_another_seed_another() -> None:
    assert np.array_equal(points(64, 4, 9), points(64, 4, 9))
    assert not np.array_equal(points(64, 4, 9), points(64, 4, 10))


def test_more_dimensions_than_there_are_numbers_for_are_refused() -> None:
    with pytest.raises(ValueError, match="dimensions"):
        points(4, most_dimensions() + 1)


def test_normal_numbers_are_those_of_a_numerical_library() -> None:
    uniform = np.concatenate([points(2048, 1, 2).ravel(), [1e-300, 1e-16, 0.075, 0.5, 0.925, 1 - 1e-15]])
    assert np.allclose(normal(uniform), norm.ppf(uniform), rtol=1e-13, atol=1e-15)


# Indices -------------------------------------------------------------------------------------------------------------------------


def test_indices_of_ishigami_and_homma() -> None:
    """f = sin x₁ + 7 sin² x₂ + 0.1 x₃⁴ sin x₁ on (−π, π)³: S = 0.3139, 0.4424, 0; S_T = 0.5576, 0.4424, 0.2437 (Saltelli et al. 2008,
    section 4.2; the same follows from the closed form of its variance)."""

    def model(uniform: Array) -> Array:
        x = (2.0 * uniform - 1.0) * np.pi
        return (np.sin(x[:, 0]) + 7.0 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0]))[:, None]

    found = indices(model, 3, 8192, 1)
    assert np.allclose(found.first[:, 0], [0.3139, 0.4424, 0.0], atol=0.01)
    assert np.allclose(found.total[:, 0], [0.5576, 0.4424, 0.2437], atol=0.01)
    assert abs(found.variance[0] - 13.845) < 0.02 and abs(found.mean[0] - 3.5) < 1e-3


def test_indices_of_a_sum_are_its_variances() -> None:
    found = indices(lambda u: (normal(u) @ np.array([3.0, 2.0, 1.0, 0.0]))[:, None], 4, 4096, 5)
    assert np.allclose(found.first[:, 0], np.array([9, 4, 1, 0]) / 14, atol=0.01)
    assert np.allclose(found.total[:, 0], np.array([9, 4, 1, 0]) / 14, atol=0.01)


def test_what_does_not_vary_has_no_indices() -> None:
    found = indices(lambda u: np.ones((len(u), 1)), 2, 64, 1)
    assert np.isnan(found.first).all() and found.variance[0] == 0.0


# Draws ---------------------------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def farm() -> Document:
    """A train whose every limit is judged."""
    return full_train()


def _factors(train: Document) -> tuple[Factors, Drawn]:
    design = evaluate(open_plan(train))
    drawn = Drawn(design)
    return Factors(design.plan, default_spreads(), frozenset(row.limit.analyte for row in drawn.rows)), drawn


def test_the_middle_of_all_spreads_is_the_design_sample(farm: Document) -> None:
    factors, drawn = _factors(farm)
    z = np.zeros((3, len(factors.names)))
    water, one = factors.water(z), np.ones(3)
    design = evaluate(open_plan(farm)).points["supply"].water
    assert np.allclose(water.values, design.values[..., :1], rtol=1e-12, equal_nan=True)
    judged = drawn.judge(water, one, one)
    assert (judged.ranks == judged.ranks[:, :1]).all()


def test_a_drawn_water_is_judged_like_one_evaluated_alone(farm: Document) -> None:
    """Each of 40 drawn waters, at its own place in a batch and alone through evaluate(): the same ranks of every limit."""
    factors, drawn = _factors(farm)
    z = factors.deviations(points(40, len(factors.names), 8))
    z[:, [i for i, f in enumerate(factors.names) if f.key in ("peak", "daily")]] = 0.0
    water = factors.water(z)
    batch = drawn.judge(water, np.ones(40), np.ones(40)).ranks.max(axis=0)
    plan = open_plan(farm)
    alone = limit_ranks(evaluate(plan, water))
    known = drawn.judge(water, np.ones(40), np.ones(40))
    assert known.ranks.shape[1] == 40
    assert (batch <= alone).all() and (batch == alone).mean() > 0.9  # what nobody measured is not judged in draws


def test_a_tenth_of_ph_beyond_its_limit_is_a_tenth_over() -> None:
    drawn = Drawn(evaluate(open_plan(document([stage("screen", "sediment_cartridge")]))))
    (row,) = np.flatnonzero(drawn._is_ph & np.isfinite(drawn._fails[:, 0]))
    drawn._fails[np.arange(len(drawn.rows)) != row] = np.inf
    usual = drawn.design.points["supply"].water.part(slice(1))
    water = Stream(np.repeat(usual.values, 3, axis=3), np.repeat(usual.known, 3, axis=1))
    water.set("ph", drawn._fails[row, 0] + np.array([-0.1, 0.0, 0.1]))
    assert drawn.judge(water, np.ones(3), np.ones(3)).closeness == pytest.approx([0.9, 1.0, 1.1])


def test_progress_is_told_on_the_thread_that_asks_and_counts_all(farm: Document) -> None:
    told: list[tuple[int, float]] = []
    confidence(farm, 8_192, progress=lambda share: told.append((threading.get_ident(), share)))
    shares = [share for _, share in told]
    assert {thread for thread, _ in told} == {threading.get_ident()}
    assert shares == sorted(shares) and len(set(shares)) == len(shares) and shares[-1] == 1.0


def test_what_is_stopped_in_its_progress_begins_nothing_more(farm: Document, monkeypatch: pytest.MonkeyPatch) -> None:
    begun: list[int] = []
    slow = threading.Event()

    def judge(_drawn: Drawn, water: Stream, _peak: Array, _daily: Array) -> Judged:
        begun.append(water.waters)
        if len(begun) > 1:
            slow.wait(0.05)
        return Judged(np.zeros((0, water.waters), dtype=np.int8), np.zeros(water.waters))

    def progress(_share: float) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Drawn, "judge", judge)
    with pytest.raises(KeyboardInterrupt):
        confidence(farm, 32_000, progress=progress)
    assert len(begun) < 6


def test_more_peak_is_never_better(farm: Document) -> None:
    steps = Peaks(open_plan(farm), 0.6, 2.0).steps
    ranks = [step.rank for step in steps]
    assert ranks == sorted(ranks) and [s.times for s in steps] == sorted(s.times for s in steps)
    assert ranks[-1] == 3


_OF_FLOW = ("low-pressure", "flow-short", "over-rating", "outside-rating")


def test_a_step_of_the_peak_lies_where_the_checks_say(farm: Document) -> None:
    plan = open_plan(farm)
    peaks = Peaks(plan, 0.6, 2.0)
    rank = {"note": 0, "caution": 2, "fail": 3}
    for step in peaks.steps[1:]:
        for times, worse in ((step.times * 0.995, False), (step.times * 1.005, True)):
            found = findings(evaluate(open_plan(with_peak(plan, times))))
            ranks = [rank[f.severity] for f in found if f.code in _OF_FLOW and not f.analyte]
            assert (max(ranks, default=0) >= step.rank) is worse, (step, times)


def test_shares_name_what_was_made_uncertain(tmp_path: Path) -> None:
    """Only iron is drawn, and only iron has a share."""
    text = '[[lab]]\nanalytes = ["iron"]\nshare = "60 %"\n'
    path = tmp_path / "iron.toml"
    path.write_text(text, encoding="utf-8")
    train = document([stage("uv", "uv_chamber", rated_flow="9 gpm", flow_control="9 gpm", device_class="A")], water={
        "iron": "0.28 mg/L", "uvt": "90 %/cm", "turbidity": "0.4 NTU", "total_coliform": "absent", "hardness": "3 gpg",
    })  # fmt: skip
    answer = confidence(train, 512, spreads=read_spreads(path))
    assert answer.shares[0].key == "iron" and answer.shares[0].total > 0.95
    assert all(share.total < 0.05 for share in answer.shares[1:])
    iron = next(met for met in answer.met if met.analyte == "iron")
    # raw iron above the guide of 0.3 mg/L is a failure at a chamber: it lies ln(0.3/0.28)/ln 1.6 = 0.147 deviations above
    assert abs(iron.fails / 512 - (1 - norm.cdf(np.log(0.3 / 0.28) / np.log(1.6)))) < 0.01


def test_no_spread_no_doubt(tmp_path: Path, farm: Document) -> None:
    path = tmp_path / "none.toml"
    path.write_text("", encoding="utf-8")
    answer = confidence(farm, 64, spreads=read_spreads(path))
    assert answer.no_fail in (0, 64) and (answer.no_fail == 0) == (answer.verdict == "fail")


def test_the_same_seed_gives_the_same_answer(farm: Document) -> None:
    first, again, other = (confidence(farm, 256, seed) for seed in (3, 3, 4))
    assert confidence_json(first) == confidence_json(again)
    assert confidence_json(first) != confidence_json(other)


def test_more_draws_agree_with_fewer(farm: Document) -> None:
    few, many = confidence(farm, 512), confidence(farm, 4096)
    assert abs(few.no_fail / 512 - many.no_fail / 4096) < 0.03


# Words ---------------------------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def bog() -> Confidence:
    """A water near many limits, germs in it."""
    return confidence(load(samples_path("inkwell-croft.train.json")), 512)


def test_it_is_said_as_a_count_that_claims_nothing_more(bog: Confidence) -> None:
    text = " ".join(" ".join(confidence_lines(bog)).split())
    assert headline(bog) == (
        "Raw water passes the tannin resin while it cleans itself: a failure in every drawn case of these spreads; "
        "says nothing about what was not sampled"
    )
    assert text.startswith("Do not drink this water now") and clean(bog) == ""
    loose = replace(bog, fixed=(), no_fail=480, no_caution=7)
    assert headline(loose) == "no failure in 480 of 512 drawn cases of these spreads; says nothing about what was not sampled"
    assert clean(loose) == "Neither failure nor caution in 7 of them."
    assert "%" not in text and "probab" not in text and "confiden" not in text
    assert "no chance that the water is fit to drink" in text


def test_no_number_is_put_on_disinfection_or_health(bog: Confidence) -> None:
    hidden = [met for met in bog.met if not met.counted]
    assert {met.analyte for met in hidden} >= {"uvt", "turbidity"}
    for line in confidence_lines(bog):
        if any(met.what in line for met in hidden):
            assert not any(character.isdigit() for character in line), line
    for met in confidence_json(bog)["met"]:
        if met["analyte"] in ("uvt", "turbidity"):
            assert met["fails"] is None and met["cautions"] is None


def test_what_fails_by_health_alone_is_told_in_words() -> None:
    water = {"arsenic": "0.009 mg/L", "nitrate": "8 mg/L", "hardness": "3 gpg", "ph": "7.4", "total_coliform": "absent"}
    answer = confidence(document([stage("fine", "sediment_cartridge")], water=water), 128)
    assert 0 < answer.no_fail < 128 and all(not met.counted for met in answer.met if met.fails)
    first = headline(answer)
    assert first.startswith("a limit of health or disinfection is broken in ") and not any(c.isdigit() for c in first)
    assert clean(answer) == "" and confidence_json(answer)["no_failure"] is confidence_json(answer)["no_caution"] is None


def test_a_sample_without_figures_is_no_sure_thing() -> None:
    answer = confidence(document([stage("fine", "sediment_cartridge")], water={}), 64)
    assert not answer.sampled and headline(answer).startswith("the sample has no figure that could be drawn")


def test_what_no_draw_changes_counts_in_every_case(bog: Confidence) -> None:
    assert any(finding.severity == "fail" for finding in bog.fixed) and bog.no_fail == 0


def test_the_command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    file = str(samples_path("pebble-court-3.train.json"))
    status, out, _ = run(capsys, monkeypatch, "confidence", file, "--json", "--draws", "128")
    told = json.loads(out)
    assert status == 1 and told["draws"] == 128 and told["shares"][0]["key"] == "peak"
    status, out, _ = run(capsys, monkeypatch, "confidence", file, "--draws", "64")
    assert "of 64 drawn cases" in " ".join(out.split())


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[[lab]\n", "this is not TOML"),
        ('[[lab]]\nanalytes = [["iron"]]\nshare = "5 %"', "lab row 1, analytes: a list is not an analyte"),
        ('[[lab]]\nanalytes = ["ph"]\namount = 0.1', "lab row 1, amount: an amount is text with its unit"),
        ("[mood]\n", '"mood" is not one of lab'),
        ('[[lab]]\nanalytes = ["gold"]\nshare = "5 %"', 'lab row 1, analytes: "gold" is not an analyte'),
        ('[[lab]]\nanalytes = ["iron"]\nshare = "5 gpm"', 'lab row 1, share: "5 gpm" is not'),
        ('[[lab]]\nanalytes = ["iron"]\nshare = 7', "7 is not a share from 0 to 5"),
        ('[[lab]]\nanalytes = ["iron"]', "it needs a share or an amount"),
        ('[[lab]]\nanalytes = ["ph"]\namount = "3 furlongs"', "lab row 1, amount"),
        ('[[lab]]\nanalytes = []\namount = "3 mg/L"', "an amount needs analytes that it is of"),
        ('[[season]]\nanalytes = ["iron"]\nshare = "5 %"\nwhen = "june"', '"when" is not a key of it'),
        ('[flow]\npeak = "much"', 'flow, peak: "much" is not'),
        ("[draw]\nwithin = 0", "draw, within: 0 is not a number from 0 to 100"),
        ("[method]\nfield = true", "method, field: true is not a number"),
        ("lab = 3", "lab is written as [[lab]] tables"),
    ],
)
def test_bad_spreads_are_refused_in_one_sentence(tmp_path: Path, text: str, sentence: str) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SpreadsError) as error:
        read_spreads(path)
    assert str(error.value).startswith("own.toml") and sentence in str(error.value) and "\n" not in str(error.value)


def test_every_spread_says_where_it_is_from() -> None:
    tree = tomllib.loads(resources_path("options", "spreads.toml").read_text(encoding="utf-8"))
    rows = [*tree["lab"], *tree["season"], tree["flow"], tree["method"], tree["draw"]]
    assert all(row["source"] and row["status"] for row in rows)


def test_a_difference_of_temperature_is_no_temperature(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    for text in ("2 degC", "3.6 degF"):
        path.write_text(f'[[season]]\nanalytes = ["temperature"]\namount = "{text}"', encoding="utf-8")
        assert read_spreads(path).season("temperature", "well").amount == pytest.approx(2.0)
