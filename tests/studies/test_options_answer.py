"""What `trainapp options` prints."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from tests.studies.test_options import GERMS, SOFT, raw, sample
from tests.train.trains import chain, document
from trainapp import cli
from trainapp.checks import findings
from trainapp.checks.taste import taste
from trainapp.dimensions import GALLON
from trainapp.reports.options_json import options_json
from trainapp.reports.options_text import options_lines
from trainapp.spelling import american
from trainapp.studies.cost import default_prices
from trainapp.studies.options import Proposal, criteria, propose, shown
from trainapp.studies.options.oxidant import with_oxidant
from trainapp.studies.options.words import beside_limit, is_close
from trainapp.train.document import dumps, loads
from trainapp.train.evaluate import evaluate
from trainapp.train.plan import open_plan


def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *words: str) -> tuple[int, str, str]:
    """Exit status, output and errors of a command."""
    monkeypatch.setattr(sys, "argv", ["trainapp", *words])
    with pytest.raises(SystemExit) as ended:
        cli.main()
    told = capsys.readouterr()
    return int(ended.value.code or 0), told.out, told.err


@pytest.fixture(scope="module")
def town() -> Proposal:
    """Options of a sample site."""
    return propose(sample("pebble-court-3"))


@pytest.fixture
def town_file(tmp_path: Path) -> str:
    """Its file."""
    path = tmp_path / "town.train.json"
    path.write_text(dumps(sample("pebble-court-3")), encoding="utf-8")
    return str(path)


def test_json_is_plain_and_whole(town: Proposal) -> None:
    told = options_json(town)
    text = json.dumps(told, allow_nan=False)
    assert json.loads(text) == told
    assert (told["format"], told["version"]) == ("trainapp/options", 1)
    for option, source in zip(told["options"], town.options, strict=True):
        assert option["criteria"]["buy"]["amount"] == f"{source.bill.buy:.2f}"
        assert option["bill"]["own"] == str(sum(line.present for line in source.bill.lines))
        assert option["not_judged"]
        evaluation = evaluate(open_plan(loads(json.dumps(option["document"]))))
        assert abs(evaluation.points["house"].pressure.lowest / 6894.757 - option["criteria"]["pressure"]["magnitude"]) < 1e-5


def test_text_says_each_option_its_reason_and_that_nothing_is_proven(town: Proposal) -> None:
    text = "\n".join(options_lines(town))
    flat = " ".join(text.split())
    for option in town.options:
        assert option.name in text and option.reason in flat
    assert "(prove by test)" in text and "Left out:" in text and "Not judged:" in text
    assert "no certificate of safe water" in flat
    for word in (" safe.", "guarantee", "approved", " OK"):
        assert word not in flat


def test_germs_are_never_called_gone() -> None:
    text = "\n".join(options_lines(propose(raw({**SOFT, **GERMS}))))
    assert "(UV, test to confirm)" in text
    assert "%" not in text.replace("%/cm", "")


def test_unsolved_health_stands_first() -> None:
    lines = list(options_lines(propose(raw({**SOFT, "hardness": "15 gpg", "nitrate": "24 mg/L"}))))
    first = next(i for i, line in enumerate(lines) if line == "Not solved by any option here:")
    assert first < next(i for i, line in enumerate(lines) if line.startswith("1  "))
    assert "Nitrate" in lines[first + 1]


def test_what_not_to_do_now_is_the_first_line() -> None:
    lines = list(options_lines(propose(raw({**SOFT, **GERMS, "e_coli": "present", "nitrate": "24 mg/L"}))))
    first = " ".join(lines[: lines.index("")])
    assert first == "Do not drink this water now: use another source. Boiling does not remove nitrate and makes it stronger."


def test_the_command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, town_file: str) -> None:
    status, out, err = run(capsys, monkeypatch, "options", town_file, "--json", "--most", "2")
    told = json.loads(out)
    assert status == 0 and len(told["options"]) == 2
    assert all(line.startswith("Looking for trains") for line in err.splitlines()), "how far it is, where it takes long, and no more"
    status, out, _ = run(capsys, monkeypatch, "options", town_file, "--units", "metric", "--years", "5")
    assert status == 0 and "over 5 years" in out and " bar" in out and " psi" not in out


def test_own_prices_and_items(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, town_file: str, tmp_path: Path) -> None:
    prices = tmp_path / "own.toml"
    prices.write_text(
        'format = "trainapp/prices"\nversion = 1\n[list]\nname = "Our list"\ncurrency = "CAD"\n'
        '[[equipment]]\nkind = "softener"\nprice = 999\n[[equipment]]\nkind = "carbon_bed"\nprice = 500\n',
        encoding="utf-8",
    )
    status, out, _ = run(capsys, monkeypatch, "options", town_file, "--prices", str(prices))
    assert status == 0 and "CAD" in out and "our list" in out
    items = tmp_path / "own.csv"
    head = "item,kind,label,price,carbon,tank_diameter,bed_depth\n"
    items.write_text(f"{head}own,carbon_bed,Our bed,10,plain,16 in,42 in\n", encoding="utf-8")
    status, out, _ = run(capsys, monkeypatch, "options", town_file, "--catalogue", str(items))
    assert status == 0 and "Our bed" in out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--units", "furlongs"], '--units: "furlongs" is neither us nor metric'),
        (["--prices", "none.toml"], "none.toml: there is no such file"),
        (["--catalogue", "none.csv"], "none.csv"),
        (["--most", "0"], "--most"),
    ],
)
def test_what_cannot_be_used_gets_one_sentence(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, town_file: str, words: list[str], sentence: str
) -> None:
    status, out, err = run(capsys, monkeypatch, "options", town_file, *words)
    assert status == 2 and out == "" and sentence in err and err.count("\n") == 1 and "Traceback" not in err


def test_status_is_1_where_nothing_is_found(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    path = tmp_path / "weak.train.json"
    main = {"kind": "mains", "static": "21 psi", "residual": "18 psi", "at_flow": "10 gpm"}
    path.write_text(dumps(raw({**SOFT, "hardness": "20 gpg"}, supply=main, peak="60 gpm")), encoding="utf-8")
    status, out, _ = run(capsys, monkeypatch, "options", str(path))
    assert status == 1 and "What stands in the way:" in out


def test_prices_are_invented_and_say_so(town: Proposal) -> None:
    assert "invented prices" in " ".join(options_lines(town))
    assert default_prices().name == "Invented prices"


def test_what_is_fed_is_named_and_chlorine_that_stays_is_tasted() -> None:
    iron = {"id": "iron", "kind": "iron_filter", "item": "iron-greensand-13x54", "settings": {}}
    water = {**SOFT, "iron": "2.4 mg/L", "iron_dissolved": "2.3 mg/L", "manganese": "0.1 mg/L", "hardness": "5 gpg"}
    fed = evaluate(open_plan(document([iron], chain("supply", "iron", "house"), water=water)))
    told = taste(fed, "us")
    assert told.startswith("Tastes and smells of chlorine: ")
    assert [f.message.startswith(f"{told}. ") for f in findings(fed) if f.code == "taste"] == [True], "options and check say it alike"
    carbon = {"id": "carbon", "kind": "carbon_bed", "item": "carbon-9x48", "settings": {}}
    behind = evaluate(open_plan(document([iron, carbon], chain("supply", "iron", "carbon", "house"), water=water)))
    assert taste(behind, "us") == ""
    stage = fed.stages["iron"].stage
    assert with_oxidant("Iron filter, manganese greensand", stage) == "Iron filter, manganese greensand, chlorine fed"
    assert with_oxidant("Chlorine feed", stage) == "Chlorine feed"


@pytest.mark.parametrize(
    ("value", "text"), [(0.2998, "just under 0.30 mg/L"), (0.3002, "just over 0.30 mg/L"), (0.21, "0.21 mg/L"), (0.3, "0.30 mg/L")]
)
def test_a_prediction_is_told_in_the_decimals_of_its_limit(value: float, text: str) -> None:
    assert beside_limit(value, 0.3, "concentration", "us", "iron") == text


def test_a_residual_at_its_limit_is_too_close_to_call() -> None:
    assert is_close("iron", 0.2998, 0.3) and not is_close("iron", 0.2, 0.3) and not is_close("hardness", 119.9, 120.0)


def test_thousands_are_told_apart_alike() -> None:
    by = next(by for by in criteria() if by.key == "drain")
    assert shown(by, 4000 * GALLON, "USD", "us") == "4,000 gal" and shown(by, 26147 * GALLON, "USD", "us") == "26,147 gal"


def test_rows_name_their_scale_and_what_is_counted() -> None:
    text = "\n".join(options_lines(propose(raw({**SOFT, "ph": "6.0", "hardness": "3 gpg", "alkalinity": "30 mg/L"}))))
    assert "pH 6.0 to " in text and "cautions left" not in text and "cautions that other equipment could mend:" in text


def test_the_answer_is_spelt_as_its_reader_spells(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LC_ALL", "en_US.UTF-8")
    american.cache_clear()
    text = "\n".join(options_lines(propose(raw({**SOFT, "hardness": "15 gpg"}))))
    american.cache_clear()
    assert "color was not measured" in " ".join(text.split()) and "colour" not in text
