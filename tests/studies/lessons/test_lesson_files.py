"""A lesson's file: read, written, and refused with the place; whatever stands in it, nothing traces back."""

from __future__ import annotations

import copy
import datetime
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.studies.lessons.shown import NAMES, QUICK, played, quick, text_of
from trainapp.studies.lessons import LessonError, dumps, find, lesson_of, load, load_all, loads, play, save, tree_of
from trainapp.studies.lessons.toml import line_of, written
from trainapp.train.document import dumps as train_text

TEXTS = {name: text_of(name) for name in NAMES}


def refused(text: str) -> LessonError:
    with pytest.raises(LessonError) as caught:
        loads(text)
    assert "\n" not in str(caught.value) and len(str(caught.value)) < 600
    return caught.value


# There and back ---------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_a_lesson_is_written_as_it_is_read(name: str, tmp_path: Path) -> None:
    lesson = find(name)
    assert loads(dumps(lesson)) == lesson == lesson_of(tree_of(lesson))
    saved = save(lesson, tmp_path / "mine.lesson.toml")
    assert saved == lesson and load(tmp_path / "mine.lesson.toml") == lesson and saved.name == "mine"


def test_a_document_goes_along_whole(tmp_path: Path) -> None:
    tree = quick()
    train = train_text(played(QUICK).benches[1].document)
    tree["benches"][1] = {"label": "Mine", "document": train}
    saved = save(lesson_of(tree), tmp_path / "own.lesson.toml")
    assert load(tmp_path / "own.lesson.toml") == saved and saved.benches[1].document == train
    assert [bench.number.value for bench in play(saved).benches] == [bench.number.value for bench in played(QUICK).benches]


def test_a_train_beside_the_file_is_carried_into_another_folder(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    train = train_text(played(QUICK).benches[1].document)
    (tmp_path / "a" / "mine.train.json").write_text(train, encoding="utf-8")
    tree = quick()
    tree["benches"][1] = {"label": "Mine", "train": "mine.train.json"}
    here = save(lesson_of(tree), tmp_path / "a" / "one.lesson.toml")
    assert load(tmp_path / "a" / "one.lesson.toml").benches[1].train == "mine.train.json"
    there = save(here, tmp_path / "b" / "one.lesson.toml")
    assert there.benches[1].document == train and play(load(tmp_path / "b" / "one.lesson.toml")).right == played(QUICK).right


@pytest.mark.parametrize("name", ["lesson.toml", "x.toml", ".lesson.toml"])
def test_a_lesson_has_its_ending(name: str, tmp_path: Path) -> None:
    with pytest.raises(LessonError, match=r"ends in \.lesson\.toml"):
        save(find(QUICK), tmp_path / name)


def test_a_folder_that_refuses_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    with pytest.raises(LessonError, match="cannot be written"):
        save(find(QUICK), tmp_path / "gone" / "x.lesson.toml")
    assert not list(tmp_path.iterdir())


def test_a_bad_file_keeps_no_other_away(tmp_path: Path) -> None:
    save(find(QUICK), tmp_path / "good.lesson.toml")
    (tmp_path / "bad.lesson.toml").write_text('format = "trainapp/lesson"\nversion = 1\n', encoding="utf-8")
    found = load_all([tmp_path, tmp_path / "nowhere"])
    assert len(found.lessons) == len(NAMES) + 1
    assert [str(error) for error in found.errors] == ['bad.lesson.toml: "title" is missing']


_WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
_LEAVES = _WORDS | st.integers(-(2**40), 2**40) | st.floats(allow_nan=False, allow_infinity=False) | st.booleans()
_TREES = st.dictionaries(
    _WORDS, st.recursive(_LEAVES, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_WORDS, inner, max_size=3))
)


@given(_TREES)
@settings(max_examples=50, deadline=None)
def test_any_tree_comes_back_from_its_text(tree: dict[str, Any]) -> None:
    assert tomllib.loads(written(tree)) == tree


# What is refused --------------------------------------------------------------------------------------------------------------------

