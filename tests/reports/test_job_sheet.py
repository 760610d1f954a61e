"""The job sheet: everything an installer needs stands in it, with its source, and nothing of it is cut or a promise."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from tests.reports.drawing_checks import meetings
from tests.reports.printing import LONG_SITE, LONG_STAGE, SITES, evaluated, flowed, long_names, pdf_text, site, squeezed, tree_of
from tests.train.trains import MAIN, document, stage, twelve_stages
from trainapp import units
from trainapp.checks import findings, safety
from trainapp.cli import app
from trainapp.data import load_toml
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.job_sheet import job_sheet, write_job_sheet
from trainapp.reports.job_sheet_lines import all_lines, facts, lines
from trainapp.reports.job_sheet_picture import length_text
from trainapp.reports.job_sheet_tables import SheetTables
from trainapp.reports.ledger import Ledger
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import PAPERS
from trainapp.reports.print_sources import Citations
from trainapp.reports.print_table import PrintTable
from trainapp.reports.upkeep import Rhythm, rhythm_of, upkeep
from trainapp.sources import STATUSES, sources
from trainapp.spelling import spelt
from trainapp.train.evaluate import evaluate
from trainapp.train.evaluation import Evaluation
from trainapp.train.plan import open_plan

LETTER = PAPERS["letter"]


def of_stages(*stages: dict[str, object], **more: object) -> Evaluation:
    return evaluate(open_plan(document(list(stages), **more)))  # type: ignore[arg-type]


def twelve() -> PrintJob:
    evaluation = evaluate(open_plan(twelve_stages()))
    return job_sheet(evaluation, findings(evaluation), "us", LETTER)


def twenty() -> PrintJob:
    evaluation = of_stages(*(stage(f"s{i}", "softener", resin_volume="2 ft3", tank_diameter="12 in") for i in range(20)))
    return job_sheet(evaluation, findings(evaluation), "metric", PAPERS["a4"])


MADE: dict[str, Callable[[], PrintJob]] = {
    **{name: partial(lambda name: job_sheet(*site(name), "us", LETTER), name) for name in SITES},
    "metric, a4": lambda: job_sheet(*site("inkwell-croft", "metric"), "metric", PAPERS["a4"]),
    "long names": lambda: job_sheet(*evaluated(long_names(tree_of("lone-alder-farm"))), "us", LETTER),
    "twelve": twelve,
    "twenty": twenty,
}


@cache
def job_of(name: str) -> PrintJob:
    return MADE[name]()


def tables(name: str = "lone-alder-farm", system: units.System = "us") -> SheetTables:
    return SheetTables(Ledger(*site(name, system), system), Citations())


def cells(table: PrintTable | None, column: str) -> dict[str, str]:
    """A column by the first line of the first."""
    assert table is not None
    where = table.heads.index(column)
    return {row[0].split("\n")[0]: row[where] for row in table.rows if len(row) > 1 and row[0]}


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sheet") / "farm.pdf"
    write_job_sheet(*site("lone-alder-farm"), path, paper=LETTER)
    return path


# On paper ---------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", list(MADE))
def test_nothing_is_cut_or_over_another_or_too_small(name: str) -> None:
    for page in job_of(name).pages:
        for part, texts in flowed(PrintJob("", "", (page,))):
            assert meetings(part.display, measure_dejavu) == []
            for text, box in texts:
                assert text.size * part.scale * 0.75 > 7.9, text.text
                assert part.x + box.x * part.scale >= 23.0 and part.x + box.right * part.scale <= page.width - 23.0, text.text
                assert part.y + box.y * part.scale >= 23.0 and part.y + box.bottom * part.scale <= page.height - 23.0, text.text


def test_a_figure_of_a_lane_does_not_read_as_part_of_the_label_beside_it() -> None:
    words = [text for part, found in flowed(PrintJob("", "", job_of("marzipan-moth-tea-room").pages[:1])) for text in found]
    (label,) = [box for text, box in words if text.text.endswith("to yard, raw")]
    (figure,) = [box for text, box in words if text.text == "5.0" and abs(box.bottom - label.bottom) < 6.0]
    assert figure.x - label.right >= 20.0


def test_long_names_are_whole(tmp_path: Path) -> None:
    write_job_sheet(*evaluated(long_names(tree_of("lone-alder-farm"))), tmp_path / "long.pdf", paper=LETTER)
    text = pdf_text(tmp_path / "long.pdf")
    assert squeezed(LONG_SITE) in text and squeezed(LONG_STAGE) in text


def test_every_part_of_the_sheet_has_a_bookmark(farm: Path) -> None:
    flat = [entry for part in PdfReader(farm).outline for entry in (part if isinstance(part, list) else [part])]
    assert [str(entry.title) for entry in flat if entry.title != "Notes of the site"] == [
        "Job sheet", "Before work begins", "Safety", "Stages in flow order", "Pipe schedule", "Order of work", "Drain and air gap",
        "Electrical", "Start-up check list", "Sample taps and tests after start-up", "Upkeep plan", "Sources",
    ]  # fmt: skip


def test_the_same_train_gives_the_same_bytes(farm: Path, tmp_path: Path) -> None:
    write_job_sheet(*site("lone-alder-farm"), tmp_path / "again.pdf", paper=LETTER)
    assert (tmp_path / "again.pdf").read_bytes() == farm.read_bytes()


# What it says -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SITES)
def test_every_finding_stands_whole(name: str, tmp_path: Path) -> None:
    evaluation, found = site(name)
    write_job_sheet(evaluation, found, tmp_path / "a.pdf", paper=LETTER)
    text = pdf_text(tmp_path / "a.pdf")
    for finding in found:
        assert squeezed(units.typeset(finding.title)) in text
        for sentence in (finding.message, *finding.cautions):
            assert squeezed(spelt(units.typeset(sentence))) in text, sentence
    for sentence in safety(evaluation):
        assert squeezed(spelt(units.typeset(sentence))) in text, sentence


def test_local_codes_and_licensed_practice_come_first(farm: Path) -> None:
    assert squeezed("Local codes, the makers' instructions and licensed practice come before this sheet.") in pdf_text(farm)


def test_the_sheet_says_what_the_brief_of_an_installer_asks(farm: Path) -> None:
    text = pdf_text(farm)
    for words in (
        "Each drain line ends above the rim of what it runs into", "The air gap is at least twice the opening of the line",
        "with a ground-fault breaker", "The chamber has a circuit of its own", "bonding jumper",
        "All pipes behind the chamber, cold and hot", "The supply is flushed to drain", "the shut-off valve closed",
        "Clocks are set to the local time", "Nobody drinks this water until two samples after start-up", "One month later",
    ):  # fmt: skip
        assert squeezed(words) in text, words


def test_no_sheet_promises_or_names_a_probability_of_disinfection() -> None:
    said = " ".join(text.text for name in MADE for _, texts in flowed(job_of(name)) for text, _ in texts)
    assert not re.search(r"\b(safe to drink|guarantee|100 % (of )?(germs|bacteria)|log (credit|removal)|kills)\b", said)


def test_behind_a_chamber_nothing_is_forecast_of_germs() -> None:
    rows = [row for row in tables().taps().rows if row[1] in ("Total coliform", "E. coli")]
    before, behind = rows[:2], rows[2:]
    assert [row[2] for row in before] == [units.typeset("12 /100mL"), "absent"]
    assert [row[2:4] for row in behind] == [("no forecast", "absent")] * 2


@pytest.mark.parametrize("name", SITES)
def test_every_number_in_brackets_is_a_source_with_its_status(name: str) -> None:
    words = [text.text for _, texts in flowed(job_of(name)) for text, _ in texts]
    cited = {number for text in words for number in re.findall(r"\[(\d+)\]", text)}
    titles = {sources()[key].label for key in sources()}
    listed = {words[i] for i, text in enumerate(words[1:]) if text in titles}
    assert cited and cited <= listed


# Standing lines ---------------------------------------------------------------------------------------------------------------


def test_every_line_has_a_source_and_a_status() -> None:
    for section in load_toml("reports/job_sheet.toml"):
        for line in all_lines(section):  # type: ignore[arg-type]
            assert line.source in sources() and line.status in STATUSES


def test_every_word_of_a_condition_can_be_true_of_some_train() -> None:
    known = set(facts(evaluate(open_plan(twelve_stages()))))
    for name in SITES:
        known |= facts(site(name)[0])
    known |= facts(of_stages(stage("tank", "storage_pump"), stage("reg", "pressure_regulator"), supply=MAIN))
    known |= {"raw", "fine", "chlorine_fed", "into_uv", "unlit", "blend", "shut_bypass", "permanganate", "peroxide"}
    asked = {word for section in load_toml("reports/job_sheet.toml") for line in all_lines(section) for word in line.words}  # type: ignore[arg-type]
    assert asked <= known


def test_a_train_without_a_chamber_has_no_line_about_one() -> None:
    evaluation = of_stages(stage("softener", "softener", resin_volume="2 ft3", tank_diameter="12 in"), supply=MAIN)
    said = " ".join(line.text for section in ("work", "drain", "electrical", "start") for line in lines(section, evaluation))  # type: ignore[arg-type]
    assert "chamber" not in said and "Brine" in said and "Shut the main at the meter" in said
    assert "pump off" not in said


def test_germs_bring_the_line_of_the_two_samples() -> None:
    assert "germs" in facts(site("lone-alder-farm")[0]) and "germs" not in facts(site("pebble-court-3")[0])


# Tables -----------------------------------------------------------------------------------------------------------------------


def test_stages_have_size_loss_and_settings() -> None:
    table = tables().stages()
    assert cells(table, "size of one unit")["5 UV chamber"].startswith(units.typeset("class A, 12.0 gpm, 40.0 mJ/cm2"))
    assert "media manganese greensand; oxidant chlorine" in cells(table, "set to")["2 Iron filter"]
    assert units.typeset("by default (from memory): residual 0.5 mg/L") in cells(table, "set to")["2 Iron filter"]
    assert cells(table, "takes at the peak")["3 Softener"].split("\n")[0] == units.typeset("7.0 gpm")


def test_an_old_stage_is_marked_as_kept() -> None:
    tree = tree_of("lone-alder-farm")
    tree["stages"][2]["existing"] = True
    rows = SheetTables(Ledger(*evaluated(tree)), Citations()).stages().rows
    assert ["already there, kept" in row[0] for row in rows] == [False, False, True, False, False]


def test_air_gaps_are_twice_the_opening_and_an_inch_at_least() -> None:
    # Chicago Municipal Code 18-29-802.3.1 (IPC 802.3.1): twice the effective opening, and 1 in above the rim
    assert cells(tables().drains(), "air gap at least")["2 Iron filter"] == units.typeset("2 in")
    tree = tree_of("lone-alder-farm")
    tree["stages"][1]["drain"] = {"size": "3/8 in", "to": "sewer"}
    del tree["stages"][2]["drain"]
    table = SheetTables(Ledger(*evaluated(tree)), Citations()).drains()
    assert cells(table, "air gap at least")["2 Iron filter"] == units.typeset("1 in")
    assert cells(table, "drain line")["3 Softener"] == "not given: settle it before work begins"


def test_drain_lines_are_nominal_and_gaps_whole_millimetres() -> None:
    metric = tables(system="metric").drains()
    assert cells(metric, "drain line")["2 Iron filter"].split(", ")[1] == "DN 25 line"
    assert cells(metric, "air gap at least")["2 Iron filter"] == units.typeset("51 mm")


def test_dimensions_are_whole_inches_or_centimetres() -> None:
    assert length_text(0.3302, "us") == units.typeset("13 in") and length_text(0.3302, "metric") == units.typeset("330 mm")


def test_sample_taps_stand_behind_the_stages_that_change_the_water() -> None:
    places = [row[0] for row in tables().taps().rows if row[0]]
    assert places == [
        "before the first stage", "behind 2 Iron filter", "behind 3 Softener", "behind 4 Sediment cartridge", "behind 5 UV chamber",
    ]  # fmt: skip


def test_a_house_without_water_of_its_own_has_no_drain_table() -> None:
    evaluation = of_stages(stage("fine", "sediment_cartridge", rating="5 um"))
    assert SheetTables(Ledger(evaluation, findings(evaluation)), Citations()).drains() is None


# Upkeep -----------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SITES)
def test_every_chore_of_every_stage_is_in_the_plan(name: str) -> None:
    evaluation, _ = site(name)
    listed = [row for row in tables(name).upkeep().rows if len(row) > 1]
    assert [row[0] for row in listed] == [task.told for task in upkeep(evaluation)]
    assert {task.stage for task in upkeep(evaluation)} - {""} <= set(evaluation.stages)
    assert all(row[1] and row[3] for row in listed)


@pytest.mark.parametrize(
    ("days", "rhythm", "text"),
    [
        (365.25, Rhythm("year", 1), "every year"), (365.0, Rhythm("year", 1), "every year"), (4383.0, Rhythm("year", 12), "every 12 years"),
        (30.0, Rhythm("month", 1), "every month"), (91.3, Rhythm("month", 3), "every 3 months"), (14.0, Rhythm("week", 2), "every 2 weeks"),
        (3.0, Rhythm("day", 3), "every 3 days"), (0.2, Rhythm("day", 1), "every day"), (100.0, Rhythm("day", 100), "every 100 days"),
    ],
)  # fmt: skip
def test_how_often_is_told_in_the_unit_people_plan_in(days: float, rhythm: Rhythm, text: str) -> None:
    assert rhythm_of(days) == rhythm and rhythm.text == text


def test_two_units_use_twice_as_much() -> None:
    one, two = tree_of("lone-alder-farm"), tree_of("lone-alder-farm")
    del one["stages"][1]["count"]
    used = [task.uses("us") for tree in (one, two) for task in upkeep(evaluated(tree)[0]) if task.dimension == "bulk_volume"]
    assert used[::2] == [f"{units.typeset(volume)} manganese greensand" for volume in ("2.3 ft3", "4.61 ft3")]


# The command ------------------------------------------------------------------------------------------------------------------


def run(*words: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, list(words))
    return result.exit_code, result.stdout, result.stderr


def test_the_command_prints_a_job_sheet(farm_well: Path, tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    code, said, _ = run("report", str(farm_well), "--kind", "job-sheet", "--out", str(out), "--paper", "a4", "--units", "metric")
    assert code == 0 and said.strip() == f"Wrote {out}"
    width, height = PdfReader(out).pages[1].mediabox[2:]
    assert (float(width), float(height)) == pytest.approx((595.28, 841.89), abs=0.01)
    assert squeezed("26.5 L/min") in pdf_text(out)


def test_a_train_that_fails_is_printed_all_the_same(root: Path, tmp_path: Path) -> None:
    file = root / "samples" / "lone-alder-farm-uv-alone.train.json"
    assert run("report", str(file), "--kind", "job-sheet", "--out", str(tmp_path / "a.pdf"))[0] == 0


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--kind", "poster", "--out", "{}/a.pdf"), '--kind: "poster"'),
        (("--kind", "job-sheet", "--out", "{}/a.pdf", "--paper", "a0"), '--paper: "a0" is neither letter nor a4'),
        (("--kind", "job-sheet", "--out", "{}/a.pdf", "--units", "cubits"), '--units: "cubits" is neither us nor metric'),
        (("--kind", "job-sheet", "--out", "{}/a.doc"), r"a report ends in .pdf"),
        (("--kind", "job-sheet", "--out", "{}/none/a.pdf"), "there is no folder"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(farm_well: Path, tmp_path: Path, words: tuple[str, ...], sentence: str) -> None:
    code, said, error = run("report", str(farm_well), *(word.format(tmp_path) for word in words))
    assert code == 2 and said == "" and sentence in error and error.count("\n") == 1
    assert list(tmp_path.iterdir()) == []
