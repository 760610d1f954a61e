"""The command line: `trainapp [FILE]` opens the window, `trainapp check FILE` prints findings, and so on (contract section 2).

Every command loads what it needs when it runs, so that none pays for another.
"""

from __future__ import annotations

import gc
import sys
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from typer.exceptions import TyperException

from trainapp import __version__
from trainapp.cli_lessons import lesson_app
from trainapp.cli_words import UNUSABLE, Units, flush, paper_of, refuse, silence, system_of
from trainapp.spelling import inside

if TYPE_CHECKING:
    from trainapp.train.evaluation import Evaluation

app = typer.Typer(add_completion=False, no_args_is_help=False, pretty_exceptions_enable=False, rich_markup_mode=None)
sample_app = typer.Typer(help="Samples of a document.", rich_markup_mode=None)
app.add_typer(sample_app, name="sample")
app.add_typer(lesson_app, name="lesson")
_File = Annotated[Path, typer.Argument(metavar="FILE", help="a train document, NAME.train.json")]
_Prices = Annotated[Path | None, typer.Option("--prices", help="a price list, TOML or CSV; by default invented prices")]
_Years = Annotated[int | None, typer.Option("--years", min=1, max=50, help="over which cost to own is counted")]
_Most = Annotated[int, typer.Option("--most", min=1, max=12, help="how many options at the most")]


