"""Is every error that somebody can meet in the one tree, and is the tree drawn as it is?

Own architecture, no outside source.
"""

import ast
import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Final

import pytest

import evaluator
from evaluator import errors
from evaluator.errors import EvaluatorError
from evaluator.errors.mistake import Mistake

PACKAGE: Final = Path(evaluator.__file__).parent


def modules() -> Iterator[str]:
    """Every module of the package but the one that runs it."""
    for path in sorted(PACKAGE.rglob("*.py")):
        inside = path.relative_to(PACKAGE.parent).with_suffix("")
        if inside.name != "__main__":
            yield ".".join(inside.parts).removesuffix(".__init__")


def exceptions_of_the_package() -> dict[str, type[BaseException]]:
    """Every class of exception that the package defines, by its name."""
    found: dict[str, type[BaseException]] = {}
    for name in modules():
        module = import_module(name)
        for one in vars(module).values():
            if isinstance(one, type) and issubclass(one, BaseException) and one.__module__ == name:
                assert one.__name__ not in found or one.__name__.startswith("_"), one
                found[one.__name__] = one
    return found


def drawn() -> dict[str, str]:
    """The tree of the docstring: each name with that of its parent."""
    assert errors.__doc__ is not None
    parents: dict[str, str] = {}
    above: list[str] = []
    for branches, name in re.findall(r"^    ([│├└─ ]*)(\w+)", errors.__doc__, re.M):
        depth = len(branches) // 4
        above[depth:] = [name]
        parents[name] = above[depth - 1] if depth else "Exception"
    return parents


def test_every_error_is_in_the_tree_or_never_leaves_its_module() -> None:
    outside = [
        one
        for name, one in exceptions_of_the_package().items()
        if not issubclass(one, EvaluatorError) and not name.startswith("_")
    ]
    assert outside == []


def test_an_error_that_never_leaves_its_module_is_caught_there() -> None:
    """So that the underscore is no way out of the tree."""
    for name in modules():
        text = Path(PACKAGE.parent, *name.split(".")).with_suffix(".py")
        if not text.exists():
            continue
        tree = ast.parse(text.read_text(encoding="utf-8"))
        raised = {
            ast.unparse(node.exc.func if isinstance(node.exc, ast.Call) else node.exc)
            for node in ast.walk(tree)
            if isinstance(node, ast.Raise) and node.exc is not None
        }
        caught = {
            one.id
            for handler in ast.walk(tree)
            if isinstance(handler, ast.ExceptHandler) and handler.type is not None
            for one in ast.walk(handler.type)
            if isinstance(one, ast.Name)
        }
        private = {one for one in raised if re.fullmatch(r"_\w+Error", one)}
        assert private <= caught, name


def test_the_tree_is_drawn_as_it_is() -> None:
    as_it_is = {
        name: one.__bases__[0].__name__
        for name, one in exceptions_of_the_package().items()
        if not name.startswith("_")
    }
    assert drawn() == as_it_is


@pytest.mark.parametrize(
    ("file", "place"), [("song.txt", "song.txt:3:7: "), ("", "line 3, column 7: ")]
)
def test_a_mistake_has_its_place_also_in_a_text_that_is_no_file(file: str, place: str) -> None:
    told = str(Mistake(file, 3, 7, "tempo 96", "this is no header line"))
    assert told.startswith(place + "this")
