"""Whose take is this?

By the file's name, `Anna Appleby - kettle lane, second try.mid`, the student is what
stands before ` - `; without that, the name without its ending. A roster, a table with the
columns `pattern` and `name`, goes before that: its first pattern that fits the file decides.
Patterns are those of a command line (`*`, `?`, `[ab]`); capitals do not matter; one with a
`/` in it must fit the end of the file's path, so a folder a student can be named.
"""

import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import PurePath
from typing import Final
from unicodedata import normalize

from evaluator.errors import RosterError
from evaluator.errors.mistake import Mistake

COLUMNS: Final = ("pattern", "name")
SEPARATORS: Final = ",;\t"
"""Between columns; spreadsheets in many countries write the second."""
LONGEST: Final = 200
"""Characters of a name."""
_DASH: Final = re.compile(r"\s+[-–—]\s+")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a roster."""

    pattern: str
    name: str


Roster = tuple[Row, ...]


def student_of(path: str, roster: Sequence[Row] = ()) -> str:
    """The student's name for a file; composed letters, so that it is the same on any system."""
    pure = PurePath(normalize("NFC", path).replace("\\", "/"))
    for row in roster:
        if _fits(pure, row.pattern):
            return row.name
    name = _DASH.split(pure.stem, maxsplit=1)[0]
    return " ".join(name.split()) or pure.stem or path


def _fits(path: PurePath, pattern: str) -> bool:
    wanted = normalize("NFC", pattern).casefold().replace("\\", "/")
    depth = wanted.count("/") + 1
    return fnmatchcase("/".join(path.parts[-depth:]).casefold(), wanted)


def read_roster(text: str, *, file: str = "") -> Roster:
    """The rows of a roster. Raises `RosterError` with every mistake."""
    text = text.removeprefix("\N{BYTE ORDER MARK}")
    lines = text.splitlines()
    head = next((line for line in lines if line.strip()), "")
    separator = max(SEPARATORS, key=head.count)
    rows = list(_rows(text, separator, file))
    if not rows:
        raise RosterError((Mistake(file, 1, 1, "", "the roster is empty", _HOW),))
    first, titles = rows[0]
    columns = [title.strip().casefold() for title in titles]
    lacking = [f"`{column}`" for column in COLUMNS if column not in columns]
    if lacking:
        message = f"the first line names no column {' and no '.join(lacking)}"
        raise RosterError((Mistake(file, first, 1, _line(lines, first), message, _HOW),))
    places = [columns.index(column) for column in COLUMNS]
    known: dict[str, Row] = {}  # by pattern, capitals or not
    mistakes: list[Mistake] = []
    for number, cells in rows[1:]:
        pattern, name = (cells[place].strip() if place < len(cells) else "" for place in places)
        wrong = _wrong(pattern, name, known)
        if wrong:
            mistakes.append(Mistake(file, number, 1, _line(lines, number), wrong))
        else:
            known[pattern.casefold()] = Row(pattern, normalize("NFC", " ".join(name.split())))
    if mistakes:
        raise RosterError(tuple(mistakes))
    return tuple(known.values())


_HOW: Final = "write `pattern,name` first, then a line for each student: `anna*.mid,Anna Appleby`"


def _rows(text: str, separator: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """Rows that are not blank, each with the number of its first line, from 1."""
    import csv  # only a roster needs it

    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    number = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield number, cells
            number = reader.line_num + 1
    except csv.Error as error:
        message = f"this row cannot be read: {error}"
        raise RosterError((Mistake(file, number, 1, "", message),)) from None


def _line(lines: Sequence[str], number: int) -> str:
    return lines[number - 1] if number <= len(lines) else ""


def _wrong(pattern: str, name: str, known: Mapping[str, Row]) -> str:
    if not pattern:
        return "there is no pattern in this row"
    if not name:
        return f"there is no name for `{pattern}`"
    if len(name) > LONGEST:
        return f"a name of {len(name)} letters is too long"
    first = known.get(pattern.casefold())
    if first is not None:
        return f"`{pattern}` is listed twice; the first is for {first.name}"
    return ""
