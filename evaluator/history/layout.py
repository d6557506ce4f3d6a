"""Which tables has the history's file, and is it one of ours?

What leads from each version of the file to the next stands here. Damage may leave a file that
SQLite reads without complaint and that has other columns, another type or no key any more:
the tables are therefore compared with those of a new file of the same version.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from typing import Final

from evaluator.history.trouble import code

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
TABLES: Final = ("chart", "grade", "practised")


def version(connection: sqlite3.Connection) -> int:
    """The version of the layout that the file says it has; 0 for a new file."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(connection: sqlite3.Connection) -> None:
    """Bring the file up to this version, wholly or not at all."""
    if version(connection) >= len(MIGRATIONS):
        return
    with transaction(connection):
        # Another program may have done it while this one waited.
        bring_up(connection, len(MIGRATIONS))


def bring_up(connection: sqlite3.Connection, to: int) -> None:
    """Take each step from the version of the file up to `to`, within an open transaction."""
    for step in range(version(connection), to):
        for statement in MIGRATIONS[step]:
            connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {step + 1}")


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """All that is done within it, or nothing."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):
            connection.execute("ROLLBACK")
        raise


def is_ours(connection: sqlite3.Connection) -> bool:
    """Whether a file of some version up to this one has the tables of that version.

    Raises `sqlite3.DatabaseError`.
    """
    try:
        connection.execute("BEGIN")  # another program may bring it up meanwhile
        to, found = version(connection), _layout(connection)
        connection.execute("COMMIT")
    except sqlite3.DatabaseError as error:
        if code(error) == sqlite3.SQLITE_ERROR:  # a file format that no version of SQLite has
            return False
        raise
    if to < 0:
        return False
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as new:
        bring_up(new, to)
        return found == _layout(new)


def _layout(connection: sqlite3.Connection) -> list[object]:
    """Columns, keys and references of the tables, as far as SQLite knows them."""
    before, connection.text_factory = connection.text_factory, bytes  # it may be no text
    try:
        found: list[object] = []
        for table in TABLES:
            found.append(connection.execute(f"PRAGMA table_info({table})").fetchall())
            found.append(connection.execute(f"PRAGMA foreign_key_list({table})").fetchall())
            for index in connection.execute(f"PRAGMA index_list({table})").fetchall():
                columns = "SELECT * FROM pragma_index_info(CAST(? AS TEXT))"
                found += [index, connection.execute(columns, (index[1],)).fetchall()]
        return found
    finally:
        connection.text_factory = before
