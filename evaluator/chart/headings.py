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
from evaluator.chart.mistakes import Mistakes, Place, did_you_mean
from evaluator.chart.model import Count
from evaluator.chart.values import FREE, RefusedError
from evaluator.theory.pitch import Key, parse_key

_HEADING = re.compile(r"\s*\[([^\]]*)\](.*)")


@dataclass(frozen=True, slots=True)
class Heading:
    """The first line of a section."""

    name: str
    line: int
    column: int
    pattern: str | None = None
    other_patterns: tuple[str, ...] = ()
    """Those that may be played instead, one of them all through."""
    meter: Meter | None = None
    key: Key | None = None
    tempo: float | None = None
    optional: bool = False
    end: bool = False
    """Its last bar is struck once and held."""
    tail: Count | None = None

    @property
    def folded(self) -> str:
        """What two headings of one name share: capitals do not part them."""
        return self.name.casefold()


def _key(text: str) -> Key:
    return values.from_theory(parse_key, text, "write key D major or key E minor")


def _end(text: str) -> bool:
    if text.casefold() != "held":
        raise RefusedError(f"`end {text}` is not known", "write end held: the last bar is held")
    return True


_OPTIONS: Mapping[str, tuple[Callable[[str], Any], str]] = {
    "pattern": (str, "stroll"),
    "meter": (values.meter, "3/4"),
    "key": (_key, "D major"),
    "tempo": (values.tempo, "80"),
    "tail": (values.count, "x3"),
    "end": (_end, "held"),
}
"""What reads each option's value, and one that can be read."""
_IN_NAME = re.compile(r"[^\s(),;:]+")
_TIMES = re.compile(r"x(\d\S*)|(\d+)x", re.I)
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
            given[word] = _value(word, text, Place(line.number, value_column), patterns, mistakes)
        words = words[1 + len(taken) :]
    if patterns_named := given.get("pattern"):
        given["pattern"], *given["other_patterns"] = patterns_named
        given["other_patterns"] = tuple(given["other_patterns"])
    return Heading(name or "?", line.number, line.column(), **given)


def option_in_name(name: str, patterns: Sequence[str]) -> tuple[str, str] | None:
    """What to say of a name that holds an option, as in `[Solo optional]`, and what to write.

    Words that are names as well (`[Key change]`, `[End]`) are options only with a value.
    """
    words = [word for word in _IN_NAME.finditer(name) if word[0] not in "-–—"]
    for place in range(len(words)):
        option, taken = _take(words[place:])
        given = " ".join(part[0] for part in (option, *taken))
        rest = " ".join(word[0] for word in words if word not in (option, *taken))
        if rest and _is_option(option[0].casefold(), given, patterns):
            message = f"`{given}` stands in the name of the section, so it is not an option"
            return message, f"put it behind the bracket: [{rest}] {given}"
    for word in words:
        rest = " ".join(other[0] for other in words if other is not word)
        if rest and (times := _TIMES.fullmatch(word[0])):
            count = f"x{times[1] or times[2]}"
            return (
                f"`{word[0]}` stands in the name of the section and repeats nothing",
                f"write [{rest}] once more for each further time; "
                f"[{rest}] tail {count} is for its last line alone",
            )
    return None


def _is_option(word: str, given: str, patterns: Sequence[str]) -> bool:
    if word == "optional":
        return True
    if word not in _OPTIONS or word == given.casefold():
        return False
    mistakes = Mistakes("", ())
    value = _value(word, given.partition(" ")[2], Place(1, 1), patterns, mistakes)
    return bool(value)


def _take(words: list[re.Match[str]]) -> tuple[re.Match[str], list[re.Match[str]]]:
    """The next option and the words that belong to it; a key may have two, patterns more."""
    option, *rest = words
    word = option[0].casefold()
    wanted = 0 if word == "optional" else 2 if word == "key" else 1
    if word == "pattern":
        while [one[0].casefold() for one in rest[wanted : wanted + 1]] == ["or"]:
            wanted += 2
    taken: list[re.Match[str]] = []
    for candidate in rest[:wanted]:
        if candidate[0].casefold() in _NAMES:
            break
        taken.append(candidate)
    return option, taken


def _value(word: str, text: str, place: Place, patterns: Sequence[str], mistakes: Mistakes) -> Any:
    """The value of a known option; what stands for none where it is wrong."""
    if word == "optional":
        return True
    read, example = _OPTIONS[word]
    if not text:
        mistakes.add(*place, f"`{word}` needs a value", f"write {word} {example}")
        return None
    if word == "pattern":
        return _patterns(text, place, patterns, mistakes)
    try:
        return read(text)
    except RefusedError as refused:
        line, column = place
        mistakes.add(line, column + refused.offset, refused.message, refused.suggestion)
        return None


def _patterns(
    text: str, place: Place, patterns: Sequence[str], mistakes: Mistakes
) -> tuple[str, ...]:
    """`stroll`, `stroll or rise`, or `free`: the names, none where one is wrong."""
    named = re.split(r"\s+or\s+", text, flags=re.I)
    if [name.casefold() for name in named] == [FREE]:
        return (FREE,)
    line, column = place
    for name in named:
        if name.casefold() in (FREE, "or") or name.casefold().endswith(" or"):
            message, hint = (
                f"`pattern {text}` is not a choice",
                "write pattern A or B, or pattern free",
            )
            mistakes.add(line, column, message, hint)
            return ()
        if name not in patterns:
            unknown_pattern(name, patterns, Place(line, column + text.index(name)), mistakes)
            return ()
    return tuple(dict.fromkeys(named))
