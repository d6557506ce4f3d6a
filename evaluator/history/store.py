"""How are graded takes kept, so that nothing is lost and nothing comes in twice?

One SQLite file. Every writing transaction begins IMMEDIATE: one that begins by reading and
then wants to write is refused at once when another wrote in between, however long it would
wait. The write-ahead log lets readers read while somebody writes; where the file system
cannot have one, the ordinary journal does. FULL synchronisation, since a take graded once
is not graded again. The unique key makes a take that is graded again the same entry.

A file that is no database, or a broken one, is put aside, and what can still be read of it
goes into a new one. A file that a newer version of this program wrote is left alone.
"""

import os
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final, TypeVar
from urllib.parse import quote

from evaluator.errors import EvaluatorError
from evaluator.history import practised
from evaluator.history.aside import delete_asides, put_aside
from evaluator.history.entry import PARTS, Entry, bars_text, loops_text
from evaluator.history.practised import Practised
from evaluator.history.rows import COLUMNS, entry_from
from evaluator.live.rights import PRIVATE, private

Done = TypeVar("Done")

WAIT_SECONDS: Final = 10.0
"""For another writer: each of them needs a few milliseconds."""

MIGRATIONS: Final[tuple[tuple[str, ...], ...]] = (
    (
        "CREATE TABLE chart (id INTEGER PRIMARY KEY, hash TEXT NOT NULL UNIQUE,"
        " title TEXT NOT NULL, file TEXT NOT NULL, bars INTEGER NOT NULL)",
        "CREATE TABLE grade (id INTEGER PRIMARY KEY,"
        " chart INTEGER NOT NULL REFERENCES chart ON DELETE CASCADE,"
        " take TEXT NOT NULL, take_file TEXT NOT NULL, student TEXT NOT NULL,"
        " part TEXT NOT NULL, rubric TEXT NOT NULL, scoring INTEGER NOT NULL,"
        " played_at REAL NOT NULL, graded_at REAL NOT NULL, complete INTEGER NOT NULL,"
        " bpm REAL NOT NULL, overall REAL, chord REAL, bass REAL, rhythm REAL, form REAL,"
        " bars TEXT NOT NULL, findings TEXT NOT NULL,"
        " UNIQUE (chart, take, student, part, rubric, scoring))",
        "CREATE INDEX grade_by_day ON grade (chart, student, played_at)",
    ),
    ("ALTER TABLE grade ADD COLUMN touch REAL",),
    (
        "ALTER TABLE grade ADD COLUMN loops TEXT",
        "CREATE TABLE practised (id INTEGER PRIMARY KEY,"
        " chart INTEGER NOT NULL REFERENCES chart ON DELETE CASCADE, student TEXT NOT NULL,"
        " first INTEGER NOT NULL, last INTEGER NOT NULL, hand TEXT NOT NULL,"
        " began_at REAL NOT NULL, ended_at REAL NOT NULL, bpm INTEGER NOT NULL,"
        " goal INTEGER NOT NULL, times INTEGER NOT NULL, good INTEGER NOT NULL,"
        " in_a_row INTEGER NOT NULL, UNIQUE (chart, student, first, last, hand, began_at))",
    ),
)
"""What leads from each version of the file to the next; version 0 is an empty file."""

TABLES: Final = ("grade", "practised")
MOST: Final = 20_000
"""Entries that are looked for one by one in a file of which the end is damaged."""
BROKEN: Final = (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT)
REASONS: Final = {
    sqlite3.SQLITE_BUSY: "another program has been writing to it for too long",
    sqlite3.SQLITE_LOCKED: "another program has been writing to it for too long",
    sqlite3.SQLITE_READONLY: "it can only be read",
    sqlite3.SQLITE_PERM: "you have no permission",
    sqlite3.SQLITE_FULL: "the disk is full",
    sqlite3.SQLITE_IOERR: "the disk is full, or it cannot be written to",
    sqlite3.SQLITE_CANTOPEN: "it could not be opened",
}


class HistoryError(EvaluatorError):
    """The history cannot be read or written; says why."""


