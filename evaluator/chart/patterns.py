"""What do the hands do in a bar?

A pattern is a first line `pattern NAME [METER]` above the sections and indented rows
`count`, `left`, `right` of one sign a column between bar lines. The count row is for
the reader, and is checked: its numbers must fall where the beats are, which catches
a pattern written for another meter.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import cast

from evaluator.chart import values
from evaluator.chart.graph import HANDS, Meter
from evaluator.chart.lines import TextLine
from evaluator.chart.mistakes import Mistakes, did_you_mean
from evaluator.chart.model import Pattern, Stroke
from evaluator.chart.values import RefusedError

ROWS = ("count", "left", "right")
MOST_COLUMNS = 96
STROKES = (".", "-", "x", "1", "3", "5", "7", "8")
UNEVEN = (Fraction(2, 3), Fraction(4, 3), Fraction(3, 4), Fraction(3, 2))
"""Beats a column where columns and beats do not divide: triplets over two or four
beats, duplets and quadruplets over three."""

_HEAD = re.compile(r"pattern\s+(\S+)(?:\s+(\S.*))?", re.I)
_ROW = re.compile(r"(\s*)(\w+)\s*\|(.*)")
_BASS = re.compile(r"\s*bass\s*:\s*(.*)", re.I)


@dataclass(frozen=True, slots=True)
class Block:
    """The lines of one pattern, first line and rows."""

    name: str
    head: TextLine
    meter: tuple[str, int] | None
    """The meter as written and its offset."""
    rows: tuple[TextLine, ...]


@dataclass(frozen=True, slots=True)
class _Row:
    line: TextLine
    signs: tuple[str, ...]
    columns: tuple[int, ...]
    """Text column of each sign."""


def columns_fit(columns: int, meter: Meter) -> bool:
    """Whether so many columns can share a bar of the meter and keep to its beats."""
    length = Fraction(meter.beats, columns)
    even = columns % meter.beats == 0 or meter.beats % columns == 0
    return columns <= MOST_COLUMNS and (even or length in UNEVEN)


def take_blocks(lines: Sequence[TextLine]) -> tuple[list[Block], list[TextLine]]:
    """Part the lines above the first section into patterns and header lines."""
    blocks: list[Block] = []
    rest: list[TextLine] = []
    place = 0
    while place < len(lines):
        head = _HEAD.fullmatch(lines[place].text)
        if not head:
            rest.append(lines[place])
            place += 1
            continue
        end = place + 1
        while end < len(lines) and lines[end].indented:
            end += 1
        meter = (head[2], head.start(2)) if head[2] else None
        blocks.append(Block(head[1], lines[place], meter, tuple(lines[place + 1 : end])))
        place = end
    return blocks, rest


def read_patterns(blocks: Sequence[Block], meter: Meter, mistakes: Mistakes) -> tuple[Pattern, ...]:
    """The patterns; one without a meter of its own is in `meter`, the chart's."""
    patterns: list[Pattern] = []
    for block in blocks:
        pattern = _read_block(block, meter, mistakes)
        if not pattern:
            continue
        twin = [p for p in patterns if (p.name, p.meter) == (pattern.name, pattern.meter)]
        if twin:
            mistakes.add(
                block.head.number,
                block.head.column(),
                f"pattern `{block.name}` in {pattern.meter} is already defined in line "
                f"{twin[0].line}",
                "give one of them another name or another meter",
            )
        patterns.append(pattern)
    return tuple(patterns)


def _read_block(block: Block, meter: Meter, mistakes: Mistakes) -> Pattern | None:
    head = block.head
    if block.name.casefold() == values.FREE:
        message = (
            f"`{block.name}` means that any rhythm will do, so a pattern cannot have that name"
        )
        mistakes.add(head.number, head.column(), message, "give the pattern another name")
        return None
    if block.meter:
        text, offset = block.meter
        try:
            meter = values.meter(text)
        except RefusedError as refused:
            mistakes.add(head.number, offset + 1, refused.message, refused.suggestion)
            return None
    rows: dict[str, _Row] = {}
    bass: bool = False
    for line in block.rows:
        setting = _BASS.fullmatch(line.text)
        if setting:
            bass = _bass_setting(setting, line, mistakes)
            continue
        row = _read_row(line, rows, mistakes)
        if row:
            rows[row[0]] = row[1]
    if not rows.keys() & {"left", "right"}:
        mistakes.add(
            head.number,
            head.column(),
            f"pattern `{block.name}` has no row for either hand",
            "write indented rows under it: left | x . . . | and right | . x x x |",
        )
        return None
    if not _rows_fit(block.name, rows, meter, mistakes):
        return None
    silent = (".",) * len(next(iter(rows.values())).signs)
    hands = [cast(tuple[Stroke, ...], rows[h].signs if h in rows else silent) for h in ROWS[1:]]
    own_meter = block.meter is not None
    unwritten = next((hand for hand in HANDS if hand not in rows), None)
    return Pattern(block.name, meter, hands[0], hands[1], bass, own_meter, head.number, unwritten)


