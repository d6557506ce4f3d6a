"""What is done about a history that is damaged, and what is forgotten of it? Rules of this
program; what SQLite reads of a damaged file: its own documentation of result codes."""

import os
import sqlite3
import sys
from pathlib import Path

import pytest

from evaluator.history.entry import Entry
from evaluator.history.store import Forgotten, HistoryError, entries, opened, read
from tests.history.kept import entry, keep_all

MANY = [entry(f"take-{n}", day=n, student="Wilhelmina" if n % 2 else "Bo") for n in range(90)]


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The bytes of a history of two students, ninety takes."""
    file = tmp_path_factory.mktemp("sound") / "history.db"
    keep_all(file, MANY)
    settle(file)
    return file.read_bytes()


@pytest.fixture
def file(tmp_path: Path, sound: bytes) -> Path:
    """That history."""
    file = tmp_path / "data" / "history.db"
    file.parent.mkdir()
    file.write_bytes(sound)
    return file


def settle(file: Path) -> None:
    """All of it into the one file."""
    with sqlite3.connect(file) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    connection.close()


def change(file: Path, *statement: object) -> None:
    with sqlite3.connect(file) as connection:
        connection.execute(*statement)  # type: ignore[arg-type]
    connection.close()


def pages(raw: bytes) -> int:
    """Of a database (SQLite, "Database File Format")."""
    return len(raw) // int.from_bytes(raw[16:18], "big")


def damage(file: Path, page: int) -> None:
    """Write nonsense over one page of the database."""
    raw = bytearray(file.read_bytes())
    size = int.from_bytes(raw[16:18], "big")
    raw[page * size : (page + 1) * size] = b"\xff" * size
    file.write_bytes(raw)


@pytest.fixture
def hole(file: Path, sound: bytes) -> Path:
    """The history with a page in the middle of its takes damaged."""
    for page in range(3, pages(sound)):
        damage(file, page)
        if 0 < len(entries(file)) < len(MANY):
            return file
        file.write_bytes(sound)
    raise AssertionError("no page holds takes alone")


def test_pages_that_are_damaged_do_not_block_the_rest(hole: Path) -> None:
    reading = read(hole)
    assert reading.damaged
    assert len(reading.entries) > 40
    assert set(map(repr, reading.entries)) < set(map(repr, MANY))


def test_wherever_it_is_damaged_a_take_is_kept_and_all_can_be_forgotten(
    file: Path, sound: bytes
) -> None:
    for page in range(pages(sound)):
        file.write_bytes(sound)
        damage(file, page)
        before = 0 if page == 0 else len(entries(file))
        assert keep_all(file, [entry("new")])[0] == 1
        assert len(entries(file)) == before + 1
        assert "new" in {one.take for one in entries(file)}
        with opened(file) as history:
            history.forget(chart=None, student=None)
        assert entries(file) == ()
        assert not holds(file.parent, b"Wilhelmina")


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("played_at", 1e13),  # beyond the year 9999
        ("played_at", "yesterday"),
        ("graded_at", float("inf")),
        ("bars", "no bars"),
        ("bars", b"\xff\xfe"),
        ("bars", "[1]"),
        ("overall", "good"),
        ("overall", float("inf")),
        ("bpm", b"\0"),
        ("student", b"\xff"),
        ("findings", 7.5),
        ("complete", "yes"),
    ],
)
def test_one_odd_entry_does_not_block_the_rest(file: Path, column: str, value: object) -> None:
    change(file, f"UPDATE grade SET {column} = ? WHERE id = 5", (value,))
    reading = read(file)
    assert (len(reading.entries), reading.odd) in ((89, 1), (90, 0))
    assert [one.take for one in reading.entries if one.take != "take-4"] == [
        one.take for one in MANY if one.take != "take-4"
    ]


def test_text_that_is_none_is_read_with_replacement_signs(file: Path) -> None:
    change(file, "UPDATE grade SET student = CAST(x'ff41' AS TEXT) WHERE id = 5")
    reading = read(file)
    assert reading.odd == 0
    assert "�A" in {one.student for one in reading.entries}


def test_a_number_of_the_version_that_none_ever_had_costs_nothing(file: Path) -> None:
    change(file, "PRAGMA user_version = -5")
    assert len(entries(file)) == 90
    with opened(file) as history:
        assert history.aside is not None
        history.keep(entry("new"))
    assert len(entries(file)) == 91


def asides(file: Path) -> list[str]:
    return [path.name for path in file.parent.iterdir() if "unreadable" in path.name]


def holds(folder: Path, word: bytes) -> bool:
    return any(word in path.read_bytes() for path in folder.iterdir())


def test_what_is_forgotten_of_a_damaged_history_is_gone_and_the_rest_stays(hole: Path) -> None:
    others = [one for one in entries(hole) if one.student == "Bo"]
    with opened(hole) as history:
        gone = history.forget(chart=None, student="Wilhelmina")
    assert gone.takes > 20
    assert entries(hole) == tuple(others)
    assert asides(hole) == []
    assert not holds(hole.parent, b"Wilhelmina")


@pytest.mark.parametrize("content", [b"Wilhelmina " * 900, b"SQLite format 3\0Wilhelmina"])
def test_forgetting_all_forgets_what_cannot_be_read(file: Path, content: bytes) -> None:
    file.write_bytes(content)
    with opened(file) as history:
        assert history.forget(chart=None, student=None) == Forgotten(0, 1)
    assert entries(file) == ()
    assert not holds(file.parent, b"Wilhelmina")


def test_forgetting_deletes_what_was_put_aside_before(file: Path) -> None:
    for name in ("history.db.unreadable-1", "history.db.unreadable-1-wal", "history.db.old"):
        (file.parent / name).write_bytes(b"Wilhelmina")
    with opened(file) as history:
        gone = history.forget(chart=None, student="Bo")
    assert gone == Forgotten(45, 1)
    assert sorted(asides(file)) == []
    assert (file.parent / "history.db.old").exists()  # not of this program's making


@pytest.mark.skipif(sys.platform == "win32", reason="has other rights")
def test_a_history_is_nobody_elses_to_read(tmp_path: Path) -> None:
    file = tmp_path / "history.db"
    before = os.umask(0)
    try:
        with opened(file) as history:
            history.keep(MANY[0])
            modes = {path.name: path.stat().st_mode & 0o777 for path in tmp_path.iterdir()}
    finally:
        os.umask(before)
    assert set(modes.values()) == {0o600}
    file.chmod(0o644)
    keep_all(file, MANY[1:2])
    assert file.stat().st_mode & 0o777 == 0o600


def test_a_folder_is_no_history(tmp_path: Path) -> None:
    (tmp_path / "history.db").mkdir()
    with pytest.raises(HistoryError):
        keep_all(tmp_path / "history.db", MANY[:1])


def test_entries_are_what_was_kept(file: Path) -> None:
    assert entries(file) == tuple(MANY)
    assert isinstance(entries(file)[0], Entry)
