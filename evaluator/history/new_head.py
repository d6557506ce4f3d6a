"""How is a database read of which the list of tables is damaged?

The list stands in the first page of the file, with where each table begins. It is lent from a
new file: the first tables were made when the file was empty and begin in every file at the
same page; one that a later version of the program added begins anywhere, at the page of which
the most rows make sense. All of it in the memory: who reads writes nothing.
"""

import sqlite3
from contextlib import closing
from typing import Final

from evaluator.history import layout

PAGES: Final = slice(28, 32)
"""Of a database file: how many pages it has (SQLite, "Database File Format", the same below)."""
PAGE_SIZE: Final = slice(16, 18)
TREE: Final = (5, 13)
"""First byte of a page in which a table can begin: with more pages below it, or alone."""
BEGINS: Final = "UPDATE sqlite_master SET rootpage = ? WHERE name = 'practised'"
IS_NOT_THERE: Final = "DELETE FROM sqlite_master WHERE tbl_name = 'practised'"
"""Of the added table."""
SENSIBLE: Final = (
    "SELECT count(*) FROM practised NOT INDEXED WHERE typeof(student) = 'text'"
    " AND hand IN ('', 'left', 'right') AND typeof(began_at) = 'real'"
    " AND typeof(in_a_row) = 'integer'"
)
"""Its rows that make sense; no other table has such."""


def with_new_head(content: bytes) -> sqlite3.Connection:
    """The database of these bytes, read by the list of tables of a new file.

    Its indexes are not to be used. Raises `sqlite3.DatabaseError`.
    """
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as new:
        layout.bring_up(new, len(layout.MIGRATIONS))
        fresh = new.serialize()
    size = int.from_bytes(fresh[PAGE_SIZE], "big")
    pages = max(1, len(content) // size)
    head = bytearray(fresh[:size])
    head[PAGES] = pages.to_bytes(4, "big")
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.deserialize(bytes(head) + content[size : pages * size])
    likely = range(size, pages * size, size)
    roots = [1 + at // size for at in likely if content[at] in TREE]
    best = max(roots, key=lambda root: _sensible(connection, root), default=0)
    if best and _sensible(connection, best):
        return connection
    _correct(connection, IS_NOT_THERE)
    return connection


def _sensible(connection: sqlite3.Connection, root: int) -> int:
    try:
        _correct(connection, BEGINS, root)
        return int(connection.execute(SENSIBLE).fetchone()[0])
    except sqlite3.DatabaseError:
        return 0


def _correct(connection: sqlite3.Connection, statement: str, *values: int) -> None:
    """Change the list of tables."""
    connection.execute("PRAGMA writable_schema = ON")
    connection.execute(statement, values)
    connection.execute("PRAGMA writable_schema = RESET")