#: (what is replaced, by what, the place that is named, a part of the sentence)
BAD = [
    ('format = "trainapp/lesson"', 'format = "trainapp/train"', "format", "not a lesson"),
    ("version = 1", "version = 2", "version", "not a version"),
    ('title = "Too much flow for the chamber"', "", "", '"title" is missing'),
    ('title = "Too', f'title = "{"T" * 90}Too', "title", "at most 60 letters"),
    ("order = 3", 'order = "third"', "order", "not a whole number"),
    ('title = "Too', 'titel = "x"\ntitle = "Too', "titel", "no such key"),
    ('limit = "9 gpm"', "", "judge", '"limit" is missing'),
    ('limit = "9 gpm"', 'limit = "9 furlongs"', "judge.limit", ""),
    ('side = "at_most"', 'side = "below"', "judge.side", "not one of"),
    ('when = "neither"', 'when = "nobody"', "answers.#4.when", "is none of A, B, both, neither, open"),
    ('text = "both"\nwhen = "both"', 'text = "both"\nwhen = "A"', "answers.#3.when", "is there twice"),
    ("start = 12.0", "start = 99.0", "controls.#1.start", "not between 4 and 14"),
    ("step = 1.0", "step = 100.0", "controls.#1.step", "step"),
    ('key = "peak"', 'key = "Peak flow"', "controls.#1.key", "short name"),
    ('dimension = "flow"', 'dimension = "speediness"', "controls.#1.dimension", "kind of quantity"),
    ("set = { peak = 8.0 }", "set = { peek = 8.0 }", "tries.#1.set.peek", "not the key of a control"),
    ("set = { peak = 8.0 }", "set = { peak = 80.0 }", "tries.#1.set.peak", "not between"),
    ("the house draws {peak}", "the house draws {much}", "scene", "{much}"),
    ('over = "peak"', 'over = "weather"', "watch.over", "key of a control"),
    ('over = "peak"', 'over = "time"', "watch.over", "needs a year"),
    ('source = "uv-radial"', 'source = "hearsay"', "facts.#3.source", "resources/sources.toml"),
    ('read = "check"\nat = "uv"\nkey = "flow"', 'read = "guess"\nat = "uv"\nkey = "flow"', "measure.read", "not one of"),
    ('answer = "B only"', 'answer = "C only"', "point.answer", "not the text of an answer"),
    ('train = "busy-house"\nleave_out', 'train = "busy-house"\ndocument = "{}"\nleave_out', "benches.#1", "either a train"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "place", "sentence"), BAD, ids=[f"{place}-{i}" for i, (_, _, place, _) in enumerate(BAD)])
def test_a_bad_lesson_says_where(old: str, new: str, place: str, sentence: str) -> None:
    assert old in TEXTS[QUICK]
    text = TEXTS[QUICK].replace(old, new, 1)
    if place == "judge.limit":
        with pytest.raises(LessonError) as caught:
            play(loads(text))
        assert caught.value.place == place
        return
    error = refused(text)
    assert error.place == place and sentence in error.sentence
    if place and new:
        line = error.line
        assert line is not None
        last = place.split(".")[-1]
        assert last in text.splitlines()[line - 1] or text.splitlines()[line - 1].startswith("[")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "format"),
        ("order = = 1", "line 1: this is not TOML"),
        ('format = "trainapp/lesson"\nversion = 1\nscene = """', "not TOML"),
        ("\ufeff[" * 400, "not TOML"),
        ("a." * 3000 + "b = 1", ""),
        ("x = " + "[" * 3000, "not TOML"),
    ],
)
def test_what_is_no_lesson_at_all(text: str, words: str) -> None:
    assert words in str(refused(text))


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    for path in (tmp_path / "none.lesson.toml", tmp_path):
        with pytest.raises(LessonError):
            load(path)
    (tmp_path / "x.lesson.toml").write_bytes(b"title = \xff\xfe")
    with pytest.raises(LessonError, match="UTF-8"):
        load(tmp_path / "x.lesson.toml")


def test_lines_are_found_through_lists_and_long_texts() -> None:
    text = 'a = 1\nlong = """\n[b]\nc = 2\n"""\n[[b]]\nc = 3\n[[b]]\n"c d" = 4\n[b.e]\nf.g = 5\n'
    assert line_of(text, ("b", "#1", "c")) == 7
    assert line_of(text, ("b", "#2", "c d")) == 9
    assert line_of(text, ("b", "#2", "e", "f", "g")) == 11
    assert line_of(text, ("b", "#2", "nothing")) == 8
    assert line_of(text, ("zzz",)) is None


