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

from evaluator.history import practised, reading
from evaluator.history.aside import delete_asides, put_aside
from evaluator.history.entry import Entry
from evaluator.history.layout import is_ours, migrate, transaction
from evaluator.history.practised import Practised
from evaluator.history.reading import check_version, chosen, read
from evaluator.history.rows import COLUMNS, row_of
from evaluator.history.trouble import COMPLAINTS, DamagedError, HistoryError, is_broken, told
from evaluator.live.rights import PRIVATE, private

Done = TypeVar("Done")

ABOUT_PUPILS: Final = ("grade", "practised")
"""Tables."""


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
        self._begin_anew_unless_sound()  # what is added behind a damage is not found again

    def close(self) -> None:
        """Let the file go."""
        self._connection.close()

    def keep(self, entry: Entry) -> bool:
        """Add an entry; False if this take of this chart is there already.

        Raises `HistoryError`.
        """
        return self._mended(lambda: self._add(entry))

    def _add(self, entry: Entry) -> bool:
        return self._put("OR IGNORE INTO grade", COLUMNS, row_of(entry, self._chart(entry))) > 0

    def keep_round(self, one: Practised) -> None:
        """Keep a round of practising, in the place of what was kept of it so far.

        Raises `HistoryError`.
        """
        self._mended(lambda: self._add_round(one))

    def _add_round(self, one: Practised) -> None:
        row = practised.row_of(one, self._chart(one))
        self._put("OR REPLACE INTO practised", practised.COLUMNS, row)

    def _put(self, where: str, columns: Sequence[str], row: Sequence[object]) -> int:
        """Rows that were added."""
        names, marks = ", ".join(columns), ", ".join("?" * len(row))
        return self._connection.execute(f"INSERT {where} ({names}) VALUES ({marks})", row).rowcount

    def forget(self, *, chart: str | None, student: str | None) -> Forgotten:
        """Delete the entries of a chart (by its hash), of a student, or all.

        What had been put aside may be about them too, and cannot be looked through: it is
        deleted. Raises `HistoryError`.
        """
        self._begin_anew_unless_sound()  # it may hold what no deletion finds
        takes, rounds = self._forget(chart, student)
        with suppress(sqlite3.OperationalError):  # somebody reads: the log is emptied later
            self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        with told(self._file):
            return Forgotten(takes, delete_asides(self._file), rounds)

    def _forget(self, chart: str | None, student: str | None) -> list[int]:
        gone = []
        with self._writing():
            for table in ABOUT_PUPILS:
                where, values = chosen(table, chart, student)
                ids = f"SELECT {table}.id FROM {table} JOIN chart ON chart.id = {table}.chart"
                gone.append(
                    self._connection.execute(
                        f"DELETE FROM {table} WHERE id IN ({ids}{where})", values
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

    def _begin_anew_unless_sound(self) -> None:
        """Indices are compared with their tables as well."""
        with suppress(sqlite3.DatabaseError):
            if self._connection.execute("PRAGMA integrity_check(1)").fetchone() == ("ok",):
                return
        self.close()
        self._begin_anew()

    def _mended(self, work: Callable[[], Done]) -> Done:
        """Write; once more in a new file if this one turns out to be damaged."""
        try:
            with self._writing():
                return work()
        except DamagedError:
            if self.aside is not None:
                raise
            self.close()
            self._begin_anew()
            with self._writing():
                return work()

    def _begin_anew(self) -> None:
        """Put the file aside, and keep what can be read of it in a new one."""
        self.aside = put_aside(self._file)
        self._connection = _connected(self._file)
        with suppress(HistoryError):
            found = read(self.aside)
            with self._writing():
                for entry in found.entries:
                    self._add(entry)
                for one in found.practised:
                    self._add_round(one)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        with told(self._file), transaction(self._connection):
            yield


@contextmanager
def opened(file: Path) -> Iterator[History]:
    """The history for writing, made if it is not there. Raises `HistoryError`."""
    with told(file):
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with closing(History(file)) as history:
            yield history


def _connected(file: Path) -> sqlite3.Connection:
    """Open, and bring the file up to this version."""
    _make_private(file)
    connection = sqlite3.connect(file, timeout=reading.WAIT_SECONDS, isolation_level=None)
    try:
        check_version(connection, file)
        if not is_ours(connection):
            raise DamagedError(file)
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")
        # What is forgotten is overwritten: it is about pupils.
        connection.execute("PRAGMA secure_delete = ON")
        migrate(connection)
        with suppress(sqlite3.OperationalError):  # busy, or not possible here: as it is, then
            connection.execute("PRAGMA journal_mode = WAL")
    except COMPLAINTS as error:
        connection.close()
        if is_broken(error):
            raise DamagedError(file) from None
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
