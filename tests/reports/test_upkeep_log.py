"""The upkeep log and what is due next, and the papers of a train as files."""

from __future__ import annotations

import datetime
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar
from pypdf import PdfReader
from typer.testing import CliRunner

from tests.reports.printing import evaluated, squeezed, tree_of
from tests.reports.proposal.offers import offer
from trainapp.cli import app
from trainapp.reports.drawing.display import texts
from trainapp.reports.export_file import ExportError
from trainapp.reports.handover import KINDS, Papers, kind_of, pages_of, write_paper
from trainapp.reports.print_pages import PrintJob
from trainapp.reports.print_paper import PAPERS
from trainapp.reports.upkeep import upkeep
from trainapp.reports.upkeep_log import START_UP, Due, due, entries, row_of, start_up
from trainapp.train.document import Document
from trainapp.train.evaluation import Evaluation

SITE = "pebble-court-3"
TODAY = datetime.date(2026, 11, 25)


def logged(*rows: dict[str, Any]) -> tuple[Evaluation, Document]:
    """The court with a log."""
    evaluation, _ = evaluated(tree_of(SITE) | {"log": list(rows)})
    return evaluation, evaluation.plan.document


def begun(day: str) -> dict[str, str]:
    return row_of(datetime.date.fromisoformat(day), "", START_UP)


def next_of(found: tuple[Due, ...], stage: str, what: str) -> Due:
    return next(item for item in found if item.task.stage == stage and what in item.task.what)


def text_of(job: PrintJob) -> str:
    return squeezed(" ".join(t.text for page in job.pages for part in page.parts for t, _ in texts(part.display.items)))


# Due --------------------------------------------------------------------------------------------------------------------------


def test_without_a_start_up_all_is_counted_from_today() -> None:
    evaluation, document = logged()
    found = due(evaluation, document, TODAY)
    assert len(found) == len(upkeep(evaluation)) and all(item.assumed and item.date > TODAY for item in found)
    assert [item.date for item in found] == sorted(item.date for item in found)


def test_chores_are_counted_from_start_up_and_overdue_ones_say_so() -> None:
    evaluation, document = logged(begun("2026-03-31"))
    salt = next_of(due(evaluation, document, TODAY), "softener", "Fill up salt")
    # a month later, on the 28th at the latest, which every month has
    assert salt.date == datetime.date(2026, 4, 28) and salt.days(TODAY) == -(TODAY - salt.date).days < 0


def test_a_chore_is_counted_from_when_it_was_done_last() -> None:
    rows = (begun("2026-03-01"), row_of(datetime.date(2026, 11, 1), "softener", "Fill up salt, keep it above the water", "A. Fitter"))
    evaluation, document = logged(*rows)
    item = next_of(due(evaluation, document, TODAY), "softener", "Fill up salt")
    assert (item.last, item.date) == (datetime.date(2026, 11, 1), datetime.date(2026, 12, 1))
    other = next_of(due(evaluation, document, TODAY), "screen", "Change the cartridge")
    assert other.last is None and other.date == datetime.date(2026, 9, 1)


def test_what_is_done_once_is_not_due_again() -> None:
    once = next(task for task in upkeep(logged()[0]) if task.once)
    evaluation, document = logged(begun("2026-03-01"), row_of(TODAY, "", once.short))
    assert all(not item.task.once for item in due(evaluation, document, TODAY))


def test_a_later_start_up_counts_anew() -> None:
    _, document = logged(begun("2025-03-01"), begun("2026-06-01"))
    assert start_up(document) == datetime.date(2026, 6, 1)


def test_other_events_and_what_makes_no_sense_are_left() -> None:
    rows = (
        {"event": "assumed", "text": "nothing of upkeep"}, {"event": "upkeep", "date": "someday", "what": 7}, {"event": "upkeep"},
        {"date": "2026-01-01", "what": "no event"},
    )  # fmt: skip
    evaluation, document = logged(*rows)
    assert [(entry.row, entry.date, entry.what) for entry in entries(document)] == [(2, None, ""), (1, None, "7")]
    assert all(item.assumed for item in due(evaluation, document, TODAY))


def test_a_row_holds_no_empty_keys() -> None:
    assert row_of(TODAY, "", "Looked at it") == {"event": "upkeep", "date": "2026-11-25", "what": "Looked at it"}


