"""The command line: exit status, one sentence with its place for bad input, JSON and nothing else, files whole or untouched."""

from __future__ import annotations

import copy
import json
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from trainapp import cli
from trainapp.data import samples_path

FARM = samples_path("lone-alder-farm.train.json")
ALONE = samples_path("lone-alder-farm-uv-alone.train.json")
Tree = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Said:
    """What a command did."""

    status: int
    out: str
    err: str


Run = Callable[..., Said]


@pytest.fixture
def run(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs the command line in this process."""

    def command(*words: str | Path) -> Said:
        monkeypatch.setattr(sys, "argv", ["trainapp", *map(str, words)])
        capfd.readouterr()
        with pytest.raises(SystemExit) as ended:
            cli.main()
        told = capfd.readouterr()
        assert isinstance(ended.value.code, int)
        return Said(ended.value.code, told.out, told.err)

    return command


def process(*words: str | Path, cwd: Path, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """Runs it as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "trainapp", *map(str, words)], cwd=cwd, capture_output=True, timeout=120,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parent.parent), **environment},
    )  # fmt: skip


def written(folder: Path, tree: Tree, name: str = "site.train.json") -> Path:
    path = folder / name
    path.write_text(json.dumps(tree), "utf-8")
    return path


def farm() -> Tree:
    """A fresh copy of the farm well."""
    tree: Tree = json.loads(FARM.read_text("utf-8"))
    return copy.deepcopy(tree)


def one_sentence(said: Said, place: str, *words: str) -> None:
    """Exit status 2, nothing on standard output, one line on standard error that begins with the place."""
    assert said.status == 2 and said.out == ""
    lines = said.err.splitlines()
    assert len(lines) == 1 and len(lines[0]) < 400, said.err
    assert lines[0].startswith(place), lines[0]
    assert "Traceback" not in said.err and all(word in lines[0] for word in words), lines[0]


# Exit status and output -----------------------------------------------------------------------------------------------------


def test_status_is_1_with_a_fail_and_0_without(run: Run) -> None:
    without, with_one = run("check", FARM), run("check", ALONE)
    assert (without.status, with_one.status) == (0, 1)
    assert without.err == "" == with_one.err
    assert without.out.startswith("Lone Alder Farm: 1 caution") and "Not judged:" in without.out
    assert "certifies" in without.out and "Traceback" not in without.out


@pytest.mark.parametrize("name", [path.name for path in sorted(samples_path().glob("*.train.json"))])
def test_status_and_verdict_agree(run: Run, name: str) -> None:
    said = run("check", samples_path(name), "--json")
    answer = json.loads(said.out)
    assert said.status == (1 if answer["verdict"] == "fail" else 0)
    assert answer["verdict"] in ("fail", "caution", "nothing-found")
    assert any(f["severity"] == "fail" for f in answer["findings"]) == (answer["verdict"] == "fail")


def test_accepting_a_fail_changes_no_status(run: Run, tmp_path: Path) -> None:
    tree = json.loads(ALONE.read_text("utf-8"))
    tree["accepted"] = [{"code": "inlet-limit", "stage": "uv", "analyte": "iron", "value": "2.4 mg/L", "reason": "for now", "by": "N. N."}]
    said = run("check", written(tmp_path, tree), "--json")
    accepted = [f for f in json.loads(said.out)["findings"] if f["accepted"]]
    assert said.status == 1 and [f["analyte"] for f in accepted] == ["iron"] and accepted[0]["severity"] == "fail"


def test_json_is_one_object_and_nothing_else(run: Run) -> None:
    said = run("check", FARM, "--json")
    assert said.err == "" and said.out.endswith("}\n")
    answer = json.loads(said.out, parse_constant=lambda name: pytest.fail(f"{name} is not JSON"))
    assert set(answer) >= {"format", "version", "verdict", "not_judged", "capacity", "findings", "points", "stages"}
    assert (answer["format"], answer["version"]) == ("trainapp/check", 1)
    assert [point["at"] for point in answer["points"]] == ["supply", "screen", "iron", "softener", "fine", "uv", "house", "garden"]


def test_metric_units_change_words_and_no_number_of_json(run: Run) -> None:
    us, metric = run("check", FARM), run("check", FARM, "--units", "metric")
    assert " gpm" in us.out and " psi" in us.out
    assert not any(unit in metric.out for unit in (" gpm", " psi", " gpg", " gal", " ft"))
    assert " L/min" in metric.out and " bar" in metric.out
    first, second = (json.loads(run("check", FARM, "--json", "--units", system).out) for system in ("us", "metric"))
    for answer in (first, second):
        for finding in answer["findings"]:
            del finding["message"]
    assert first == second


