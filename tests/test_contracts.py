"""The rules of the house hold, and the tools that keep them catch a breach."""

from __future__ import annotations

import ast
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path

import pytest

LONGEST_FILE = 400
LONGEST_FUNCTION = 50


def _modules(root: Path) -> list[Path]:
    return sorted((root / "trainapp").rglob("*.py"))


def _python_files(root: Path) -> list[Path]:
    return _modules(root) + sorted((root / "tests").rglob("*.py"))


# Import contracts ---------------------------------------------------------------------------------------------------------------


@pytest.fixture
def house(root: Path, tmp_path: Path) -> Path:
    """A copy of the package and its contracts, to do damage in."""
    shutil.copytree(root / "trainapp", tmp_path / "trainapp", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(root / "pyproject.toml", tmp_path)
    return tmp_path


def _lint_imports(house: Path) -> tuple[int, str]:
    code = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"
    done = subprocess.run([sys.executable, "-c", code], cwd=house, capture_output=True, text=True, timeout=120)
    return done.returncode, done.stdout + done.stderr


def test_every_contract_holds(house: Path) -> None:
    status, output = _lint_imports(house)
    assert status == 0, output


@pytest.mark.parametrize(
    ("module", "line", "contract", "chain"),
    [
        # At the top, by way of another module, inside a function.
        ("water/stream.py", "import PySide6.QtCore", "Only desktop knows Qt", "water.stream -> PySide6"),
        ("units.py", "def late():\n    import shiboken6\n    return shiboken6", "Only desktop knows Qt", "units -> shiboken6"),
        ("hydraulics/elements.py", "import PySide6", "Only desktop knows Qt", "stages.base -> trainapp.hydraulics.elements"),
        ("hydraulics/elements.py", "import trainapp.checks.finding", "A room imports only", "elements -> trainapp.checks"),
        ("stages/base.py", "import trainapp.desktop", "A room imports only", "stages.base -> trainapp.desktop"),
        ("train/evaluate.py", "import pint", "Only units knows pint", "train.evaluate -> pint"),
    ],
)
def test_a_planted_violation_is_caught(house: Path, module: str, line: str, contract: str, chain: str) -> None:
    path = house / "trainapp" / module
    path.write_text(path.read_text(encoding="utf-8") + f"\n\n{line}\n", encoding="utf-8")
    status, output = _lint_imports(house)
    assert status == 1, output
    assert re.search(rf"{contract}.*BROKEN", output), output
    assert chain in re.sub(r"\s+", " ", output), output


def test_every_room_stands_in_the_contracts(root: Path) -> None:
    contracts = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]["contracts"]
    floors, qt, pint = contracts
    rooms = {f"trainapp.{path.stem}" for path in (root / "trainapp").iterdir() if path.is_dir() or path.suffix == ".py"}
    rooms = {room for room in rooms if not re.search(r"\.(__init__|__pycache__|_data)$", room)}
    assert {room for layer in floors["layers"] for room in re.split(r" [:|] ", layer)} == rooms
    assert set(qt["source_modules"]) == rooms - {"trainapp.desktop", "trainapp.__main__"}
    assert set(pint["source_modules"]) == rooms - {"trainapp.units", "trainapp.__main__"}


def test_pyplot_is_never_imported(root: Path) -> None:
    found = [
        f"{path.relative_to(root)}:{node.lineno}"
        for path in _modules(root)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in [*(f"{getattr(node, 'module', None) or ''}.{alias.name}".lstrip(".") for alias in node.names)]
        if "pyplot" in name or name.split(".")[0] == "scipy"
    ]
    assert found == []


