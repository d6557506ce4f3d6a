"""Do imports go one way, as the layers do?

The package is laid out as the data flow: a folder may import only from the folders
named for it here, wherever in a file the import stands, and only one folder each may
touch the screen, scores, ports and the database. The core opens no files, asks no clock
and prints nothing. Files are read as text and never run. Own architecture, no outside
source.
"""

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import Final

import pytest

PACKAGE: Final = Path(__file__).resolve().parents[1] / "evaluator"

CORE: Final = (
    "theory",
    "chart",
    "take",
    "follow",
    "judge",
    "excerpt",
    "draft",
    "report",
    "practise",
)
EDGE: Final = ("show", "notation", "live", "history", "batch", "cli")
LAYERS: Final = ("errors", "parts", *CORE, "grading", *EDGE, "__init__", "__main__")
"""From the ground up. Modules beside the folders are layers of their own: everybody may
raise the errors and name the parts of a mark, and `grading` puts the core together."""
PURE: Final = frozenset({"errors", "parts", *CORE, "grading"})
ALLOWED: Final[dict[str, frozenset[str]]] = {
    layer: frozenset(LAYERS[:place]) for place, layer in enumerate(LAYERS)
} | {
    # A chart knows nothing of takes, a take nothing of charts.
    "take": frozenset({"errors"}),
}
"""Which layers each may import beside itself."""

ONLY_IN: Final = {
    "rich": frozenset({"show"}),
    "music21": frozenset({"notation"}),
    "rtmidi": frozenset({"live"}),
    "sqlite3": frozenset({"history"}),
    "platformdirs": frozenset({"history"}),
    "jinja2": frozenset({"show"}),
    "markupsafe": frozenset({"show"}),
    "multiprocessing": frozenset({"batch"}),
    "dask": frozenset({"batch"}),
    "distributed": frozenset({"batch"}),
    "argparse": frozenset({"cli"}),
    "shtab": frozenset({"cli"}),
}
"""The only folder that may import each of these."""
OUTSIDE: Final = {"numpy", "mido"}
"""What else is not in the standard library and may be used."""
NOT_IN_THE_CORE: Final = frozenset(
    {
        *("datetime", "time", "random"),
        *("asyncio", "concurrent", "multiprocessing", "signal", "subprocess", "threading"),
        *("glob", "logging", "os", "pathlib", "shutil", "tempfile", "warnings"),
        *("select", "socket", "urllib"),
    }
)
"""Files, clocks, chance, other processes."""
CALLS_NOT_IN_THE_CORE: Final = frozenset({"open", "print", "input", "breakpoint", "exec", "eval"})


@dataclass(frozen=True, slots=True)
class Import:
    """One import of one module; `layer` is the folder it is in, or the lone module's name."""

    layer: str
    module: str
    place: str
    named: bool = False
    """Only by its name, as a command is that is loaded when it is asked for."""


