"""What does this rubric file say, and is all of it meant seriously?

TOML, as `tomllib` reads it. Every key is known or a mistake: a misspelt weight that was
passed over would mark a whole class wrongly. All mistakes of a file are told at once, each
with its line and, where a known key comes near, with what was probably meant.
"""

import math
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from evaluator.errors import RubricError, UsageError
from evaluator.errors.mistake import Mistake
from evaluator.judge.rubric import COUNTABLE, STEADY, Rubric
from evaluator.parts import AS_RECKONED, PARTS

BUILT_IN: Final = ("first-steps", "steady", "concert-ready")
"""The rubrics that come with the program, in the order of learning."""
LONGEST: Final = 200
"""Characters of a name or a description: they stand in every report."""
LARGEST: Final = 20_000
"""Characters of a rubric; a long one has two thousand. `tomllib` takes four times as long for
a dotted key of twice the parts: minutes for one of a million characters."""


@dataclass(frozen=True, slots=True)
class Kind:
    """What may stand behind a key."""

    wanted: str
    fits: Callable[[Any], bool]


def _number(low: float, high: float) -> Kind:
    def fits(value: Any) -> bool:
        plain = isinstance(value, (int, float)) and not isinstance(value, bool)
        return plain and math.isfinite(value) and low <= value <= high

    return Kind(f"a number from {low:g} to {high:g}", fits)


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip()) and len(value) <= LONGEST


TEXT: Final = Kind("a text in quotation marks", _is_text)
YES_OR_NO: Final = Kind("true or false", lambda value: isinstance(value, bool))

TABLES: Final[Mapping[str, Mapping[str, Kind]]] = {
    "weights": dict.fromkeys(AS_RECKONED, _number(0, 100)),
    "tolerances": {
        "strike_ms": _number(20, 300),
        "halt_beats": _number(0.5, 8),
        "other_rhythm_pct": _number(0, 100),
    },
    "counts": dict.fromkeys(COUNTABLE, YES_OR_NO),
}
"""Tolerances: nobody hears less than 20 ms as a fault, and at 300 ms a strike belongs to
another place of the bar; within half a beat a halt cannot be told from lateness."""
TOP: Final[Mapping[str, Kind]] = {
    "name": TEXT,
    "about": TEXT,
    "pass_mark": _number(0, 100),
    "least_played": _number(0, 100),
    "strictness": _number(1, 10),
}

_TABLE: Final = re.compile(r"\s*\[\s*([\w\"'.-]+)\s*\]")
_KEY: Final = re.compile(r"\s*([\w\"'-]+(?:\s*\.\s*[\w\"'-]+)*)\s*=")
_PLACE: Final = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")

Places = dict[tuple[str, str], tuple[int, int]]


def built_in_rubric(name: str) -> Rubric:
    """The rubric of this name that comes with the program. Raises `UsageError`."""
    plain = plain_name(name)
    if plain not in BUILT_IN:
        from difflib import get_close_matches

        near = get_close_matches(plain, BUILT_IN, n=1)
        hint = f"Did you mean {near[0]}?" if near else f"There are: {', '.join(BUILT_IN)}."
        raise UsageError(f"There is no rubric {name}. {hint}")
    from importlib.resources import files

    inside = files("evaluator.judge").joinpath("rubrics", f"{plain}.toml")
    return read_rubric(inside.read_text(encoding="utf-8"), file=inside.name)


def plain_name(name: str) -> str:
    """`First steps` as it is spelt in `BUILT_IN`."""
    return name.casefold().replace(" ", "-")


def read_rubric(text: str, *, file: str = "") -> Rubric:
    """The rubric that a text describes; what it leaves out is as in `steady`.

    Raises `RubricError` with every mistake.
    """
    if len(text) > LARGEST:
        message = f"this rubric has {len(text)} signs; a rubric has at most {LARGEST}"
        raise RubricError((Mistake(file, 1, 1, "", message),))
    lines = text.splitlines()
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RubricError((_no_toml(str(error), lines, file),)) from None
    except RecursionError:
        deep = Mistake(file, 1, 1, "", "this is no rubric: lists within lists without an end")
        raise RubricError((deep,)) from None
    places = _places(lines)
    mistakes = []
    for key, message, suggestion in _wrong(document):
        line, column = places.get(key) or places.get(("", key[0]), (1, 1))
        source = lines[line - 1] if lines else ""
        mistakes.append(Mistake(file, line, column, source, message, suggestion))
    if mistakes:
        raise RubricError(tuple(sorted(mistakes, key=lambda one: (one.line, one.column))))
    return _rubric(document, file)


