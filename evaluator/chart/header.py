"""What holds for the whole song?

The lines `name: value` above the first section. Every name has one reader, in a table;
a name that is not in it is a mistake, never passed over.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from evaluator.chart import values
from evaluator.chart.bare_row import with_bar_lines
from evaluator.chart.graph import Meter
from evaluator.chart.lines import TextLine
from evaluator.chart.mistakes import Mistakes, Place, did_you_mean
from evaluator.chart.model import BassRule, Header
from evaluator.chart.values import FREE, RefusedError
from evaluator.theory.pitch import parse_key, parse_note

_NAMED = re.compile(r"\s*([A-Za-z][A-Za-z _-]*?)\s*:\s*(.*)")
_RULE = re.compile(r"\s*(.*?)\s*=\s*(.*?)\s*")


def _title(text: str) -> str:
    if not text:
        raise RefusedError("the title is empty", "write the song's name: title: ...")
    return text


def _key(text: str) -> object:
    return values.from_theory(parse_key, text, "write D major or E minor")


_READERS: Mapping[str, Callable[[str], object]] = {
    "title": _title,
    "by": str,
    "key": _key,
    "meter": values.meter,
    "tempo": values.song_tempo,
    "feel": values.feel,
    "pattern": str,
}
COMMON_TIME = Meter(4, 4)
NAMES = (*_READERS, "bass")
_OTHER_WORDS = {"time": "meter", "bpm": "tempo", "song": "title", "artist": "by"}
"""What other sheets call the same."""
_FIELDS = {"feel": "swing"}
_REQUIRED = {"title": "title: ...", "tempo": "tempo: 96"}


def header_name(text: str) -> str | None:
    """Which header line this would be above the first section."""
    found = _NAMED.match(text)
    name = found[1].casefold() if found else ""
    return name if name in NAMES else None


def read_header(lines: Sequence[TextLine], patterns: Sequence[str], mistakes: Mistakes) -> Header:
    """The header of the lines above the first section, the patterns taken out.

    `patterns` are the names of the patterns that the chart defines; the first is the
    default. What is wrong is noted; a stand-in then keeps the rest readable.
    """
    given: dict[str, Any] = {}
    for line in lines:
        found = _NAMED.match(line.text)
        name = found[1].casefold() if found else ""
        if not found or name not in NAMES:
            _not_known(found, line, mistakes)
        elif name in given:
            mistakes.add(line.number, line.column(), f"`{name}` is given twice")
        else:
            given[name] = _value(name, found[2], line, found.start(2), mistakes)
            if name == "pattern" and given[name] not in (*patterns, FREE):
                column = line.column(found.start(2))
                unknown_pattern(found[2], patterns, Place(line.number, column), mistakes)
                given[name] = None
    for name, remedy in _REQUIRED.items():
        if name not in given:
            mistakes.add(1, 1, f"the chart has no {name}", f"write a line `{remedy}`")
    stand_ins: dict[str, Any] = {
        "title": "",
        "tempo": values.SongTempo(100.0),
        "meter": COMMON_TIME,
        "pattern": patterns[0] if patterns else None,
    }
    fields = {_FIELDS.get(name, name): value for name, value in given.items() if value is not None}
    known = stand_ins | fields
    pace: values.SongTempo = known.pop("tempo")
    return Header(**known, tempo=pace.bpm, tempo_stated=pace.stated)


def _not_known(found: re.Match[str] | None, line: TextLine, mistakes: Mistakes) -> None:
    if found:
        message = f"`{found[1]}` is not a header name"
        meant = _OTHER_WORDS.get(found[1].casefold(), found[1])
        hint = did_you_mean(meant, NAMES) or f"known are {', '.join(NAMES)}"
    else:
        message = "this is not a header line"
        hint = "above the first section write `name: value`, `pattern NAME` or # a comment"
        if barred := with_bar_lines(line.text):
            hint = f"write a heading above the chords, [Verse], and | between the bars: {barred}"
    mistakes.add(line.number, line.column(), message, hint)


def unknown_pattern(name: str, patterns: Sequence[str], place: Place, mistakes: Mistakes) -> None:
    """Note that the chart defines no pattern of that name."""
    known = f"the chart has {', '.join(dict.fromkeys(patterns))}" if patterns else ""
    hint = did_you_mean(name, patterns) or known or "the chart defines no pattern"
    mistakes.add(*place, f"there is no pattern `{name}`", hint)


def _value(name: str, text: str, line: TextLine, offset: int, mistakes: Mistakes) -> object:
    if name == "bass":
        return _bass_rules(text, line, offset, mistakes)
    try:
        return _READERS[name](text)
    except RefusedError as refused:
        column = offset + refused.offset + 1
        mistakes.add(line.number, column, refused.message, refused.suggestion)
        return None


def _bass_rules(text: str, line: TextLine, offset: int, mistakes: Mistakes) -> tuple[BassRule, ...]:
    rules: list[BassRule] = []
    for part in text.split(","):
        column = line.column(offset)
        try:
            rule = _bass_rule(part, line.number, column)
            if any(rule.chord == earlier.chord for earlier in rules):
                raise RefusedError(f"`{rule.chord.text}` has two bass rules")
            rules.append(rule)
        except RefusedError as refused:
            mistakes.add(line.number, column + refused.offset, refused.message, refused.suggestion)
        offset += len(part) + 1
    return tuple(rules)


def _bass_rule(text: str, line: int, column: int) -> BassRule:
    found = _RULE.fullmatch(text)
    if not found:
        raise RefusedError("a bass rule is `CHORD = NOTE`", "write for example A = C#")
    chord = values.chord(found[1])
    if chord.bass:
        raise RefusedError(
            f"`{found[1]}` has a bass of its own, so no rule can apply to it",
            f"write the rule for `{chord.without_bass().text}`",
        )
    return BassRule(
        chord, values.from_theory(parse_note, found[2], "a note is A-G, # or b"), line, column
    )