# Whatever stands in it ---------------------------------------------------------------------------------------------------------------


@given(st.sampled_from(NAMES), st.data())
@settings(max_examples=50, deadline=None)
def test_a_mutated_file_is_a_lesson_or_one_sentence(name: str, data: st.DataObject) -> None:
    text = TEXTS[name]
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        end = min(start + data.draw(st.integers(0, 30)), len(text))
        text = (
            text[:start]
            + data.draw(st.sampled_from(["", '"', "=", "[[x]]", "\n", "9" * 400, "null", "{A}", "\0", "1e999", "[", "'''"]))
            + text[end:]
        )
    try:
        loads(text)
    except LessonError as error:
        assert "\n" not in str(error)


@pytest.mark.parametrize(
    ("part", "key", "value", "place"),
    [
        ("controls", "unit", "furlongs", "controls.#1.unit"), ("controls", "max", 1e300, "controls.#1.max"),
        ("controls", "paths", ["weather.rain"], "controls.#1.paths"), ("controls", "paths", ["run.weather"], "controls.#1.paths"),
        ("controls", "min", float("nan"), "controls.#1.min"),
        ("benches", "set", {"stages": 5}, "benches.#1.set.stages"), ("benches", "set", {"demand.peak": None}, "benches.#1.set.demand.peak"),
        ("benches", "set", {"": 1}, "benches.#1.set."),
        ("benches", "set", {"stages.uv.settings.hue": "2 m"}, "benches.#1.set.stages.uv.settings.hue"),
        ("benches", "set", {"demand.peak": "9 furlongs"}, "benches.#1.set.demand.peak"),
        ("benches", "set", {"site.notes": "\ud800"}, "benches.#1.set.site.notes"), ("benches", "label", "\ud800", "benches.#1.label"),
        ("benches", "set", {"site.notes": datetime.date(2026, 5, 4)}, "benches.#1.set.site.notes"),
        ("benches", "edits", [{"edit": "paint"}], "benches.#1.edits.#1"), ("benches", "leave_out", ["roof"], "benches.#1.leave_out"),
        ("benches", "train", "no-such-well", "benches.#1.train"), ("benches", "train", "../x.train.json", "benches.#1.train"),
        ("measure", "key", "settles_overnight", "measure.key"), ("measure", "at", "roof", "measure.at"),
        ("watch", "key", "beauty", "watch.key"), ("watch", "wanted", "much", "watch.wanted"),
    ],
)  # fmt: skip
def test_what_only_shows_when_it_plays_says_where_too(part: str, key: str, value: Any, place: str) -> None:
    tree = quick()
    (tree[part][0] if isinstance(tree[part], list) else tree[part])[key] = value
    with pytest.raises(LessonError) as caught:
        play(lesson_of(tree))
    assert caught.value.place == place and "\n" not in str(caught.value)


_JUNK: list[Any] = [
    None,
    "",
    "x",
    "3 furlongs",
    -1,
    0,
    1e308,
    float("nan"),
    True,
    [],
    {},
    ["x"],
    {"x": 1},
    "{",
    "A",
    "uv",
    "house",
    "\ud800",
]


def _spots(tree: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    return [at, *(spot for key, value in inner for spot in _spots(value, (*at, key)))]


@given(st.data())
@settings(max_examples=50, deadline=None)
def test_a_mutated_tree_plays_or_is_one_sentence(data: st.DataObject) -> None:
    tree = quick()
    tree["watch"] = {"text": "Look.", "over": "peak"}
    tree["controls"][0] |= {"min": 4.0, "max": 14.0, "step": 5.0}
    for _ in range(data.draw(st.integers(1, 2))):
        spot = data.draw(st.sampled_from(_spots(tree)[1:]))
        place = tree
        for step in spot[:-1]:
            place = place[step]
        if data.draw(st.booleans()):
            place[spot[-1]] = copy.deepcopy(data.draw(st.sampled_from(_JUNK)))
        else:
            del place[spot[-1]]
    try:
        play(lesson_of(tree))
    except LessonError as error:
        assert "\n" not in str(error) and str(error)
