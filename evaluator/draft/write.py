"""How is a draft written as a chart that a teacher corrects?

Every doubt is a comment above what it is about. A section that comes again as it was is only
named again; bars alike at the end of a section are its tail, with their number, so that a
chorus that ends otherwise needs a word and no bars. A line that was otherwise in one of three
playings or more is an `or` line; where two differ, nobody can say which is the usual one.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

from evaluator.chart.graph import Meter
from evaluator.chart.typed import NO_CHORD, as_name, as_words, pattern_rows, signs
from evaluator.draft.model import Draft, DraftBar, DraftLine, DraftSection

BARS_A_LINE = 8
"""A longer line is broken, evenly."""
_PLAYINGS = 3
"""Playings of a section of which one may be the odd one."""


def write_draft(draft: Draft, *, in_full: bool = False) -> str:
    """The text of a chart that reads without mistakes; `in_full` has no `or` lines, so that its
    bars are those of the draft one by one."""
    sure, bars = draft.sure
    rows = [f"# A draft, to be corrected: {sure} of {bars} bars are sure."]
    rows += [f"title: {as_name(draft.title) or 'Song'}"]
    rows += [f"by:    {by}"] if (by := as_name(draft.by)) else []
    rows += [f"key:   {draft.key.tonic.text} {draft.key.mode}"] if draft.key else []
    rows += [
        f"meter: {draft.meter}",
        f"tempo: {'' if draft.tempo_stated else 'about '}{draft.tempo:g}",
    ]
    rows += [f"feel:  swing {draft.swing}"] if draft.swing else []
    rules = ", ".join(f"{rule.chord.name} = {rule.note.text}" for rule in draft.rules)
    rows += [f"bass:  {rules}"] if rules else []
    rows += _comments(draft.remarks)
    for pattern in draft.patterns:
        rows += ["", f"pattern {pattern.name}"]
        rows += pattern_rows(pattern.left, pattern.right, draft.meter)
    for block in _blocks(draft, in_full=in_full):
        rows += ["", *block]
    return "\n".join(rows) + "\n"


def _comments(remarks: Sequence[str]) -> Iterator[str]:
    for remark in dict.fromkeys(remarks):
        yield f"# {as_name(remark)}"


@dataclass(frozen=True, slots=True)
class _Body:
    """What a chart writes under a heading."""

    lines: tuple[DraftLine, ...]
    tail: int | None
    """Times that the last line comes, where it is a tail."""
    others: Mapping[int, tuple[DraftLine, str]] = field(default_factory=dict)
    """For the number of a line another that was played for it once, and in which playing."""

    @property
    def bars(self) -> object:
        """What is played but for the number of the tail."""
        last = len(self.lines) - 1
        return [
            (_signs(line), 0 if self.tail and place == last else line.count)
            for place, line in enumerate(self.lines)
        ]


def _blocks(draft: Draft, *, in_full: bool) -> Iterator[list[str]]:
    written: dict[str, list[_Body]] = {}
    bodies = _bodies(draft.sections)
    if not in_full:
        bodies = _with_others(bodies, [_heading(section.name) for section in draft.sections])
    usual = draft.patterns[0].name if draft.patterns else None
    for section, body in zip(draft.sections, bodies, strict=True):
        name = _heading(section.name)
        options = [] if section.pattern in (None, usual) else [f"pattern {section.pattern}"]
        known = written.setdefault(name.casefold(), [])
        comments = list(_comments(section.remarks))
        words = [line.words for line in body.lines]
        if known and all(one.bars == body.bars for one in known) and not _new_words(known, words):
            if body.tail and body.tail != known[-1].tail:
                options.append(f"tail x{body.tail}")
            yield [*comments, " ".join([f"[{name}]", *options])]
            continue
        known.append(body)
        yield [*comments, " ".join([f"[{name}]", *options]), *_lines(body, draft.meter)]


def _bodies(sections: Sequence[DraftSection]) -> list[_Body]:
    """What each playing writes; one bar alone is a tail where another playing has more of it."""
    bodies = [_with_tail(section) for section in sections]
    names = [_heading(section.name).casefold() for section in sections]
    tailed = {name for name, body in zip(names, bodies, strict=True) if (body.tail or 1) > 1}
    return [
        body if name in tailed or body.tail != 1 else replace(body, tail=None)
        for name, body in zip(names, bodies, strict=True)
    ]


def _with_others(bodies: Sequence[_Body], names: Sequence[str]) -> list[_Body]:
    """The playings of each section, a line that is otherwise in one of them as an `or` line."""
    found = list(bodies)
    for name in dict.fromkeys(name.casefold() for name in names):
        places = [place for place, one in enumerate(names) if one.casefold() == name]
        lengths = {len(bodies[place].lines) for place in places}
        if len(places) < _PLAYINGS or len(lengths) > 1:
            continue
        for number in range(lengths.pop()):
            odd = _odd_one([bodies[place] for place in places], number)
            if odd is None:
                continue
            usual = bodies[places[odd - 1]].lines[number]  # any other; the last for the first
            other = (bodies[places[odd]].lines[number], f"{names[places[odd]]} {odd + 1}")
            for place in places:
                lines = list(found[place].lines)
                lines[number] = replace(usual, words=lines[number].words)
                others = {**found[place].others, number: other}
                found[place] = replace(found[place], lines=tuple(lines), others=others)
    return found


def _odd_one(bodies: Sequence[_Body], number: int) -> int | None:
    """Which of some playings has other chords in a line than all others, bar for bar; None where
    none or more have. A line that is longer once is no choice: that playing stands for itself."""
    if any(
        (body.tail is not None and number == len(body.lines) - 1)
        or len(body.lines[number].bars) > BARS_A_LINE
        for body in bodies
    ):
        return None
    played = [body.lines[number] for body in bodies]
    if len({(line.count, *(bar.meter for bar in line.bars)) for line in played}) > 1:
        return None
    lines = [_signs(line) for line in played]
    odd = [place for place, line in enumerate(lines) if lines.count(line) == 1]
    return odd[0] if len(odd) == 1 and lines.count(lines[odd[0] - 1]) == len(lines) - 1 else None


def _new_words(known: Sequence[_Body], words: list[str]) -> bool:
    return any(words) and [line.words for line in known[-1].lines] != words


def _heading(name: str) -> str:
    return " ".join(as_name(name).translate({ord("["): None, ord("]"): None}).split()) or "Part"


def _with_tail(section: DraftSection) -> _Body:
    """The lines, bars alike at the end taken together where they end a longer section."""
    lines = section.lines
    if not lines:
        return _Body(lines, None)
    last = lines[-1]
    if len(last.bars) > 1 and last.count == 1:
        *_, group = [list(bars) for _, bars in groupby(last.bars, key=_sign)]
        before = last.bars[: len(last.bars) - len(group)]
        if len(group) > 1 and _sign(group[0]) == _sign(group[-1]):
            whole = () if not before else (replace(last, bars=before),)
            tail = DraftLine((group[0],), "" if before else last.words, len(group))
            lines = (*lines[:-1], *whole, tail)
    last = lines[-1]
    return _Body(lines, last.count if len(last.bars) == 1 and len(lines) > 1 else None)


def _sign(bar: DraftBar) -> object:
    return bar.meter, bar.spans


def _signs(line: DraftLine) -> list[object]:
    return [_sign(bar) for bar in line.bars]


def _lines(body: _Body, meter: Meter) -> Iterator[str]:
    for number, line in enumerate(body.lines):
        tail = body.tail is not None and number == len(body.lines) - 1
        yield from _comments([*line.remarks, *_doubts(line)])
        parts = _broken(line.bars)
        for place, bars in enumerate(parts):
            count = f" x{line.count}" if (tail or line.count > 1) and len(parts) == 1 else ""
            yield f"| {' | '.join(_bar(bar, meter) for bar in bars)} |{count}"
            if place == 0 and line.words:
                yield f"  {as_words(line.words)}"
        if number in body.others:
            other, playing = body.others[number]
            yield from _comments([f"played so in {playing} alone", *_doubts(other)])
            count = f" x{other.count}" if other.count > 1 else ""
            yield f"or | {' | '.join(_bar(bar, meter) for bar in other.bars)} |{count}"


def _doubts(line: DraftLine) -> Iterator[str]:
    """Doubts about bars of a line, the same one once with its bars."""
    said: dict[str, list[int]] = {}
    for number, bar in enumerate(line.bars, 1):
        for doubt in bar.doubts:
            said.setdefault(doubt, []).append(number)
    for doubt, numbers in said.items():
        if len(numbers) == len(line.bars):
            yield doubt
        else:
            places = ", ".join(map(str, numbers))
            yield f"bar {places} of this line: {doubt}"


def _broken(bars: Sequence[DraftBar]) -> list[Sequence[DraftBar]]:
    rows = -(-len(bars) // BARS_A_LINE)
    size = -(-len(bars) // rows) if rows else 1
    return [bars[place : place + size] for place in range(0, len(bars), size)]


def _bar(bar: DraftBar, meter: Meter) -> str:
    own = f"{bar.meter}: " if bar.meter != meter else ""
    names = []
    for span in bar.spans:
        name = span.chord.text if span.chord else NO_CHORD
        name = f"<{name}>" if span.held else name
        names.append(" ".join([name, *(f"({colour.text})" for colour in span.colours)]))
    return own + signs(names, [span.beats for span in bar.spans])