@app.callback(invoke_without_command=True)
def _open_first_run(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="print the version and stop")] = False,
) -> None:
    """Design water treatment trains and check them. Without a command, opens the window."""
    if version:
        typer.echo(f"trainapp {__version__}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        _open_window(None)


@app.command("open", hidden=True)
def open_file(file: _File) -> None:
    """Open the window on a document."""
    _open_window(file)


def _open_window(file: Path | None) -> None:
    try:
        from trainapp.desktop.app import run
    except ImportError as error:
        refuse(f"the window cannot open, a library of the system is missing: {error}")
    raise typer.Exit(run(file))


@app.command()
def check(
    file: _File,
    as_json: Annotated[bool, typer.Option("--json", help="print one JSON object")] = False,
    system: Units = "us",
    remedies: Annotated[bool, typer.Option("--remedies", help="try remedies and print those that work; takes longer")] = False,
) -> None:
    """Evaluate the train and print the findings."""
    from trainapp.checks import findings, verdict

    chosen = system_of(system)
    evaluation = _evaluated(file)
    found = findings(evaluation, system=chosen)
    if remedies:
        from trainapp.studies.remedies import with_remedies

        found = with_remedies(evaluation.plan.document, evaluation, found, system=chosen)
    if as_json:
        from trainapp.reports.check_json import check_json
        from trainapp.reports.json_text import json_text

        typer.echo(json_text(check_json(evaluation, found)))
    else:
        from trainapp.reports.check_text import check_lines

        for line in check_lines(evaluation, found, chosen):
            typer.echo(line)
    raise typer.Exit(1 if verdict(found) == "fail" else 0)


@app.command()
def picture(
    file: _File,
    out: Annotated[Path, typer.Option("--out", help="OUT.svg, OUT.png or OUT.pdf")],
    system: Units = "us",
) -> None:
    """Draw the bench."""
    from trainapp.checks import findings
    from trainapp.reports.picture import PictureError, write_picture

    chosen = system_of(system)
    evaluation = _evaluated(file)
    try:
        write_picture(evaluation, findings(evaluation, system=chosen), out, system=chosen)
    except PictureError as error:
        refuse(str(error))
    typer.echo(f"Wrote {out}")


@app.command()
def report(
    file: _File,
    out: Annotated[Path, typer.Option("--out", help="OUT.pdf")],
    kind: Annotated[str, typer.Option("--kind", help="job-sheet or proposal")],
    system: Units = "us",
    paper: Annotated[str, typer.Option("--paper", help="letter or a4; by default what is usual where you are")] = "",
    short: Annotated[bool, typer.Option("--short", help="the short form of a proposal, one page")] = False,
    full_bill: Annotated[bool, typer.Option("--full-bill", help="every line of cost, as an appendix of the proposal")] = False,
    logo: Annotated[Path | None, typer.Option("--logo", help="your logo on the proposal, PNG or JPEG")] = None,
    terms: Annotated[Path | None, typer.Option("--terms", help="your terms on the proposal, a text file")] = None,
    day: Annotated[str, typer.Option("--date", help="day of issue of the proposal, YYYY-MM-DD; by default today")] = "",
    prices: _Prices = None,
    years: _Years = None,
    most: _Most = 5,
) -> None:
    """Print a report: the job sheet that an installer takes along, or the proposal that a customer keeps."""
    from trainapp.reports.export_file import ExportError

    chosen = system_of(system)
    if kind not in ("job-sheet", "proposal"):
        refuse(f'--kind: "{kind}" is neither job-sheet nor proposal')
    from trainapp.reports.proposal_answer import Asked, propose_into

    asked = Asked(short, logo, terms, prices, years, most, full_bill, day)
    if kind == "job-sheet" and asked.given:
        refuse(f"{asked.given[0]} belongs to --kind proposal; a job sheet has nothing of it")
    sheet = paper_of(paper, chosen)
    try:
        if kind == "proposal":
            from trainapp.reports.progress import Progress

            with Progress("Looking for trains") as told:
                propose_into(file, out, asked, chosen, sheet, told)
        else:
            from trainapp.checks import findings
            from trainapp.reports.job_sheet import write_job_sheet

            evaluation = _evaluated(file)
            write_job_sheet(evaluation, findings(evaluation, system=chosen), out, chosen, sheet)
    except ExportError as error:
        refuse(str(error))
    typer.echo(f"Wrote {out}")


@app.command()
def calendar(
    file: _File,
    out: Annotated[Path, typer.Option("--out", help="OUT.ics")],
    start: Annotated[str, typer.Option("--start", help="day of start-up, YYYY-MM-DD; by default that of the upkeep log, else today")] = "",
    system: Units = "us",
) -> None:
    """Write the service calendar: every chore of upkeep with notice before it."""
    from trainapp.reports.calendar import day_of, write_calendar
    from trainapp.reports.export_file import ExportError
    from trainapp.reports.upkeep_log import start_up

    chosen = system_of(system)
    try:
        evaluation = _evaluated(file)
        begun = None if start else start_up(evaluation.plan.document)
        count = write_calendar(evaluation, out, begun or day_of(start), chosen)
    except ExportError as error:
        refuse(str(error))
    typer.echo(f"Wrote {out}, {count} chores")


@app.command()
def year(
    file: _File,
    as_json: Annotated[bool, typer.Option("--json", help="print one JSON object")] = False,
    days: Annotated[int, typer.Option("--days", help="how long, from 1 January on")] = 365,
    upkeep: Annotated[str, typer.Option("--upkeep", help="on-time, late or never")] = "on-time",
    late_days: Annotated[float | None, typer.Option("--late-days", help="days by which late upkeep comes late")] = None,
    detail: Annotated[str, typer.Option("--detail", help="minute or hour")] = "minute",
    spike: Annotated[str, typer.Option("--spike", help='a rise of the raw water: "turbidity=15 NTU@95+14", "iron=8 mg/L"')] = "",
    power_cuts: Annotated[int | None, typer.Option("--power-cuts", help="how many power cuts a year, 0 for none")] = None,
    without: Annotated[list[str] | None, typer.Option("--without", help="beside it, the train without these stages: ID,...")] = None,
    before_and_after: Annotated[bool, typer.Option("--before-and-after", help="beside it, the train without pre-treatment")] = False,
    chart: Annotated[Path | None, typer.Option("--chart", help="strip charts: OUT.svg, OUT.png or OUT.pdf")] = None,
    show: Annotated[list[str] | None, typer.Option("--show", help="what they show: house:hardness, uv:dose_credited, ...")] = None,
    window: Annotated[str, typer.Option("--window", help="days that they show: 40+7 for 7 days from day 40 on")] = "",
    animation: Annotated[Path | None, typer.Option("--animation", help="the bench through the run: OUT.gif")] = None,
    frames: Annotated[int | None, typer.Option("--frames", help="how many pictures it has")] = None,
    table: Annotated[Path | None, typer.Option("--table", help="both trains beside each other: OUT.svg, OUT.png or OUT.pdf")] = None,
    dark: Annotated[bool, typer.Option("--dark", help="draw on a dark ground")] = False,
    system: Units = "us",
) -> None:
    """Run the train through time: what runs out, wears, clogs, and when; draw it."""
    from trainapp.reports.progress import Progress
    from trainapp.reports.year_answer import Asked, YearError, answer
    from trainapp.reports.year_wanted import ExportError, Wanted, WantedError, write_wanted
    from trainapp.train.document import DocumentError, load

    left_out = tuple(part.strip() for words in without or () for part in words.split(",") if part.strip())
    asked = Asked(days, upkeep, late_days, detail, spike, power_cuts, left_out, before_and_after, as_json, system_of(system))
    wanted = Wanted(chart, tuple(show or ()), window, animation, frames, table, dark)
    try:
        wanted.check(before_and_after or bool(left_out))
        with Progress("Running the train through time") as told:
            answered = answer(load(file), asked, file.parent, told)
        written = write_wanted(wanted, answered, asked.system, Progress) if wanted.anything else []
    except (DocumentError, ExportError, WantedError, YearError) as error:
        refuse(str(error))
    for line in (*answered.lines, *(() if as_json else (f"Wrote {path}" for path in written))):
        typer.echo(line)
    raise typer.Exit(1 if answered.is_failing else 0)


@app.command()
def options(
    file: _File,
    as_json: Annotated[bool, typer.Option("--json", help="print one JSON object")] = False,
    most: _Most = 5,
    prices: _Prices = None,
    catalogue: Annotated[Path | None, typer.Option("--catalogue", help="a catalogue of your own beside the program's, TOML or CSV")] = None,
    years: _Years = None,
    table: Annotated[Path | None, typer.Option("--table", help="write the comparison, too: OUT.xlsx or OUT.csv")] = None,
    system: Units = "us",
) -> None:
    """Proposes trains for the site's sample and demand."""
    from trainapp.reports.options_answer import AnswerError, answer
    from trainapp.reports.progress import Progress

    chosen = system_of(system)
    try:
        with Progress("Looking for trains") as told:
            lines, is_failing = answer(file, most, prices, catalogue, years, chosen, as_json, told, table)
    except AnswerError as error:
        refuse(str(error))
    for line in lines:
        typer.echo(line)
    raise typer.Exit(1 if is_failing else 0)


@app.command()
def confidence(
    file: _File,
    as_json: Annotated[bool, typer.Option("--json", help="print one JSON object")] = False,
    draws: Annotated[int, typer.Option("--draws", min=16, max=1_000_000, help="how many cases are drawn")] = 2_048,
    seed: Annotated[int, typer.Option("--seed", min=0, help="of the drawing: the same seed gives the same answer")] = 1,
    spreads: Annotated[Path | None, typer.Option("--spreads", help="spreads of your own, TOML")] = None,
    system: Units = "us",
) -> None:
    """How sure the verdict is, given the sample's uncertainty, the season and the flows."""
    from trainapp.reports.confidence_json import confidence_json
    from trainapp.reports.confidence_text import confidence_lines
    from trainapp.reports.json_text import json_text
    from trainapp.reports.progress import Progress
    from trainapp.studies import confidence as study
    from trainapp.train.document import DocumentError, load

    shown = system_of(system)
    try:
        chosen = study.default_spreads() if spreads is None else study.read_spreads(spreads)
        with Progress("Drawing cases") as told:
            answer = study.confidence(load(file), draws, seed, chosen, shown, progress=told)
    except (DocumentError, study.SpreadsError) as error:
        refuse(str(error))
    if as_json:
        typer.echo(json_text(confidence_json(answer)))
    else:
        for line in confidence_lines(answer):
            typer.echo(line)
    raise typer.Exit(1 if answer.verdict == "fail" else 0)


@app.command()
def survey(
    samples: Annotated[Path, typer.Argument(metavar="SAMPLES", help="a table of samples, CSV: analytes in its heads, one water a line")],
    train: Annotated[Path, typer.Option("--train", help="the train document")],
    out: Annotated[Path, typer.Option("--out", help="the table of results, CSV")],
    system: Units = "us",
) -> None:
    """The same train on many waters. Exit status 1 where one fails or could not be read."""
    from trainapp.reports.export_file import ExportError
    from trainapp.reports.progress import Progress
    from trainapp.reports.survey_csv import check_survey_target, write_survey
    from trainapp.reports.survey_text import survey_lines
    from trainapp.studies.survey import SurveyError, read_samples
    from trainapp.studies.survey import survey as run_survey
    from trainapp.train.document import DocumentError, load

    chosen = system_of(system)
    try:
        check_survey_target(out, samples, train)
        document, table = load(train), read_samples(samples)
        with Progress("Running the waters") as told:
            answer = run_survey(document, table, chosen, told)
        write_survey(answer, out, chosen)
    except (DocumentError, ExportError, SurveyError) as error:
        refuse(str(error))
    for line in survey_lines(answer):
        typer.echo(line)
    typer.echo(f"Wrote {out}")
    raise typer.Exit(1 if answer.count("fail") or answer.count("") else 0)


@sample_app.command("import")
def import_sample(
    lab: Annotated[Path, typer.Argument(metavar="LAB", help="a lab sheet, CSV")],
    into: Annotated[Path, typer.Option("--into", help="the train document that gets the sample")],
    at: Annotated[str, typer.Option("--at", help="where it was taken: supply or a stage's id")] = "supply",
    name: Annotated[str, typer.Option("--name", help="id of the sample; by default after the file")] = "",
) -> None:
    """Read a lab sheet into a document as one more sample."""
    from trainapp.reports.lab_text import lab_lines
    from trainapp.train import store
    from trainapp.train.document import DocumentError, load
    from trainapp.train.lab import LabError, read_lab_file, with_sample

    try:
        fingerprint = store.fingerprint(into)
        document = load(into)
        sheet = read_lab_file(lab)
        document, sample_id = with_sample(document, sheet, name or lab.stem, at=at)
        store.save(document, into, fingerprint)
    except (DocumentError, LabError, store.StoreError) as error:
        refuse(str(error))
    for line in lab_lines(sheet, document, sample_id):
        typer.echo(line)


def _evaluated(file: Path) -> Evaluation:
    from trainapp.train.document import DocumentError, load
    from trainapp.train.evaluate import evaluate
    from trainapp.train.plan import open_plan

    try:
        return evaluate(open_plan(load(file)))
    except DocumentError as error:
        refuse(str(error))


def main() -> None:
    """Console script. A first word that is no command is a file to open."""
    # Loading makes a hundred thousand objects that stay: looking through them again and again is a tenth of a check.
    gc.set_threshold(50_000, 20, 20)
    words = sys.argv[1:]
    commands = {command.name or command.callback.__name__ for command in app.registered_commands if command.callback}
    commands |= {str(group.name) for group in app.registered_groups}
    if words and words[0] not in commands and (words[0] == "--" or not words[0].startswith("-")):
        sys.argv.insert(1, "open")
    for stream in (sys.stdout, sys.stderr):
        # a terminal that knows few letters gets the others spelt out, never a traceback
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    status = _run()
    _say_unshown()
    sys.exit(status)


def _say_unshown() -> None:
    """Say which letters of what was drawn no font has, where anything was drawn."""
    glyphs = sys.modules.get("trainapp.reports.drawing.glyphs")
    sentence = glyphs.take_unshown() if glyphs is not None else ""
    if sentence:
        print(sentence, file=sys.stderr)


def _run() -> int:
    """Run the command of sys.argv; its exit status."""
    try:
        status = int(app(standalone_mode=False) or 0)
        flush()
        return status
    except TyperException as error:
        # a word that is no option, a value that is missing and so on
        print(f"{error.format_message().rstrip('.')}; see trainapp --help", file=sys.stderr)
        return UNUSABLE
    except (KeyboardInterrupt, typer.Abort):
        return 130
    except BrokenPipeError:
        # whoever read the output has gone: nothing is left to say, not at exit either
        silence()
        return 1
    except OSError as error:
        reason = error.strerror or str(error) or "unknown reason"
        # what is refused at a file names it; output has no name
        what = error.filename or "the answer cannot be written"
        silence()
        print(f"{what}: {inside(reason)}", file=sys.stderr)
        return UNUSABLE
