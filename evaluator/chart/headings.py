"""What does the heading of a section say?

`[NAME] options`, each option a word from a table and what it takes.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from evaluator.chart import values
from evaluator.chart.graph import Meter
from evaluator.chart.header import unknown_pattern
from evaluator.chart.lines import TextLine
from evaluator.chart.mistakes import Mistakes, did_you_mean
from evaluator.chart.model import Count
from evaluator.chart.values import RefusedError
from evaluator.theory.pitch import Key, parse_key

_HEADING = re.compile(r"\s*\[([^\]]*)\](.*)")


@dataclass(frozen=True, slots=True)
class Heading:
    """The first line of a section."""

    name: str
    line: int
    column: int
    pattern: str | None = None
    meter: Meter | None = None
    key: Key | None = None
    tempo: float | None = None
    optional: bool = False
    tail: Count | None = None

    @property
    def folded(self) -> str:
        """What two headings of one name share: capitals do not part them."""
        return self.name.casefold()


def _key(text: str) -> Key:
    return values.from_theory(parse_key, text, "write key D major or key E minor")


_OPTIONS: Mapping[str, Callable[[str], Any]] = {
    "pattern": str,
    "meter": values.meter,
    "key": _key,
    "tempo": values.tempo,
    "tail": values.count,
}
_EXAMPLES = {
    "pattern": "pattern stroll",
    "meter": "meter 3/4",
    "key": "key D major",
    "tempo": "tempo 80",
    "tail": "tail x3",
}
_NAMES = (*_OPTIONS, "optional")


def read_heading(line: TextLine, patterns: Sequence[str], mistakes: Mistakes) -> Heading:
    """The heading in a line that begins with `[`. What is wrong is noted and left out."""
    found = _HEADING.fullmatch(line.text)
    if not found:
        name = line.text.strip(" \t[") or "Verse"
        mistakes.add(line.number, line.column(), "the heading is not closed", f"write [{name}]")
        return Heading(name, line.number, line.column())
    name = " ".join(found[1].split())
    if not name:
        mistakes.add(line.number, line.column(), "the section has no name", "write [Verse 1]")
    words = list(re.finditer(r"\S+", line.text[found.start(2) :]))
    given: dict[str, Any] = {}
    while words:
        option, taken = _take(words)
        column = found.start(2) + option.start() + 1
        word = option[0].casefold()
        if word in given:
            mistakes.add(line.number, column, f"`{word}` is given twice")
        elif word not in _NAMES:
            hint = did_you_mean(word, _NAMES) or f"options are {', '.join(_NAMES)}"
            mistakes.add(line.number, column, f"`{option[0]}` is not an option", hint)
            taken = []
        else:
            value_column = found.start(2) + taken[0].start() + 1 if taken else column
            text = " ".join(part[0] for part in taken)
            given[word] = _value(word, text, (line.number, value_column), patterns, mistakes)
        words = words[1 + len(taken) :]
    return Heading(name or "?", line.number, line.column(), **given)


def _take(words: list[re.Match[str]]) -> tuple[re.Match[str], list[re.Match[str]]]:
    """The next option and the words that belong to it; a key may have two."""
    option, *rest = words
    word = option[0].casefold()
    wanted = 0 if word == "optional" else 2 if word == "key" else 1
    taken: list[re.Match[str]] = []
    for candidate in rest[:wanted]:
        if candidate[0].casefold() in _NAMES:
            break
        taken.append(candidate)
    return option, taken


def _value(
    word: str, text: str, place: tuple[int, int], patterns: Sequence[str], mistakes: Mistakes
) -> Any:
    """The value of a known option; what stands for none where it is wrong."""
    if word == "optional":
        return True
    if not text:
        mistakes.add(*place, f"`{word}` says nothing", f"write {_EXAMPLES[word]}")
        return None
    if word == "pattern":
        if text in patterns:
            return text
        unknown_pattern(text, patterns, place, mistakes)
        return None
    try:
        return _OPTIONS[word](text)
    except RefusedError as refused:
        line, column = place
        mistakes.add(line, column + refused.offset, refused.message, refused.suggestion)
        return None
