"""What a year says: pairs of runs, the prompt, JSON; and that teaching pictures are called so."""

from __future__ import annotations

import json
import math
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.reports.drawing_checks import meetings, outside
from tests.studies.year_cases import HARD, NO_CUTS, RUSTY, document, site, stage, uv, years
from trainapp.checks import findings
from trainapp.data import samples_path
from trainapp.reports.drawing.display import Text
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.progress import Progress
from trainapp.reports.year_answer import Asked, answer
from trainapp.reports.year_chart import charts_of, usual
from trainapp.reports.year_files import charts_page
from trainapp.reports.year_json import pair_json, year_json
from trainapp.reports.year_moment import moment
from trainapp.reports.year_pair import pair_page
from trainapp.reports.year_text import pair_lines, year_lines
from trainapp.reports.year_words import date_of, is_failing, when
from trainapp.studies.year import Options, Upkeep, YearError, bare, before_and_after, compare, run, usual_cuts, without
from trainapp.train.document import Document, DocumentError, load
from trainapp.train.document import dumps as text_of
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan

FARM = samples_path("lone-alder-farm.train.json")
ALONE = samples_path("lone-alder-farm-uv-alone.train.json")
SHORT = Options(days=120, cuts=NO_CUTS)


def numbers_in(tree: Any) -> Iterator[float]:
    """Every number of a JSON tree."""
    if isinstance(tree, dict | list):
        for child in tree.values() if isinstance(tree, dict) else tree:
            yield from numbers_in(child)
    elif isinstance(tree, int | float) and not isinstance(tree, bool):
        yield float(tree)


# Pairs ----------------------------------------------------------------------------------------------------------------------------------


def test_before_and_after_keeps_the_lamp_and_takes_the_rest() -> None:
    farm = load(FARM)
    assert [entry.id for entry in bare(farm).stages] == ["uv"]
    pair = before_and_after(farm, SHORT)
    told = {measure.key: measure for measure in pair.measures}
    assert told["rusty"].first > 100.0 and told["rusty"].second == pytest.approx(0.0, abs=1.0)  # type: ignore[operator]
    assert told["hard"].first > told["hard"].second == 0.0  # type: ignore[operator]
    assert told["iron"].first > 20.0 * told["iron"].second  # type: ignore[operator]
    outside = told["outside"]
    assert outside.illustrative and outside.band is not None
    before, after = outside.band
    assert before is not None and after is not None and before[1] > before[0] >= 0.0 and after == (0.0, 0.0)
    assert told["pressure"].first > told["pressure"].second  # type: ignore[operator]
    assert {wrong.code for wrong in pair.only_first} >= {"rusty", "hard"}
    assert pair.first.options == pair.second.options
    assert len(pair.first.hours) == len(pair.second.hours)


def test_with_and_without_a_stage() -> None:
    train = site(stage("soft", "softener", tanks="2"), uv())
    shares: list[float] = []
    pair = compare(train, without(train, ["soft"]), SHORT, progress=lambda share: shares.append(share) is None)
    assert shares == sorted(shares) and shares[0] == 0.0 and shares[-1] == 1.0
    assert pair.labels == ("with", "without")
    assert (pair.second.course("uv", "film") <= pair.first.course("uv", "film")).all()
    assert pair.second.course("house", "hardness").max() == pytest.approx(342.36)
    assert without(train, []) is train


def test_a_train_without_a_lamp_has_a_before_too() -> None:
    train = site(stage("soft", "softener"), stage("fine", "sediment_cartridge", rating="5 um"))
    pair = before_and_after(train, SHORT)
    assert not pair.first.document.stages
    assert "outside" not in {measure.key for measure in pair.measures}


def test_a_sample_behind_a_stage_that_is_taken_away() -> None:
    train = site(stage("soft", "softener"), uv())
    tree = json.loads(text_of(train))
    tree["samples"].append({"id": "later", "at": "soft", "results": {"hardness": "5 mg/L"}})
    pair = before_and_after(Document.of(tree), SHORT)
    assert pair.first.course("house", "hardness").max() == pytest.approx(342.36)