class DamagedError(HistoryError):
    """The file is no history, or not all of it is one."""


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


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What was deleted."""

    takes: int
    asides: int
    """Files that had been put aside because they could not be read."""
    rounds: int = 0
    """Of practising."""


class History:
    """The file, open for writing. Made by `opened`."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self.aside: Path | None = None
        """Where a broken file was put that stood in the way, if one did."""
        try:
            self._connection = _connected(file)
        except DamagedError:
            self._begin_anew()
            return
        if not self._is_sound("quick_check"):  # what is added behind a damage is not found again
            self.close()
            self._begin_anew()

    def close(self) -> None:
        """Let the file go."""
        self._connection.close()

    def keep(self, entry: Entry) -> bool:
        """Add an entry; False if this take of this chart is there already.

        Raises `HistoryError`.
        """
        return self._mended(lambda: self._keep(entry))

    def _keep(self, entry: Entry) -> bool:
        with self._writing():
            chart = self._chart(entry)
            values = (
                *(chart, entry.take, entry.take_file, entry.student, entry.part, entry.rubric),
                *(entry.scoring, entry.played_at, entry.graded_at, entry.complete, entry.bpm),
                *(entry.marks[name] for name in PARTS),
                *(bars_text(entry.bars), " ".join(entry.findings), loops_text(entry.loops)),
            )
            added = self._connection.execute(
                f"INSERT OR IGNORE INTO grade ({', '.join(COLUMNS)})"
                f" VALUES ({', '.join('?' * len(COLUMNS))})",
                values,
            )
            return added.rowcount > 0

    def keep_round(self, one: Practised) -> None:
        """Keep a round of practising, in the place of what was kept of it so far.

        Raises `HistoryError`.
        """
        self._mended(lambda: self._keep_round(one))

    def _keep_round(self, one: Practised) -> None:
        with self._writing():
            values = (self._chart(one), *(getattr(one, name) for name in practised.COLUMNS[1:]))
            self._connection.execute(
                f"INSERT OR REPLACE INTO practised ({', '.join(practised.COLUMNS)})"
                f" VALUES ({', '.join('?' * len(values))})",
                values,
            )

    def forget(self, *, chart: str | None, student: str | None) -> Forgotten:
        """Delete the entries of a chart (by its hash), of a student, or all.

        What had been put aside may be about them too, and cannot be looked through: it is
        deleted. Raises `HistoryError`.
        """
        if not self._is_sound("integrity_check"):  # it may hold what no deletion finds
            self.close()
            self._begin_anew()
        takes, rounds = self._forget(chart, student)
        with suppress(sqlite3.OperationalError):  # somebody reads: the log is emptied later
            self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        with _told(self._file):
            return Forgotten(takes, delete_asides(self._file), rounds)

    def _forget(self, chart: str | None, student: str | None) -> list[int]:
        gone = []
        with self._writing():
            for table in TABLES:
                where, values = _where(table, chart, student)
                chosen = f"SELECT {table}.id FROM {table} JOIN chart ON chart.id = {table}.chart"
                gone.append(
                    self._connection.execute(
                        f"DELETE FROM {table} WHERE id IN ({chosen}{where})", values
                    ).rowcount
                )
            self._connection.execute(
                "DELETE FROM chart WHERE id NOT IN"
                " (SELECT chart FROM grade UNION SELECT chart FROM practised)"
            )
        return gone

    def _chart(self, entry: Entry | Practised) -> int:
        self._connection.execute(
            "INSERT OR IGNORE INTO chart (hash, title, file, bars) VALUES (?, ?, ?, ?)",
            (entry.chart, entry.title, entry.chart_file, entry.chart_bars),
        )
        found = self._connection.execute("SELECT id FROM chart WHERE hash = ?", (entry.chart,))
        return int(found.fetchone()[0])

    def _is_sound(self, check: str) -> bool:
        try:
            told = self._connection.execute(f"PRAGMA {check}(1)").fetchone()
        except sqlite3.DatabaseError:
            return False
        return bool(told == ("ok",))

    def _mended(self, work: Callable[[], Done]) -> Done:
        """Do it; once more in a new file if this one turns out to be damaged."""
        try:
            return work()
        except DamagedError:
            if self.aside is not None:
                raise
            self.close()
            self._begin_anew()
            return work()

    def _begin_anew(self) -> None:
        """Put the file aside, and keep what can be read of it in a new one."""
        self.aside = put_aside(self._file)
        self._connection = _connected(self._file)
        with suppress(HistoryError):
            found = read(self.aside)
            for entry in found.entries:
                self._keep(entry)
            for one in found.practised:
                self._keep_round(one)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        with _told(self._file), _transaction(self._connection):
            yield


@contextmanager
def opened(file: Path) -> Iterator[History]:
    """The history for writing, made if it is not there. Raises `HistoryError`."""
    with _told(file):
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with closing(History(file)) as history:
            yield history


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
    with _told(file), closing(_for_reading(file)) as connection:
        _check_version(connection, file)
        if not _version(connection):
            return Reading(())
        takes, damaged = _rows(connection, "grade", COLUMNS, (chart, student))
        rounds, also = _rows(connection, "practised", practised.COLUMNS, (chart, student))
    found = [entry_from(row) for row in takes]
    whole = sorted((one for one in found if one is not None), key=lambda one: one.played_at)
    known = [practised.practised_from(row) for row in rounds]
    begun = sorted((one for one in known if one is not None), key=lambda one: one.began_at)
    odd = len(found) - len(whole) + len(known) - len(begun)
    return Reading(tuple(whole), odd, damaged or also, tuple(begun))