def _bass_setting(setting: re.Match[str], line: TextLine, mistakes: Mistakes) -> bool:
    if setting[1].casefold() == "as written":
        return True
    mistakes.add(
        line.number,
        setting.start(1) + 1,
        f"`bass: {setting[1]}` is not known in a pattern",
        "write `bass: as written`, or leave the line out",
    )
    return False


def _read_row(
    line: TextLine, earlier: dict[str, _Row], mistakes: Mistakes
) -> tuple[str, _Row] | None:
    found = _ROW.fullmatch(line.text)
    name = found[2].casefold() if found else line.text.split()[0]
    if not found or name not in ROWS:
        mistakes.add(
            line.number,
            line.column(),
            f"`{name}` is not a row of a pattern",
            did_you_mean({"lh": "left", "rh": "right"}.get(name, name), ROWS)
            or "rows are count | ... |, left | ... | and right | ... |",
        )
        return None
    if name in earlier:
        mistakes.add(line.number, line.column(), f"the row `{name}` is given twice")
        return None
    body = found[3].rstrip()
    if not body.endswith("|"):
        mistakes.add(
            line.number, len(line.text), f"the row `{name}` is not closed", "end it with |"
        )
        return None
    if "|" in body[:-1]:
        column = found.start(3) + body.index("|") + 1
        mistakes.add(line.number, column, "a pattern is one bar long", "end the row here")
        return None
    signs = list(re.finditer(r"[^\s|]+", body))
    start = found.start(3)
    row = _Row(line, tuple(s[0] for s in signs), tuple(start + s.start() + 1 for s in signs))
    return (name, row) if _signs_are_known(name, row, mistakes) else None


def _signs_are_known(name: str, row: _Row, mistakes: Mistakes) -> bool:
    if not row.signs:
        mistakes.add(row.line.number, row.line.column(), f"the row `{name}` is empty")
        return False
    if name == "count":
        return True
    good = True
    for sign, column in zip(row.signs, row.columns, strict=True):
        if sign not in STROKES:
            hint = "signs are . x - 1 3 5 7 8"
            if len(sign) > 1 and all(part in STROKES for part in sign):
                hint = f"put spaces between the columns: {' '.join(sign)}"
            mistakes.add(row.line.number, column, f"`{sign}` is not a stroke", hint)
            good = False
    return good


def _rows_fit(name: str, rows: dict[str, _Row], meter: Meter, mistakes: Mistakes) -> bool:
    """Same number of columns in every row, columns that fit the meter, beats in their place."""
    first, *others = rows.items()
    columns = len(first[1].signs)
    good = True
    for row_name, row in others:
        if len(row.signs) != columns:
            mistakes.add(
                row.line.number,
                row.line.column(),
                f"the row `{row_name}` has {len(row.signs)} columns, `{first[0]}` has {columns}",
                "every row of a pattern has the same number of columns",
            )
            good = False
    if not good:
        return False
    if not columns_fit(columns, meter):
        mistakes.add(
            first[1].line.number,
            first[1].columns[0],
            f"{columns} columns do not fit a bar of {meter}",
            f"write {meter.beats} columns, or {2 * meter.beats} for half beats; "
            f"for another meter name it: pattern {name} 3/4",
        )
        return False
    return "count" not in rows or _count_is_true(name, rows["count"], meter, mistakes)


def _count_is_true(name: str, row: _Row, meter: Meter, mistakes: Mistakes) -> bool:
    """The numbers of a count row stand on the beats that they name.

    In 6/8, 9/8 and 12/8 the dotted beats may be counted instead.
    """
    compound = meter.unit == 8 and meter.beats % 3 == 0 and meter.beats > 3
    misplaced = [
        _first_misplaced(row, Fraction(meter.beats, len(row.signs) * group))
        for group in ((1, 3) if compound else (1,))
    ]
    if None in misplaced:
        return True
    place = cast(int, misplaced[0])
    mistakes.add(
        row.line.number,
        row.columns[place],
        f"beat {row.signs[place]} does not belong here in a bar of {meter} "
        f"with {len(row.signs)} columns",
        f"name the meter of the pattern: pattern {name} 3/4",
    )
    return False


def _first_misplaced(row: _Row, beats_a_column: Fraction) -> int | None:
    for place, sign in enumerate(row.signs):
        if sign.isdecimal() and sign != str(place * beats_a_column + 1):
            return place
    return None