def test_taking_away_what_is_not_there_is_refused() -> None:
    with pytest.raises(DocumentError, match="nothing"):
        without(site(uv()), ["nothing"])


# Words -----------------------------------------------------------------------------------------------------------------------------------


def test_teaching_pictures_are_called_illustrative() -> None:
    year = years(site(uv(), water=RUSTY))
    text = "\n".join(year_lines(year, "us"))
    assert "Illustrative: how fast a film grows on a sleeve" in text
    assert "only tests do" in text
    line = next(line for line in text.splitlines() if "month" in line and "fail" not in line.split()[0])
    assert "illustrative" in line
    film = next(wrong for wrong in year_json(year)["gone_wrong"] if wrong["code"] == "outside-rating-film")
    assert film["illustrative"] and film["day"] is None and film["months"]["soonest"] < film["months"]["latest"]
    total = year_json(year)["totals"]["hours_outside_rating"]
    assert total["illustrative"] and total["low"] < total["high"] and "magnitude" not in total
    # no share is ever put on disinfection or health
    assert "%" not in text


def test_dates_are_days_of_the_year() -> None:
    year = years(site(uv()), days=3, start_day=58)
    assert [date_of(year, day) for day in (0, 1.5, 306, 307)] == ["28 February", "1 March", "31 December", "1 January, year 2"]


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_text_names_its_units(system: str) -> None:
    year = run(load(FARM), Options(days=40))
    text = "\n".join(year_lines(year, system))  # type: ignore[arg-type]
    assert (" psi" in text) == (system == "us") and (" bar" in text) == (system == "metric")
    assert all(len(line) <= 100 for line in text.splitlines())
    both = "\n".join(pair_lines(before_and_after(load(ALONE), Options(days=20)), system))  # type: ignore[arg-type]
    assert all(len(line) <= 100 for line in both.splitlines())


def test_json_is_plain_and_whole() -> None:
    tree = year_json(run(load(FARM), Options(days=30)))
    assert json.loads(json.dumps(tree, allow_nan=False)) == tree
    assert all(math.isfinite(number) for number in numbers_in(tree))
    assert tree["format"] == "trainapp/year" and tree["days"] == 30
    assert {course["at"] for course in tree["courses"]} == {"supply", "screen", "iron", "softener", "fine", "uv", "house", "garden"}
    assert all(len(course["days"]) == 30 for course in tree["courses"])
    assert all(abs(balance["error"]) < 1e-6 for balance in tree["balances"].values())
    assert tree["totals"]["salt"]["unit"] == "lb" and tree["totals"]["hours_hard"]["unit"] == "h"
    pair = pair_json(before_and_after(load(ALONE), Options(days=20)))
    assert json.loads(json.dumps(pair, allow_nan=False)) == pair


# The prompt -------------------------------------------------------------------------------------------------------------------------------

Said = tuple[int, str, str]


def test_the_prompt_prints_what_the_window_shows(year_prompt: Callable[..., Said]) -> None:
    status, out, _ = year_prompt(FARM, "--json", "--days", "50", "--upkeep", "late", "--late-days", "10", "--detail", "hour")
    own = year_json(run(load(FARM), Options(days=50, upkeep=Upkeep("late", 10.0), detail="hour"), folder=FARM.parent))
    assert status == 0 and json.loads(out) == own


def test_a_lamp_unlit_over_unsafe_water_fails(year_prompt: Callable[..., Said]) -> None:
    status, out, _ = year_prompt(ALONE, "--days", "40")
    assert status == 1 and "Water passed the chamber while its lamp had no light" in out
    status, out, _ = year_prompt(ALONE, "--days", "20", "--power-cuts", "0")
    assert "had no light" not in out