def _rows(
    connection: sqlite3.Connection,
    table: str,
    columns: Sequence[str],
    whose: tuple[str | None, str | None],
) -> tuple[list[tuple[object, ...]], bool]:
    """The rows in the order they came, and whether some could not be had.

    `columns` but for the first, which stands for those of the chart; `whose`: of which chart
    and student.
    """
    # An older file that is only read has not every column, nor every table.
    there = {row[1] for row in connection.execute(f"PRAGMA table_info({table})")}
    if not there:
        return [], False
    where, values = _where(table, *whose)
    fields = ", ".join(f"{table}.{name}" if name in there else "NULL" for name in columns[1:])
    select = (
        f"SELECT chart.hash, chart.title, chart.file, chart.bars, {fields} FROM {table}"
        f" JOIN chart ON chart.id = {table}.chart{where}"
    )
    connection.text_factory = lambda raw: raw.decode(errors="replace")
    try:
        return connection.execute(f"{select} ORDER BY {table}.id", values).fetchall(), False
    except sqlite3.DatabaseError as error:
        if _code(error) not in BROKEN:
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


def _where(table: str, chart: str | None, student: str | None) -> tuple[str, list[str]]:
    terms = [
        (term, value)
        for term, value in (("chart.hash = ?", chart), (f"{table}.student = ?", student))
        if value is not None
    ]
    words = " AND ".join(term for term, _ in terms)
    return (f" WHERE {words}" if terms else ""), [value for _, value in terms]


def _connected(file: Path) -> sqlite3.Connection:
    """Open, and bring the file up to this version."""
    _make_private(file)
    connection = sqlite3.connect(file, timeout=WAIT_SECONDS, isolation_level=None)
    try:
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")
        # What is forgotten is overwritten: it is about pupils.
        connection.execute("PRAGMA secure_delete = ON")
        if _version(connection) < 0:
            raise DamagedError(_damaged(file))
        if _version(connection) < len(MIGRATIONS):
            _migrate(connection)
        _check_version(connection, file)
        with suppress(sqlite3.OperationalError):  # busy, or not possible here: as it is, then
            connection.execute("PRAGMA journal_mode = WAL")
    except sqlite3.DatabaseError as error:
        connection.close()
        if _code(error) in BROKEN:
            raise DamagedError(_damaged(file)) from None
        raise
    except BaseException:
        connection.close()
        raise
    return connection


def _make_private(file: Path) -> None:
    with suppress(OSError):  # what cannot be done is told when it is opened
        os.close(private(str(file), os.O_RDWR | os.O_CREAT))
        if os.name == "posix" and file.stat().st_mode & 0o077:
            file.chmod(PRIVATE)


def _migrate(connection: sqlite3.Connection) -> None:
    with _transaction(connection):
        # Another program may have done it while this one waited.
        for version in range(_version(connection), len(MIGRATIONS)):
            for statement in MIGRATIONS[version]:
                connection.execute(statement)
            connection.execute(f"PRAGMA user_version = {version + 1}")


@contextmanager
def _transaction(connection: sqlite3.Connection) -> Iterator[None]:
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):
            connection.execute("ROLLBACK")
        raise


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _check_version(connection: sqlite3.Connection, file: Path) -> None:
    if _version(connection) > len(MIGRATIONS):
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
            if mode == "immutable=1" or _code(error) not in (
                sqlite3.SQLITE_CANTOPEN,
                sqlite3.SQLITE_READONLY,
            ):
                raise
        except sqlite3.DatabaseError:
            connection.close()
            raise
    raise AssertionError("every way either opens the file or raises")


def _damaged(file: Path) -> str:
    return f"{file} is not a history, or it is damaged."


def _code(error: sqlite3.Error) -> int:
    """The primary result code, without what is extended in it."""
    code: int = getattr(error, "sqlite_errorcode", 0) or 0
    return code & 0xFF


@contextmanager
def _told(file: Path) -> Iterator[None]:
    """What SQLite and the system say, in a sentence."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        if _code(error) in BROKEN:
            raise DamagedError(_damaged(file)) from None
        reason = REASONS.get(_code(error), str(error))
        raise HistoryError(f"The history in {file} could not be used: {reason}.") from None
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise HistoryError(f"The history in {file} could not be used: {reason}.") from None
