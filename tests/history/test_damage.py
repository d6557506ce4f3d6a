"""What is done about a history that is damaged, and what is forgotten of it? Rules of this
program; what SQLite reads of a damaged file: its own documentation of result codes."""

import os
import sqlite3
import sys
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

import pytest

from evaluator.history import layout
from evaluator.history.entry import Entry
from evaluator.history.layout import MIGRATIONS
from evaluator.history.reading import entries, read
from evaluator.history.store import Forgotten, opened
from evaluator.history.trouble import HistoryError
from tests.history.kept import entry, keep_all, practised

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
        before = len(entries(file))
        assert before == len(MANY) or page
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


@pytest.mark.parametrize(
    ("good", "bad"),
    [
        (b" chord REAL", b" chorX REAL"),  # it reads, and nothing can be kept in it
        (b" chord REAL", b" chord REA\xff"),  # no text, and SQLite takes it all the same
        (b" chord REAL", b" chord TEXT"),  # numbers would come back as words
        (b"ON DELETE CASCADE", b"ON DELETE RESTRIC"),
        (b"UNIQUE (chart, take", b"UNIQUE (chart, part"),  # takes would push each other out
        (b"CREATE TABLE grade", b"CREATE TABLE gradX"),
        (b"CREATE TABLE grade", b"CREATE TABLE \xff\xf9\xf9\xf9("),  # the complaint is no text
        (b"CREATE TABLE grade", b"CREATX TABLE grade"),
        (b"CREATE TABLE chart", b"\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0"),
    ],
)
def test_a_damaged_list_of_tables_costs_no_entry(
    file: Path, sound: bytes, good: bytes, bad: bytes
) -> None:
    damaged = sound.replace(good, bad, 1)
    assert damaged != sound
    file.write_bytes(damaged)
    reading = read(file)
    assert (reading.entries, reading.damaged) == (tuple(MANY), True)
    assert file.read_bytes() == damaged  # who reads writes nothing
    assert len(entries(file, student="Bo")) == 45
    assert entries(file, student="Nobody") == ()
    kept, aside = keep_all(file, [entry("new"), MANY[3]])
    assert kept == 1
    assert aside is not None
    assert aside.read_bytes() == damaged
    assert set(map(repr, entries(file))) == set(map(repr, [*MANY, entry("new")]))
    assert not read(file).damaged


def test_a_file_format_that_none_ever_had_costs_no_entry(file: Path, sound: bytes) -> None:
    head = slice(44, 48)  # the number of the schema's format (SQLite, "Database File Format")
    file.write_bytes(sound[: head.start] + b"\x98" * 4 + sound[head.stop :])
    assert entries(file) == tuple(MANY)
    assert keep_all(file, [entry("new")])[0] == 1
    assert len(entries(file)) == 91


@pytest.mark.parametrize("number", [0, 1])
def test_an_older_number_than_the_tables_have_costs_no_entry(file: Path, number: int) -> None:
    change(file, f"PRAGMA user_version = {number}")
    assert entries(file) == tuple(MANY)
    assert keep_all(file, [entry("new")])[0] == 1
    assert len(entries(file)) == 91


def test_what_stands_in_the_log_alone_is_saved_with_a_damaged_list(tmp_path: Path) -> None:
    file, copy = tmp_path / "history.db", tmp_path / "kept" / "history.db"
    copy.parent.mkdir()
    with opened(file) as history:
        for one in MANY[:8]:
            history.keep(one)
        history._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        history.keep(MANY[8])
        for ending in ("", "-wal"):  # as after a power cut
            beside = copy.with_name(copy.name + ending)
            beside.write_bytes(file.with_name(file.name + ending).read_bytes())
    copy.write_bytes(copy.read_bytes().replace(b" chord REAL", b" chorX REAL"))
    assert entries(copy) == tuple(MANY[:9])
    assert keep_all(copy, MANY[9:10])[0] == 1
    assert entries(copy) == tuple(MANY[:10])


@pytest.mark.parametrize("migrated", [False, True])
@pytest.mark.parametrize("head", [b" chorX REAL", b"\xff" * 4096])
def test_what_was_practised_is_saved_wherever_its_table_begins(
    tmp_path: Path, head: bytes, migrated: bool
) -> None:
    file = tmp_path / "history.db"
    if migrated:  # its table comes behind the takes
        with patch.object(layout, "MIGRATIONS", MIGRATIONS[:2]), sqlite3.connect(file) as older:
            older.isolation_level = None
            layout.migrate(older)
            columns = "chart, take, take_file, student, part, rubric, scoring, played_at"
            columns += ", graded_at, complete, bpm, bars, findings"
            older.execute("INSERT INTO chart VALUES (1, 'c', 'Kettle Lane', 'k.txt', 8)")
            for number in range(90):
                row = "1, ?, '', 'Wilhelmina', '', '', 1, 1.0, 2.0, 1, 90.0, '{}', ''"
                older.execute(f"INSERT INTO grade ({columns}) VALUES ({row})", (f"t-{number}",))
        older.close()
    else:
        keep_all(file, MANY)
    rounds = tuple(practised(day=day, student="Bo") for day in range(60))
    with opened(file) as history:
        for one in rounds:
            history.keep_round(one)
    settle(file)
    raw = file.read_bytes()
    begins = raw.index(b" chord REAL") if len(head) < 99 else 0
    file.write_bytes(raw[:begins] + head + raw[begins + len(head) :])
    found = read(file)
    assert (len(found.entries), found.practised, found.odd) == (90, rounds, 0)
    with opened(file) as history:
        assert history.aside is not None
    assert read(file) == replace(found, damaged=False)


def test_tables_of_an_older_file_that_are_damaged_cost_no_entry(tmp_path: Path) -> None:
    file = tmp_path / "history.db"
    with sqlite3.connect(file) as connection:
        for statement in MIGRATIONS[0]:
            connection.execute(statement)
        connection.execute("PRAGMA user_version = 1")
        connection.execute("INSERT INTO chart VALUES (1, 'c', 'Kettle Lane', 'k.txt', 8)")
        values = "(1, 1, 't', 'o.mid', 'Bo', '', 'steady', 1, 1.0, 2.0, 1, 90.0, 7, 7, 7, 7, 7"
        connection.execute(f"INSERT INTO grade VALUES {values}, '{{}}', '')")
    connection.close()
    file.write_bytes(file.read_bytes().replace(b" chord REAL", b" chorX REAL"))
    for _ in range(2):
        (old,) = entries(file)
        assert (old.student, old.marks["chord"], old.marks["touch"]) == ("Bo", 7.0, None)
        keep_all(file, [old])


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