def test_starting_the_command_line_loads_nothing_heavy() -> None:
    code = (
        "import sys, trainapp.cli\n"
        "heavy = {'PySide6', 'matplotlib', 'scipy', 'pint', 'fluids', 'chemicals', 'networkx', 'pydantic', 'numpy'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


def test_every_dependency_is_imported(root: Path) -> None:
    """What is installed for nothing is downloaded for nothing, and told of in vain."""
    needed = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    lines = [line.split() for path in _modules(root) for line in path.read_text("utf-8").splitlines()]
    imported = {words[1].partition(".")[0] for words in lines if len(words) > 1 and words[0] in ("from", "import")}
    owners = metadata.packages_distributions()
    brought = {name.lower().replace("_", "-") for module in imported for name in owners.get(module, ())}
    assert {re.split(r"[<>=!~ ]", line)[0].lower() for line in needed} <= brought


# Size and honesty ---------------------------------------------------------------------------------------------------------------


def test_modules_stay_small(root: Path) -> None:
    lengths = {str(path.relative_to(root)): len(path.read_text(encoding="utf-8").splitlines()) for path in _python_files(root)}
    assert {path: lines for path, lines in lengths.items() if lines > LONGEST_FILE} == {}


def _functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def _body_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function below its docstring."""
    body = function.body[1:] if ast.get_docstring(function) and len(function.body) > 1 else function.body
    return (function.end_lineno or 0) - body[0].lineno + 1


def test_functions_stay_small(root: Path) -> None:
    long = {
        f"{path.relative_to(root)}:{function.name}": _body_lines(function)
        for path in _python_files(root)
        for function in _functions(path)
        if _body_lines(function) > LONGEST_FUNCTION
    }
    assert long == {}


def test_everything_public_says_what_it_is(root: Path) -> None:
    silent = []
    for path in _modules(root):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        public = [n for n in tree.body if isinstance(n, ast.FunctionDef | ast.ClassDef) and not n.name.startswith("_")]
        silent += [f"{path.relative_to(root)}:{node.name}" for node in public if not ast.get_docstring(node)]
        if path.name != "__init__.py" and not ast.get_docstring(tree):
            silent.append(str(path.relative_to(root)))
    assert silent == []


def test_nothing_is_put_off(root: Path) -> None:
    # Written in two halves, or this file would find itself.
    halves = (("TO", "DO"), ("FIX", "ME"), ("NotImplemented", "Error"), ("mark.sk", "ip"), ("mark.xf", "ail"), ("pytest.sk", "ip"))
    words = re.compile("|".join(re.escape(first + second) for first, second in halves))
    found = [
        f"{path.relative_to(root)}:{number}: {line.strip()}"
        for path in _python_files(root)
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if words.search(line)
    ]
    assert found == []


# The two commands ---------------------------------------------------------------------------------------------------------------


def _commands(root: Path) -> list[str]:
    """Shell commands of the README, one a block."""
    return re.findall(r"```sh\n(.+?)\n```", (root / "README.md").read_text(encoding="utf-8"))[:2]


def test_the_gate_runs_what_the_readme_says(root: Path) -> None:
    first, second = _commands(root)
    assert first == "bash .ci/setup try"
    assert second in (root / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_scripts_are_sound(root: Path) -> None:
    for name in ("setup", "run"):
        subprocess.run(["bash", "-n", root / ".ci" / name], check=True, timeout=30)


def test_the_setup_names_what_it_does_not_know(root: Path) -> None:
    done = subprocess.run(["bash", root / ".ci" / "setup", "dance"], capture_output=True, text=True, timeout=30)
    assert done.returncode == 1
    assert done.stderr == "setup: knows try, test and dev, not dance.\n"
    assert done.stdout == ""


def test_the_setup_names_missing_libraries(root: Path, tmp_path: Path) -> None:
    tools = tmp_path / "bin"
    tools.mkdir()
    for tool in ("bash", "dirname", "grep", "tr", "id"):
        (tools / tool).symlink_to(shutil.which(tool) or tool)
    # A machine with every library but one, and no way to install it.
    (tools / "dpkg-query").write_text('#!/bin/sh\ncase "$3" in libegl1*) exit 1;; esac\necho "install ok installed"\n')
    (tools / "dpkg-query").chmod(0o755)
    done = subprocess.run(["bash", root / ".ci" / "setup", "dev"], capture_output=True, text=True, timeout=30, env={"PATH": str(tools)})
    assert done.returncode == 1
    assert done.stderr == "setup: these system libraries are missing and could not be installed: libegl1.\n"