def test_two_runs_at_the_prompt(year_prompt: Callable[..., Said]) -> None:
    status, out, _ = year_prompt(FARM, "--days", "20", "--without", "softener", "--without", "iron", "--json")
    tree = json.loads(out)
    assert tree["labels"] == ["as it is", "without softener, iron"] and status == 0
    hard = next(measure for measure in tree["measures"] if measure["key"] == "hard")
    assert hard["first"]["magnitude"] == 0.0 < hard["second"]["magnitude"]
    _, out, _ = year_prompt(FARM, "--days", "20", "--before-and-after", "--units", "metric")
    assert "without pre-treatment" in out and "kg" in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--days", "0"], "0 days: a run takes 1 to 3650 days"),
        (["--upkeep", "sometimes"], 'upkeep "sometimes" is not one of on-time, late, never'),
        (["--detail", "second"], 'detail "second" is neither minute nor hour'),
        (["--spike", "gold=3"], '--spike: "gold=3" is not a spike such as'),
        (["--spike", "iron=3 furlongs"], '--spike: "3 furlongs" is not a concentration'),
        (["--power-cuts", "40"], "--power-cuts: 40 is not between 0 and 3"),
        (["--without", "moon"], 'stages.moon: "moon" is not a stage of this train'),
        (["--before-and-after", "--without", "uv"], "--before-and-after and --without each name the train beside it"),
        (["--late-days", "9"], "--late-days says how late --upkeep late comes"),
        (["--upkeep", "late", "--late-days", "nan"], "--late-days: nan is not between 0 and 730"),
        (["--upkeep", "late", "--late-days", "inf"], "--late-days: inf is not between 0 and 730"),
        (["--spike", "iron=8 mg/L@400+14"], "a spike begins on a day of the year, 0 to 364, not on day 400"),
        (
            ["--days", "30", "--spike", "iron=8 mg/L@200"],
            "--spike: it begins on day 200 of the year, and 30 days from 1 January",
        ),
        (["--days", "1", "--spike", "iron=8 mg/L@5+2"], "and 1 day from 1 January"),
        (["--units", "furlongs"], '--units: "furlongs" is neither us nor metric'),
    ],
)
def test_bad_words_are_one_sentence(year_prompt: Callable[..., Said], words: list[str], told: str) -> None:
    status, out, err = year_prompt(FARM, *words)
    assert (status, out) == (2, "") and told in err and len(err.splitlines()) == 1


def test_a_pattern_lies_beside_its_document(year_prompt: Callable[..., Said], tmp_path: Path) -> None:
    train = json.loads(FARM.read_text(encoding="utf-8"))
    train["demand"]["pattern"] = "own.csv"
    (tmp_path / "farm.train.json").write_text(json.dumps(train), encoding="utf-8")
    status, _, err = year_prompt(tmp_path / "farm.train.json", "--days", "5")
    assert status == 2 and 'demand.pattern: the file "own.csv" cannot be read' in err
    (tmp_path / "own.csv").write_text("time,flow\n06:00,3 gpm\n07:00,0 gpm\n", encoding="utf-8")
    status, out, _ = year_prompt(tmp_path / "farm.train.json", "--days", "10", "--json", "--power-cuts", "0")
    assert status == 0 and json.loads(out)["totals"]["house_water"]["magnitude"] == pytest.approx(10 * 180.0, rel=1e-6)