@pytest.mark.parametrize("hash_seed", ["0", "1"])
def test_the_same_bytes_in_every_process(tmp_path: Path, hash_seed: str) -> None:
    said = process("check", FARM, "--json", cwd=tmp_path, PYTHONHASHSEED=hash_seed, LC_ALL="C")
    assert said.returncode == 0 and said.stderr == b""
    assert json.loads(said.stdout)["verdict"] == "caution"
    again = process("check", FARM, "--json", cwd=tmp_path, PYTHONHASHSEED="7", LC_ALL="C.UTF-8")
    assert said.stdout == again.stdout


def test_a_terminal_that_knows_few_letters_gets_no_traceback(tmp_path: Path) -> None:
    for words in (("check", ALONE), ("check", ALONE, "--json")):
        said = process(*words, cwd=tmp_path, PYTHONIOENCODING="ascii")
        assert said.returncode == 1 and b"Traceback" not in said.stderr
    assert json.loads(said.stdout)["verdict"] == "fail"


def test_output_that_nobody_reads_is_no_error(tmp_path: Path) -> None:
    command = f'"{sys.executable}" -m trainapp check "{FARM}" --json | head -c 10'
    root = str(Path(__file__).resolve().parent.parent)
    said = subprocess.run(command, shell=True, cwd=tmp_path, capture_output=True, timeout=120, env={**os.environ, "PYTHONPATH": root})
    assert b"Traceback" not in said.stderr and b"Exception" not in said.stderr


@pytest.mark.parametrize("words", [("check", FARM), ("--help",)], ids=["check", "help"])
def test_output_that_cannot_be_written_gets_one_sentence(tmp_path: Path, words: Sequence[str | Path]) -> None:
    with open("/dev/full", "wb") as full:
        said = subprocess.run(
            [sys.executable, "-m", "trainapp", *map(str, words)], cwd=tmp_path, stdout=full, stderr=subprocess.PIPE, timeout=120,
            env={**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parent.parent)},
        )  # fmt: skip
    assert said.returncode == 2 and said.stderr.decode() == "the answer cannot be written: no space left on device\n"


def test_what_a_file_refuses_is_said_of_that_file(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied", "/srv/fonts/plain.ttf")

    monkeypatch.setattr("trainapp.train.evaluate.evaluate", refuse)
    one_sentence(run("check", FARM), "/srv/fonts/plain.ttf: permission denied")


def test_confidence_speaks_the_units_that_are_asked_for(run: Run) -> None:
    told = [run("confidence", ALONE, "--json", "--draws", "16", "--units", system) for system in ("us", "metric")]
    us, metric = (" ".join(finding["message"] for finding in json.loads(said.out)["fixed"]) for said in told)
    assert " gpm" in us and " gpm" not in metric and " L/min" in metric
    one_sentence(run("confidence", FARM, "--units", "imperial"), '--units: "imperial" is neither us nor metric')


# Words of the command itself ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("check",), "Missing argument 'FILE'"),
        (("check", str(FARM), "--jsn"), "No such option: --jsn"),
        (("check", str(FARM), "--units"), "Option '--units' requires an argument"),
        (("check", str(FARM), str(ALONE)), "Got unexpected extra"),
        (("check", str(FARM), "--units", "imperial"), '--units: "imperial" is neither us nor metric'),
        (("--nope",), "No such option: --nope"),
        (("check", "-odd.train.json"), "No such option: -o"),
    ],
)
def test_wrong_words_get_one_sentence(run: Run, words: Sequence[str], sentence: str) -> None:
    one_sentence(run(*words), sentence)


def test_help_and_version(run: Run) -> None:
    assert run("--version").out.startswith("trainapp ")
    told = run("--help")
    assert told.status == 0 and "check" in told.out and "picture" in told.out


# Files ----------------------------------------------------------------------------------------------------------------------


def test_a_file_that_is_not_there(run: Run, tmp_path: Path) -> None:
    one_sentence(run("check", tmp_path / "none.train.json"), "none.train.json: there is no such file")


def test_a_folder_is_not_a_file(run: Run, tmp_path: Path) -> None:
    (tmp_path / "folder.train.json").mkdir()
    one_sentence(run("check", tmp_path / "folder.train.json"), "folder.train.json: this is not a file")


def test_a_device_is_not_a_document(run: Run) -> None:
    one_sentence(run("check", os.devnull), "null: this is not a file")