def _rubric(document: Mapping[str, Any], file: str) -> Rubric:
    stem = re.split(r"[/\\]", file)[-1].removesuffix(".toml")
    counts = document.get("counts", {})
    weights = document.get("weights") or STEADY.weights
    return Rubric(
        name=document.get("name", stem or "a rubric of its own").strip(),
        about=document.get("about", "").strip(),
        pass_mark=float(document.get("pass_mark", STEADY.pass_mark)),
        least_played=float(document.get("least_played", STEADY.least_played)),
        strictness=float(document.get("strictness", STEADY.strictness)),
        counts=frozenset(one for one in COUNTABLE if counts.get(one, True)),
        weights={part: float(weights.get(part, 0.0)) for part in PARTS},
        **{key: float(number) for key, number in document.get("tolerances", {}).items()},
    )


def _wrong(document: Mapping[str, Any]) -> Iterator[tuple[tuple[str, str], str, str]]:
    """Every mistake: table and key, what is wrong, what was probably meant."""
    for key, value in document.items():
        if key in TABLES:
            yield from _wrong_table(key, value)
        elif key not in TOP:
            yield ("", key), f"a rubric has no `{key}`", _near(key, [*TOP, *TABLES])
        elif not TOP[key].fits(value):
            yield ("", key), f"`{key}` must be {TOP[key].wanted}", ""


def _wrong_table(table: str, value: Any) -> Iterator[tuple[tuple[str, str], str, str]]:
    known = TABLES[table]
    if not isinstance(value, dict):
        yield ("", table), f"`{table}` is a table: write `[{table}]` and its keys below it", ""
        return
    for key, one in value.items():
        if key not in known:
            yield (table, key), f"[{table}] has no `{key}`", _near(key, known)
        elif not known[key].fits(one):
            yield (table, key), f"`{key}` must be {known[key].wanted}", ""
    if table != "weights":
        return
    left_out = [
        f"`{part}`" for part in AS_RECKONED if part not in value and not PARTS[part].by_choice
    ]
    if left_out:
        yield ("", table), f"[weights] must also name {', '.join(left_out)}", ""
    elif all(value.get(part, 0) == 0 for part in PARTS):
        yield ("", table), "in [weights] something must weigh more than 0", ""


def _near(key: str, known: Any) -> str:
    from difflib import get_close_matches

    near = get_close_matches(key.casefold().replace("-", "_"), list(known), n=1, cutoff=0.6)
    return f"did you mean `{near[0]}`?" if near else f"there are: {', '.join(known)}"


def _places(lines: list[str]) -> Places:
    """Line and column, from 1, of every table and key as they are ordinarily written."""
    found: Places = {}
    table = ""
    for number, line in enumerate(lines, start=1):
        if head := _TABLE.match(line):
            table = _plain(head[1])
            found.setdefault(("", table), (number, head.start(1) + 1))
        elif row := _KEY.match(line):
            column, parts = row.start(1) + 1, [_plain(part) for part in row[1].split(".")]
            place = (number, column)
            if len(parts) == 2 and not table:
                found.setdefault((parts[0], parts[1]), place)
            found.setdefault((table, parts[0]), place)
    return found


def _plain(name: str) -> str:
    return name.strip().strip("\"'")


def _no_toml(told: str, lines: list[str], file: str) -> Mistake:
    """The reader's own message, brought to its place."""
    place = _PLACE.search(told)
    line, column = max(len(lines), 1), 1
    if place and place[1]:
        line, column = int(place[1]), int(place[2])
    message = _PLACE.sub("", told)
    source = lines[line - 1] if line <= len(lines) else ""
    return Mistake(
        file, line, column, source, f"this is not TOML: {message[:1].lower()}{message[1:]}"
    )
