"""A lesson while it is written: a plain tree as its file has it, with values that may still be missing."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from trainapp import units
from trainapp.studies import lessons
from trainapp.studies.lessons import Lesson
from trainapp.train.document import Document, dumps
from trainapp.train.errors import DocumentError

Tree = dict[str, Any]
At = tuple[str | int, ...]

FORMAT, VERSION = "trainapp/lesson", 1
#: What is said under the numbers of a new lesson until its writer says it better.
CAUTION = (
    "Only tests show whether water is fit to drink. Shut off, let the pressure out and unplug before anything is opened; "
    "local codes and licensed practice decide."
)
#: What every `when` means, in words of whoever writes.
WHENS: Final[Mapping[str, Mapping[str, str]]] = {
    "one": {"yes": "Answer where it meets the limit", "no": "Answer where it does not"},
    "two": {
        "A": "Answer where A alone meets the limit",
        "B": "Answer where B alone meets it",
        "both": "Answer where both do",
        "neither": "Answer where neither does",
    },
    "compare": {"A": "Answer where A has more", "B": "Answer where B has more", "alike": "Answer where they are alike"},
}
_USUAL = {
    "A": "A only", "B": "B only", "both": "both", "neither": "neither", "yes": "yes", "no": "no", "alike": "both alike",
}  # fmt: skip


def get(tree: Tree, at: At, default: Any = "") -> Any:
    """What stands at a place, the default where nothing does."""
    value: Any = tree
    for step in at:
        if isinstance(value, dict) and step in value or isinstance(value, list) and isinstance(step, int) and step < len(value):
            value = value[step]
        else:
            return default
    return value


def put(tree: Tree, at: At, value: Any) -> None:
    """Put a value at a place; None takes it away. Tables on the way are made, members of lists are there."""
    inner: Any = tree
    for step in at[:-1]:
        if isinstance(inner, dict) and step not in inner:
            inner[step] = {}
        inner = inner[step]
    last = at[-1]
    if value is None:
        inner.pop(last, None)
    else:
        inner[last] = value


def dotted(at: At) -> str:
    """A place as errors name it: members of lists counted from 1."""
    return ".".join(f"#{step + 1}" if isinstance(step, int) else step for step in at)


def blank() -> Tree:
    """A lesson of which nothing is written, on the first of the lessons' trains."""
    tree = _started({"label": "", "train": lessons.train_names()[0]}, "25 psi")
    tree["benches"][0]["label"] = "The train"
    return tree


def from_document(document: Document) -> Tree:
    """A lesson about a train, of which nothing else is written."""
    wanted = document.goals.get("outlet_pressure")
    limit = units.show(wanted, "pressure") if isinstance(wanted, float) else "25 psi"
    label = document.site.word("name") or "The train"
    return _started({"label": label[:60], "document": dumps(document)}, limit)


def from_lesson(lesson: Lesson, own: bool) -> Tree:
    """A lesson to go on with; another's becomes a copy that reads its trains from where they lie."""
    tree = copy.deepcopy(lessons.tree_of(lesson))
    if not own:
        tree.pop("order", None)
    return tree


def _started(bench: Tree, limit: str) -> Tree:
    tree: Tree = {
        "format": FORMAT,
        "version": VERSION,
        "title": "",
        "scene": "",
        "question": "",
        "safety": CAUTION,
        "benches": [bench],
        "measure": {"read": "year", "at": "house", "key": "pressure", "month": 12.0, "label": "Lowest pressure of a day"},
        "judge": {"by": "limit", "limit": limit, "side": "at_least"},
        "answers": [],
        "controls": [],
        "watch": {"text": "Where the line meets the dotted one."},
        "point": {"text": "", "answer": ""},
    }
    fit_answers(tree)
    return tree


def whens(tree: Tree) -> Mapping[str, str]:
    """What the engine may find, each with what it means; empty for ranges."""
    by = get(tree, ("judge", "by"))
    if by == "range":
        return {}
    return WHENS["compare" if by == "compare" else "two" if len(tree["benches"]) > 1 else "one"]


def fit_answers(tree: Tree) -> None:
    """Let there be an answer for everything that the engine may find; those that are written stay."""
    wanted = whens(tree)
    old = tree.get("answers", [])
    if not wanted:
        kept = [answer for answer in old if not answer.get("when")]
        tree["answers"] = kept if len(kept) > 1 else [{"text": "less", "below": 1.0}, {"text": "more", "at_least": 1.0}]
    else:
        texts = {answer.get("when"): answer.get("text", "") for answer in old}
        rows = [{"text": texts.get(when) or _USUAL[when], "when": when} for when in wanted]
        tree["answers"] = rows + [answer for answer in old if answer.get("when") == "open"]
    known = [answer["text"] for answer in tree["answers"]]
    if get(tree, ("point", "answer")) not in known:
        put(tree, ("point", "answer"), known[0])


def document_of(tree: Tree, index: int, folder: Path | None) -> Document | None:
    """The train of a bench before anything is taken from it; None where there is none that can be read."""
    from trainapp.studies.lessons.trains import trains_path
    from trainapp.train.document import load, loads

    bench = tree["benches"][index]
    try:
        if bench.get("document"):
            return loads(bench["document"])
        name = str(bench.get("train", ""))
        if name in lessons.train_names():
            return load(trains_path() / f"{name}.train.json")
        return load((folder or Path()) / name) if name else None
    except DocumentError:
        return None