@pytest.mark.parametrize("name", ["-odd.train.json", "--json", "Grüße 水 🚰.train.json", 'with space\'s "quotes".train.json', "no-ending"])
def test_odd_names(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.chdir(tmp_path)
    written(tmp_path, farm(), name)
    assert run("check", "--", name).status == 0
    assert run("check", f"./{name}").status == 0
    assert json.loads(run("check", "--json", "--", name).out)["verdict"] == "caution"


def test_names_inside_may_be_of_any_script(run: Run, tmp_path: Path) -> None:
    text = FARM.read_text("utf-8").replace('"fine"', '"fein-水"').replace("Lone Alder Farm", "Grüße aus Ελλάδα")
    path = tmp_path / "site.train.json"
    path.write_text(text, "utf-8")
    said = run("check", path, "--json")
    assert said.status == 0 and "fein-水" in [stage["id"] for stage in json.loads(said.out)["stages"]]
    assert run("check", path).out.startswith("Grüße aus Ελλάδα: ")


def test_a_byte_order_mark_is_no_error(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "site.train.json"
    path.write_bytes(b"\xef\xbb\xbf" + FARM.read_bytes())
    assert run("check", path).status == 0


def test_checking_writes_nothing(run: Run, tmp_path: Path) -> None:
    path = written(tmp_path, farm())
    before = path.read_bytes()
    run("check", path)
    run("check", path, "--json")
    assert [p.name for p in tmp_path.iterdir()] == [path.name] and path.read_bytes() == before


def test_a_picture_is_whole_or_not_there(run: Run, tmp_path: Path) -> None:
    good, out = written(tmp_path, farm()), tmp_path / "bench.svg"
    assert run("picture", good, "--out", out).status == 0
    whole = out.read_text("utf-8")
    assert whole.startswith(("<?xml", "<svg")) and whole.rstrip().endswith("</svg>")
    bad = written(tmp_path, {**farm(), "version": 99}, "bad.train.json")
    one_sentence(run("picture", bad, "--out", out), "version")
    assert out.read_text("utf-8") == whole
    for target, words in (("bench.bmp", ".svg, .png or .pdf"), ("no/bench.svg", "no folder")):
        said = run("picture", good, "--out", tmp_path / target)
        assert said.status == 2 and said.out == "" and words in said.err and len(said.err.splitlines()) == 1
    (tmp_path / "folder.svg").mkdir()
    assert run("picture", good, "--out", tmp_path / "folder.svg").status == 2
    assert {p.name for p in tmp_path.iterdir()} == {"site.train.json", "bad.train.json", "bench.svg", "folder.svg"}


# Bad input ------------------------------------------------------------------------------------------------------------------


def put(*path: Any, value: Any) -> Callable[[Tree], None]:
    """Set what stands at a path."""

    def change(tree: Tree) -> None:
        at: Any = tree
        for step in path[:-1]:
            at = at[step]
        at[path[-1]] = value

    return change


def add(*path: Any, value: Any) -> Callable[[Tree], None]:
    """Append to a list."""

    def change(tree: Tree) -> None:
        at: Any = tree
        for step in path:
            at = at[step]
        at.append(value)

    return change


def _unreachable(tree: Tree) -> None:
    tree["links"] = [link for link in tree["links"] if link["to"] != "house"]


RESULTS = ("samples", 0, "results")
#: What is done to the farm well, the place that the sentence begins with, words that it holds.
BAD: dict[str, tuple[Callable[[Tree], None], str, tuple[str, ...]]] = {
    "another format": (put("format", value="other/thing"), "format", ("other/thing",)),
    "no format": (lambda tree: tree.pop("format"), "format", ()),
    "a newer version": (put("version", value=99), "version", ("99",)),
    "an unknown kind": (put("stages", 0, "kind", value="magic_box"), "stages.screen.kind", ("magic_box", "is not a kind of stage")),
    "a circle": (add("links", value={"from": "softener", "to": "iron"}), "links.", ("circle",)),
    "an unreachable house": (_unreachable, "links", ("no pipe leads from the supply to the house",)),
    "a dangling link": (add("links", value={"from": "screen", "to": "nowhere"}), "links.screen>nowhere", ("nowhere",)),
    "an id twice": (put("stages", 1, "id", value="screen"), "stages.", ("screen",)),
    "a reserved id": (put("stages", 0, "id", value="house"), "stages.", ("house",)),
    "a negative concentration": (put(*RESULTS, "iron", value="-1 mg/L"), "samples.spring.results.iron", ("-1 mg/L",)),
    "a negative flow": (put("demand", "peak", value="-7 gpm"), "demand.peak", ("-7 gpm",)),
    "a peak of nothing": (put("demand", "peak", value="0 gpm"), "demand.peak", ("0 gpm",)),
    "NaN": (put(*RESULTS, "iron", value=float("nan")), "samples.spring.results.iron", ("NaN",)),
    "infinity": (put("supply", "yield", value=float("inf")), "supply.yield", ("Infinity",)),
    "infinity in words": (put("supply", "yield", value="inf gpm"), "supply.yield", ("inf gpm",)),
    "pH 71": (put(*RESULTS, "ph", value="71"), "samples.spring.results.ph", ("71", "pH")),
    "iron in furlongs": (
        put(*RESULTS, "iron", value="3 furlongs"), "samples.spring.results.iron", ('"3 furlongs" is not a concentration',)
    ),
    "a flow in psi": (put("demand", "peak", value="7 psi"), "demand.peak", ("7 psi",)),
    "a number without its unit": (put("demand", "peak", value="7"), "demand.peak", ("7",)),
    "a list for an object": (put("supply", value=[]), "supply", ()),
    "a text for a list": (put("stages", value="none"), "stages", ()),
    "a design sample that is not there": (put("design_sample", value="summer"), "design_sample", ("summer",)),
    "an item that is nowhere": (put("stages", 0, "item", value="lost"), "stages.screen.item", ("lost",)),
    "an unknown choice": (
        put("stages", 1, "settings", value={"media": "gravel"}), "stages.iron.settings.media", ("gravel",)
    ),
    "a pump curve that rises": (put("supply", "pump_curve", value=[["0 gpm", "40 psi"], ["9 gpm", "80 psi"]]), "supply.pump_curve", ()),
    "a cut-in above the cut-out": (put("supply", "cut_in", value="75 psi"), "supply.cut_in", ("75 psi",)),
    "a pipe that is not made": (put("plumbing", "size", value="7/8 in"), "plumbing.size", ()),
    "a fitting that is not made": (put("plumbing", "fittings", value={"knot": 1}), "plumbing.fittings", ("knot",)),
    "an unknown limit set": (put("goals", "limits", value="mars"), "goals.limits", ("mars",)),
    "null": (put("demand", "daily", value=None), "demand.daily", ()),
}  # fmt: skip


@pytest.mark.parametrize("what", BAD)
def test_bad_input_gets_one_sentence_with_its_place(run: Run, tmp_path: Path, what: str) -> None:
    change, place, words = BAD[what]
    tree = farm()
    change(tree)
    path = written(tmp_path, tree)
    for json_too in ((), ("--json",)):
        one_sentence(run("check", path, *json_too), place, *words)
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


RAW: dict[str, tuple[bytes, str]] = {
    "nothing": (b"", "line 1, column 1: this is not JSON"),
    "not JSON": (b'{"format": "trainapp/train",\n "version": 1,,}', "line 2, column"),
    "half a file": (FARM.read_bytes()[:700], "line "),
    "not UTF-8": (b'{"format":\n "trainapp/train\xff"}', "line 2: this is not UTF-8 text"),
    "a list": (b"[1, 2]", "a train document is one JSON object"),
    "a word": (b"true", "a train document is one JSON object"),
    "nested without end": (b'{"a":' * 100_000 + b"1" + b"}" * 100_000, "the document is nested too deeply"),
    "lists without end": (b"[" * 200_000, "the document is nested too deeply"),
    "a key twice": (b'{"format": "trainapp/train", "version": 1, "version": 1}', '"version" is written twice'),
    "a huge number": (b'{"format": "trainapp/train", "version": 1' + b"0" * 400 + b"}", "version: a whole number of 401 digits"),
    "bytes of a picture": (b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40, "line "),
    "nul bytes": (b"\0" * 1000, "line 1, column 1: this is not JSON"),
}


@pytest.mark.parametrize("what", RAW)
def test_what_is_no_document_gets_one_sentence(run: Run, tmp_path: Path, what: str) -> None:
    raw, place = RAW[what]
    path = tmp_path / "site.train.json"
    path.write_bytes(raw)
    one_sentence(run("check", path), place)


def test_a_file_of_50_megabytes_is_refused_unread(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "big.train.json"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    one_sentence(run("check", path), "big.train.json: the file has 50 MB")


def test_a_traceback_is_nowhere_near(tmp_path: Path) -> None:
    path = written(tmp_path, {**farm(), "demand": {"peak": "3 furlongs"}})
    said = process("check", path, cwd=tmp_path)
    assert said.returncode == 2 and said.stdout == b""
    assert said.stderr.decode() == 'demand.peak: "3 furlongs" is not a flow\n'
