"""What is kept, as far as it can be read?

A reader writes nothing, not even where a file is damaged: rows that cannot be had are passed
over, and where the list of the tables is what is damaged, the rest is read by that of a new
file.
"""

import sqlite3
from collections.abc import Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final
from urllib.parse import quote

from evaluator.history import layout, practised
from evaluator.history.entry import Entry
from evaluator.history.layout import is_ours, version
from evaluator.history.new_head import with_new_head
from evaluator.history.practised import Practised
from evaluator.history.rows import COLUMNS, entry_from
from evaluator.history.trouble import COMPLAINTS, DamagedError, HistoryError, code, is_broken, told

WAIT_SECONDS: Final = 10.0
"""For another writer: each of them needs a few milliseconds."""
MOST: Final = 20_000
"""Entries that are looked for one by one in a file of which the end is damaged."""

Rows = Sequence[tuple[object, ...]]
Whose = tuple[str | None, str | None]
"""Hash of a chart, and a student; None for every one."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What is kept, as far as it can be read."""

    entries: tuple[Entry, ...]
    odd: int = 0
    """Entries that say nothing that could be understood."""
    damaged: bool = False
    """Whether parts of the file could not be read at all."""
    practised: tuple[Practised, ...] = ()
    """Rounds of practising, as they began."""


def entries(
    file: Path, *, chart: str | None = None, student: str | None = None
) -> tuple[Entry, ...]:
    """What `read` could read."""
    return read(file, chart=chart, student=student).entries


def read(file: Path, *, chart: str | None = None, student: str | None = None) -> Reading:
    """What is kept, in the order of playing; none where there is no file.

    Raises `HistoryError` where nothing can be read.
    """
    if not file.exists():
        return Reading(())
    with told(file):
        try:
            return _as_it_is(file, (chart, student))
        except COMPLAINTS as error:
            if not is_broken(error):
                raise
        return _with_new_head(file, (chart, student))


def _as_it_is(file: Path, whose: Whose) -> Reading:
    with closing(_for_reading(file)) as connection:
        check_version(connection, file)
        if not is_ours(connection):
            return _with_new_head(file, whose)
        if not version(connection):
            return Reading(())
        return _found(connection, whose)


def _with_new_head(file: Path, whose: Whose) -> Reading:
    """Raises `DamagedError` if nothing at all comes to light."""
    with closing(with_new_head(_bytes_of(file))) as connection:
        everything = _found(connection, (None, None))
        if not everything.entries and not everything.practised:
            raise DamagedError(file)
        return replace(_found(connection, whose), damaged=True)


def _found(connection: sqlite3.Connection, whose: Whose) -> Reading:
    takes, damaged = _rows(connection, "grade", COLUMNS, whose)
    rounds, also = _rows(connection, "practised", practised.COLUMNS, whose)
    found = [entry_from(row) for row in takes]
    whole = sorted((one for one in found if one is not None), key=lambda one: one.played_at)
    known = [practised.practised_from(row) for row in rounds]
    begun = sorted((one for one in known if one is not None), key=lambda one: one.began_at)
    odd = len(found) - len(whole) + len(known) - len(begun)
    return Reading(tuple(whole), odd, damaged or also, tuple(begun))


def _bytes_of(file: Path) -> bytes:
    """Of the database, what still stands in its write-ahead log included."""
    with (
        suppress(*COMPLAINTS),
        closing(_for_reading(file)) as connection,
        closing(sqlite3.connect(":memory:")) as copy,
    ):
        connection.backup(copy)
        return copy.serialize()
    return file.read_bytes()


def _rows(
    connection: sqlite3.Connection, table: str, columns: Sequence[str], whose: Whose
) -> tuple[Rows, bool]:
    """The rows in the order they came, and whether some could not be had.

    `columns` but for the first, which stands for those of the chart.
    """
    connection.text_factory = lambda raw: raw.decode(errors="replace")
    # An older file that is only read has not every column, nor every table.
    there = {row[1] for row in connection.execute(f"PRAGMA table_info({table})")}
    if not there:
        return [], False
    where, values = chosen(table, *whose)
    fields = ", ".join(f"{table}.{name}" if name in there else "NULL" for name in columns[1:])
    select = (  # the tables alone: an index may be damaged where they are not
        f"SELECT chart.hash, chart.title, chart.file, chart.bars, {fields} FROM {table} NOT INDEXED"
        f" JOIN chart NOT INDEXED ON chart.id = {table}.chart{where}"
    )
    try:
        return connection.execute(f"{select} ORDER BY {table}.id", values).fetchall(), False
    except sqlite3.DatabaseError as error:
        if not is_broken(error):
            raise
    found = []
    one_by_one = f"{select} {'AND' if values else 'WHERE'} {table}.id = ?"
    for number in range(1, _last(connection, table) + 1):
        with suppress(sqlite3.DatabaseError):
            found += connection.execute(one_by_one, [*values, str(number)]).fetchall()
    return found, True


def _last(connection: sqlite3.Connection, table: str) -> int:
    """The highest number that an entry can have."""
    try:
        # Damage may have made it any number.
        return min(int(connection.execute(f"SELECT max(id) FROM {table}").fetchone()[0] or 0), MOST)
    except sqlite3.DatabaseError:
        return MOST


def chosen(table: str, chart: str | None, student: str | None) -> tuple[str, list[str]]:
    """The condition for a chart (by its hash) and a student, and its values."""
    terms = [
        (term, value)
        for term, value in (("chart.hash = ?", chart), (f"{table}.student = ?", student))
        if value is not None
    ]
    words = " AND ".join(term for term, _ in terms)
    return (f" WHERE {words}" if terms else ""), [value for _, value in terms]


def check_version(connection: sqlite3.Connection, file: Path) -> None:
    """Raises `HistoryError` for a file that a newer version of the program wrote."""
    if version(connection) > len(layout.MIGRATIONS):
        raise HistoryError(
            f"The history in {file} was written by a newer version of this program; "
            "update the program to use it."
        )


def _for_reading(file: Path) -> sqlite3.Connection:
    """Without the wish to write; even where the disk allows nothing else."""
    for mode in ("mode=ro", "immutable=1"):
        address = f"file:{quote(str(file.absolute()))}?{mode}"
        connection = sqlite3.connect(address, uri=True, timeout=WAIT_SECONDS)
        try:
            connection.execute("PRAGMA user_version")
            return connection
        except sqlite3.OperationalError as error:
            connection.close()
            if mode == "immutable=1" or code(error) not in (
                sqlite3.SQLITE_CANTOPEN,
                sqlite3.SQLITE_READONLY,
            ):
                raise
        except sqlite3.DatabaseError:
            connection.close()
            raise
    raise AssertionError("every way either opens the file or raises")