# Papers -----------------------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def papers() -> Papers:
    _, document = logged(begun("2026-03-01"), row_of(datetime.date(2026, 11, 1), "softener", "Looked into the tank", "A. Fitter", "dry"))
    return Papers.of(document, "us", PAPERS["letter"], TODAY, start_up(document), offer=offer(SITE))


@pytest.mark.parametrize(("key", "ending"), [(kind.key, ending) for kind in KINDS for ending in kind.endings])
def test_every_paper_becomes_every_file_that_it_says(papers: Papers, tmp_path: Path, key: str, ending: str) -> None:
    path = tmp_path / f"a{ending}"
    write_paper(key, papers, path)
    raw = path.read_bytes()
    assert raw[:4] == {".pdf": b"%PDF", ".xlsx": b"PK\x03\x04", ".csv": b"\xef\xbb\xbfp", ".ics": b"BEGI"}[ending]
    if ending == ".pdf":
        assert len(PdfReader(path).pages) == len(pages_of(key, papers).pages)
        assert PdfReader(path).outline, "bookmarks"


def test_the_calendar_counts_from_the_start_up_of_the_log(papers: Papers, tmp_path: Path) -> None:
    write_paper("upkeep", papers, tmp_path / "a.ics")
    days = [event["DTSTART"].dt for event in Calendar.from_ical((tmp_path / "a.ics").read_bytes()).walk("VEVENT")]
    assert datetime.date(2026, 4, 1) in days and min(days) > datetime.date(2026, 3, 1)


def test_the_calendar_at_the_prompt_begins_at_the_start_up_of_the_log(tmp_path: Path) -> None:
    train, out = tmp_path / "a.train.json", tmp_path / "a.ics"
    train.write_text(json.dumps(tree_of(SITE) | {"log": [begun("2026-03-01")]}), encoding="utf-8")
    assert CliRunner().invoke(app, ["calendar", str(train), "--out", str(out)]).exit_code == 0
    first = min(event["DTSTART"].dt for event in Calendar.from_ical(out.read_bytes()).walk("VEVENT"))
    assert first == datetime.date(2026, 4, 1)
    assert CliRunner().invoke(app, ["calendar", str(train), "--out", str(out), "--start", "2026-06-01"]).exit_code == 0
    assert min(event["DTSTART"].dt for event in Calendar.from_ical(out.read_bytes()).walk("VEVENT")) == datetime.date(2026, 7, 1)


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("key", ["sampling", "upkeep", "comparison"])
def test_nothing_on_their_pages_is_cut(papers: Papers, key: str, paper: str) -> None:
    from tests.reports.printing import flowed

    for page in pages_of(key, replace(papers, paper=PAPERS[paper])).pages:
        for part, found in flowed(PrintJob("", "", (page,))):
            for text, box in found:
                assert text.size * part.scale * 0.75 > 7.9, text.text
                assert part.x + box.x >= 23.0 and part.x + box.right <= page.width - 23.0, text.text
                assert part.y + box.y >= 23.0 and part.y + box.bottom <= page.height - 23.0, text.text


def test_the_upkeep_plan_has_the_log_and_says_when_each_chore_is_due(papers: Papers) -> None:
    text = text_of(pages_of("upkeep", papers))
    assert squeezed("Counted from start-up on 2026-03-01") in text
    assert squeezed("Looked into the tank dry") in text and "A.Fitter" in text and "2026-04-01" in text


def test_the_sampling_order_names_every_test_with_its_reason(papers: Papers) -> None:
    from trainapp import units
    from trainapp.studies.sampling_order import sampling_order

    text = text_of(pages_of("sampling", papers))
    order = sampling_order(papers.evaluation)
    assert order.tests
    for test in order.tests:
        assert squeezed(units.typeset(f"{test.label}: {test.why}.")) in text


def test_a_paper_with_options_needs_a_search(papers: Papers, tmp_path: Path) -> None:
    with pytest.raises(ExportError, match="no options were sought yet"):
        write_paper("proposal", replace(papers, offer=None), tmp_path / "a.pdf")
    assert not list(tmp_path.iterdir())


def test_another_ending_is_refused(papers: Papers, tmp_path: Path) -> None:
    with pytest.raises(ExportError, match=r"the upkeep plan ends in \.ics or \.pdf"):
        write_paper("upkeep", papers, tmp_path / "a.txt")
    assert kind_of("upkeep").endings[0] == ".ics"