def test_progress_is_quiet_where_it_is_quick(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter([0.0, 0.1, 0.6, 0.7, 9.0])
    monkeypatch.setattr("trainapp.reports.progress.time.monotonic", lambda: next(clock))
    with Progress("Running") as told:
        assert all(told(share) for share in (0.1, 0.5, 0.6, 0.9))
    assert capsys.readouterr().err.splitlines() == ["Running: 50 %", "Running: 90 %"]


def test_progress_leaves_no_half_line_on_a_terminal(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter([0.0, 1.0, 2.0])
    monkeypatch.setattr("trainapp.reports.progress.time.monotonic", lambda: next(clock))
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    with pytest.raises(KeyboardInterrupt), Progress("Running") as told:
        told(0.25)
        raise KeyboardInterrupt
    err = capsys.readouterr().err
    assert err.startswith("\rRunning: 25 %\r") and err.endswith("stopped, nothing was written\n")


class _Dying:
    """Raises an interrupt where Python throws exceptions away: while it is thrown away itself."""

    def __del__(self) -> None:
        signal.raise_signal(signal.SIGINT)


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_an_interrupt_that_python_throws_away_is_kept() -> None:
    with pytest.raises(KeyboardInterrupt), Progress("Running") as told:
        dying = _Dying()
        del dying
        told(0.5)
        pytest.fail("the interrupt was lost")
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_an_interrupt_ends_it_cleanly() -> None:
    root = Path(__file__).resolve().parents[2]
    started = subprocess.Popen(
        [sys.executable, "-m", "trainapp", "year", str(FARM), "--days", "3650", "--upkeep", "never"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(root)}, text=True,
    )  # fmt: skip
    assert started.stderr is not None
    # it has begun to run once it tells how far it is
    line = started.stderr.readline()
    started.send_signal(signal.SIGINT)
    began = time.monotonic()
    out, err = started.communicate(timeout=60)
    assert line.startswith("Running the train through time:")
    assert started.returncode == 130 and out == "" and "Traceback" not in err and "stopped" in err
    assert time.monotonic() - began < 20.0


def test_an_answer_needs_no_prompt() -> None:
    answered = answer(load(FARM), Asked(days=10, power_cuts=0), FARM.parent, lambda share: True)
    assert answered.lines[0].startswith("Lone Alder Farm") and not answered.is_failing
    assert [name for name, _ in answered.trains] == [""] and answered.pair is None
    with pytest.raises(YearError):
        answer(load(ALONE), Asked(days=-3), FARM.parent, lambda share: True)


def test_an_unknown_pattern_names_its_place(year_prompt: Callable[..., Said], tmp_path: Path) -> None:
    train = document([stage("soft", "softener")], water=HARD, demand={"peak": "6 gpm", "daily": "200 gal", "pattern": "lighthouse"})
    (tmp_path / "x.train.json").write_text(text_of(train), encoding="utf-8")
    status, _, err = year_prompt(tmp_path / "x.train.json")
    assert status == 2 and err.startswith('demand.pattern: "lighthouse" is not a pattern')


def test_water_with_e_coli_is_not_to_be_drunk_before_anything_else() -> None:
    croft = load(samples_path("inkwell-croft.train.json"))
    year = run(croft, Options(days=2, cuts=NO_CUTS))
    told = next(f for f in findings(evaluate(open_plan(croft))) if f.analyte == "e_coli").cautions[0]
    said = " ".join(" ".join(year_lines(year, "us")).split())
    assert said.startswith(told) and told.startswith("Do not drink this water now")
    pair = before_and_after(croft, Options(days=2, cuts=NO_CUTS))
    assert " ".join(" ".join(pair_lines(pair, "us")).split()).startswith("Do not drink this water now")
    charts = charts_page(charts_of([("", year)], usual(year)))
    assert next(shape.text for shape in charts.items if isinstance(shape, Text)).startswith("Do not drink this water now")
    assert meetings(charts, measure_dejavu) == [] and outside(charts, measure_dejavu) == []
    assert year_json(year)["warning"] == told and pair_json(pair)["warning"]
    page = [shape.text for shape in pair_page(pair).items if isinstance(shape, Text)]
    assert page[0].startswith("Do not drink this water now")
    assert year_json(run(load(FARM), Options(days=1)))["warning"] == ""


def test_a_train_without_its_lamp_is_untreated_all_year() -> None:
    farm = load(ALONE)
    pair = compare(farm, without(farm, ["uv"]), Options(days=3, cuts=NO_CUTS))
    told = {measure.key: measure for measure in pair.measures}
    assert told["unlit"].second is None and told["untreated"].first == 0.0
    assert told["untreated"].second == pytest.approx(pair.second.totals.drawn_hours) and told["untreated"].second > 0.0
    bare_wrong = next(wrong for wrong in pair.second.gone_wrong if wrong.code == "untreated")
    assert (bare_wrong.severity, bare_wrong.stage) == ("fail", "house") and (bare_wrong.day or 0.0) < 1.0
    assert "No disinfection: untreated for germs all year" in bare_wrong.sentence
    assert is_failing(pair.second) and "untreated" not in {wrong.code for wrong in pair.first.gone_wrong}
    now = moment(pair.second, 8 + int(24 * (bare_wrong.day or 0.0)))
    assert pair.second.totals.untreated_hours and any(wrong.told is bare_wrong for wrong in now.wrong)
    mains = years(site(stage("soft", "softener")), days=2)
    assert mains.totals.untreated_hours is None and all(wrong.code != "untreated" for wrong in mains.gone_wrong)


def test_what_goes_wrong_in_both_stands_side_by_side() -> None:
    worn = without(load(FARM), ["softener"])
    pair = compare(load(FARM), worn, Options(days=120, cuts=NO_CUTS, upkeep=Upkeep("never")))
    both = {row.either.code: row for row in pair.gone_wrong}
    assert both["hard"].first is not None and both["hard"].second is not None
    assert (both["hard"].first.day or 0.0) > (both["hard"].second.day or 0.0) + 20.0
    assert "hard" not in {wrong.code for wrong in (*pair.only_first, *pair.only_second)}
    text = "\n".join(pair_lines(pair, "us"))
    days = [date_of(year, wrong.day or 0.0) for year, wrong in ((pair.first, both["hard"].first), (pair.second, both["hard"].second))]
    told = text[text.index("Hard water at the house  [house]") :]
    assert told.index(f"with: {days[0]}, caution") < told.index(f"without: {days[1]}, caution")
    assert "not in this run" in text
    rows = pair_json(pair)["gone_wrong"]
    assert any(row["first"] and row["second"] and row["first"]["code"] == "hard" for row in rows)
    for row in pair.gone_wrong:
        for year, wrong in ((pair.first, row.first), (pair.second, row.second)):
            assert wrong is None or not wrong.illustrative or date_of(year, 0) not in when(year, wrong)
    page = pair_page(pair)
    assert meetings(page, measure_dejavu) == [] and outside(page, measure_dejavu) == []
    words = " ".join(shape.text for shape in page.items if isinstance(shape, Text))
    assert all(day in words for day in days) and "Goes wrong only" not in words


def test_what_an_invented_power_cut_does_has_the_word_and_no_date() -> None:
    year = run(load(ALONE), Options(days=40))
    cut = [wrong for wrong in year.gone_wrong if wrong.code in ("unlit", "no-water")]
    assert len(cut) == 2 and all(wrong.invented and wrong.illustrative for wrong in cut)
    text = "\n".join(year_lines(year, "us"))
    assert "25 January" not in text and "in a power cut of month 0.8, illustrative  fail  [uv]" in text
    assert "with its lamp unlit, illustrative power cuts" in text and "all the water it wanted, illustrative power cuts" in text
    rows = [row for row in year_json(year)["gone_wrong"] if row["code"] in ("unlit", "no-water")]
    assert all(row["day"] is None and row["illustrative"] and row["months"]["soonest"] == row["months"]["latest"] for row in rows)
    now = moment(year, (cut[0].day or 0.0) * 24)
    assert not now.power and now.clock.startswith("month 0.8") and "unlit" in {wrong.told.code for wrong in now.wrong}
    # when it comes is invented, what it does is not: it fails
    clean = years(site(uv(shutoff="none"), water={**HARD, "total_coliform": "present", "hardness": "50 mg/L"}), days=40, cuts=usual_cuts())
    assert {wrong.severity for wrong in clean.gone_wrong if wrong.code == "unlit"} == {"fail"} and is_failing(clean)
    assert "illustrative power cuts" not in "\n".join(year_lines(run(load(ALONE), Options(days=2, cuts=NO_CUTS)), "us"))


def test_one_day_is_a_day() -> None:
    assert next(year_lines(run(load(FARM), Options(days=1)), "us")).startswith("Lone Alder Farm: 1 day from 1 January")