@cache
def sources() -> list[tuple[str, str, str]]:
    """Layer, name and text of every file of the package."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        inside = path.relative_to(PACKAGE)
        layer = inside.parts[0] if len(inside.parts) > 1 else inside.stem
        found.append((layer, str(inside), path.read_text(encoding="utf-8")))
    return found


@cache
def imports(layer: str, name: str, text: str) -> list[Import]:
    """Every import in a file: at its top, in functions, or by a name given as text."""
    return list(_imports(layer, name, text))


def _imports(layer: str, name: str, text: str) -> Iterator[Import]:
    package = ["evaluator", *Path(name).parent.parts]
    for node in ast.walk(ast.parse(text)):
        found: list[str] = []
        if isinstance(node, ast.Import):
            found = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) + 1 - node.level] if node.level else []
            module = ".".join([*base, *([node.module] if node.module else [])])
            # `from evaluator import grading` is an import of the module, too.
            found = [f"{module}.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Constant) and is_name(node.value):
            found = [str(node.value)]
        for module in found:
            named = isinstance(node, ast.Constant)
            yield Import(layer, module, f"{name}:{getattr(node, 'lineno', 0)}", named)


def is_name(value: object) -> bool:
    """Whether a constant is the name of a module here, as commands are listed by name."""
    return isinstance(value, str) and re.fullmatch(r"evaluator(\.\w+)+", value) is not None


def broken(one: Import) -> str | None:
    """What an import breaks, if anything."""
    top, *rest = one.module.split(".")
    said = f"{one.place}: {one.layer} imports {one.module}"
    if top == "evaluator":
        into = rest[0] if rest and rest[0] in ALLOWED else "__init__"
        return None if into == one.layer or into in ALLOWED[one.layer] else said
    if top in ONLY_IN:
        return None if one.layer in ONLY_IN[top] else said
    if top in NOT_IN_THE_CORE:
        return said if one.layer in PURE else None
    return None if top in sys.stdlib_module_names or top in OUTSIDE else said


def calls(name: str, text: str) -> Iterator[str]:
    """Calls by name of functions that reach outside the program."""
    for node in ast.walk(ast.parse(text)):
        match node:
            case ast.Call(func=ast.Name(id=called)) if called in CALLS_NOT_IN_THE_CORE:
                yield f"{name}:{node.lineno}: {called}()"
            case ast.Attribute(value=ast.Name(id="io"), attr="open"):
                yield f"{name}:{node.lineno}: io.open"


def test_every_file_belongs_to_a_layer() -> None:
    assert {layer for layer, _, _ in sources()} <= ALLOWED.keys()


def test_imports_go_up_only() -> None:
    found = [broken(one) for source in sources() for one in imports(*source)]
    assert [said for said in found if said] == []


def circle(modules: dict[str, set[str]]) -> list[str]:
    """Modules that import each other, in a circle; none if there is no such."""
    try:
        TopologicalSorter(modules).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_no_modules_import_each_other() -> None:
    """Not even later, in a function: what two of them need stands below both."""
    compiled = {path.with_suffix("") for path in PACKAGE.rglob("*.pyx")}
    names = {name_of(str(path.relative_to(PACKAGE))) for path in compiled}
    texts = {name_of(name): imports(layer, name, text) for layer, name, text in sources()}
    names |= texts.keys()
    found = {
        module: {
            next(known for known in (one.module, one.module.rpartition(".")[0]) if known in names)
            for one in imported
            if not one.named and {one.module, one.module.rpartition(".")[0]} & names
        }
        - {module}
        for module, imported in texts.items()
    }
    assert sum(map(len, found.values())) > len(found)
    assert circle(found) == []


def test_a_circle_is_seen() -> None:
    assert circle({"a": {"b"}, "b": {"c"}, "c": {"a"}}) != []
    assert circle({"a": {"b", "c"}, "b": {"c"}, "c": set()}) == []


def name_of(path: str) -> str:
    """`evaluator.judge.chord` for `judge/chord.py`."""
    parts = Path(path).with_suffix("").parts
    return ".".join(("evaluator", *(part for part in parts if part != "__init__")))


def test_the_core_calls_nothing_outside() -> None:
    found = [said for layer, *source in sources() if layer in PURE for said in calls(*source)]
    assert found == []


def test_imports_are_found_at_all() -> None:
    found = {(one.layer, one.module) for source in sources() for one in imports(*source)}
    assert ("show", "rich.console.Console") in found  # inside a function
    assert ("judge", "numpy") in found
    assert ("cli", "evaluator.cli.grade") in found  # by a name given as text
    assert len({layer for layer, _ in found}) >= 9


@pytest.mark.parametrize(
    ("layer", "name", "line"),
    [
        ("theory", "theory/pitch.py", "from evaluator.chart import graph"),
        ("theory", "theory/pitch.py", "from ..chart import graph"),
        ("theory", "theory/pitch.py", "from .. import chart"),
        ("take", "take/model.py", "import evaluator.chart.graph"),
        ("follow", "follow/path.py", "def f():\n    from evaluator.judge import verdict"),
        ("judge", "judge/chord.py", "import rich.text"),
        ("judge", "judge/chord.py", "from music21 import harmony"),
        ("report", "report/json.py", "import sqlite3"),
        ("report", "report/json.py", "from pathlib import Path"),
        ("report", "report/json.py", "import os.path"),
        ("report", "report/json.py", "from evaluator import show"),
        ("chart", "chart/parse.py", "def f():\n    import rtmidi"),
        ("show", "show/page.py", "from evaluator.cli.files import shown"),
        ("cli", "cli/grade.py", "from rich.console import Console"),
        ("live", "live/port.py", "from evaluator.batch import pool"),
        ("show", "show/page.py", "from evaluator.live import port"),
        ("follow", "follow/path.py", "from evaluator import grading"),
        ("history", "history/store.py", "import_module('evaluator.cli.grade')"),
        ("errors", "errors/mistake.py", "from evaluator.theory import pitch"),
        ("grading", "grading.py", "from evaluator.show.terminal import print_report"),
        ("take", "take/model.py", "import pretty_midi"),
        ("judge", "judge/chord.py", "from evaluator import grade"),
    ],
)
def test_an_import_that_goes_the_wrong_way_is_seen(layer: str, name: str, line: str) -> None:
    assert any(broken(one) for one in imports(layer, name, line))


@pytest.mark.parametrize(
    ("layer", "name", "line"),
    [
        ("chart", "chart/parse.py", "from evaluator.theory.pitch import parse_key"),
        ("chart", "chart/parse.py", "from .values import chord"),
        ("judge", "judge/chord.py", "import numpy as np"),
        ("cli", "cli/grade.py", "from evaluator.show.terminal import print_report"),
        ("cli", "cli/files.py", "import os"),
        ("take", "take/model.py", "from evaluator.errors import TakeError"),
        ("judge", "judge/chord.py", '"see evaluator.show for that"'),
    ],
)
def test_an_import_that_goes_the_right_way_is_let_be(layer: str, name: str, line: str) -> None:
    assert [broken(one) for one in imports(layer, name, line) if broken(one)] == []


def test_a_core_module_that_opens_a_file_is_seen() -> None:
    assert list(calls("take/a.py", "def f(path):\n    return open(path)")) == [
        "take/a.py:2: open()"
    ]
    assert list(calls("take/a.py", "import io\nread = io.open")) == ["take/a.py:2: io.open"]
    assert list(calls("take/a.py", "import io\nbuffer = io.BytesIO()")) == []
