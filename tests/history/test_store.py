"""Nothing lost, nothing twice. What SQLite promises: its own documentation of WAL, of
transactions and of result codes; `tests.bench.history` kills writers and lets eight write."""

import sqlite3
import threading
from pathlib import Path

import pytest

from evaluator.history import layout, reading
from evaluator.history.entry import bars_from, bars_text
from evaluator.history.layout import MIGRATIONS
from evaluator.history.reading import entries
from evaluator.history.store import Forgotten, opened
from evaluator.history.trouble import HistoryError
from tests.history.kept import ENTRY, entry, keep_all


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "data" / "history.db"


def test_what_is_kept_comes_back_as_it_was(file: Path) -> None:
    assert entries(file) == ()
    assert keep_all(file, [ENTRY, entry("u", marks=dict.fromkeys(ENTRY.marks))]) == (2, None)
    assert entries(file)[0] == ENTRY
    assert entries(file)[1].marks["bass"] is None


def test_a_take_that_is_graded_again_is_the_same_entry(file: Path) -> None:
    keep_all(file, [ENTRY])
    assert keep_all(file, [ENTRY])[0] == 0
    assert keep_all(file, [entry("t" * 64, part="left hand"), entry("t" * 64, scoring=2)])[0] == 2
    assert len(entries(file)) == 3


def test_an_edited_chart_and_another_student_are_told_apart(file: Path) -> None:
    keep_all(file, [entry("a"), entry("b", chart="d" * 64), entry("c", student="Anna")])
    assert [e.take for e in entries(file, chart="c" * 64)] == ["a", "c"]
    assert [e.take for e in entries(file, student="Anna")] == ["c"]
    assert [e.take for e in entries(file, chart="d" * 64, student="Anna")] == []


def test_what_is_forgotten_is_gone_from_the_bytes_of_the_file(file: Path) -> None:
    keep_all(file, [entry("a", student="Wilhelmina"), entry("b", student="Bo")])
    with opened(file) as history:
        assert history.forget(chart=None, student="Wilhelmina") == Forgotten(1, 0)
    assert [e.student for e in entries(file)] == ["Bo"]
    for part in file.parent.iterdir():
        assert b"Wilhelmina" not in part.read_bytes()


def test_a_file_of_a_newer_version_is_left_alone(file: Path) -> None:
    keep_all(file, [ENTRY])
    with sqlite3.connect(file) as connection:
        connection.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 1}")
    connection.close()
    before = file.read_bytes()
    for use in (lambda: keep_all(file, [entry("u")]), lambda: entries(file)):
        with pytest.raises(HistoryError, match="newer version of this program; update"):
            use()
    assert file.read_bytes() == before


def test_an_older_file_is_brought_up_in_one_go(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    keep_all(file, [ENTRY])
    newer = (*MIGRATIONS, ("ALTER TABLE grade ADD COLUMN mood TEXT",))
    monkeypatch.setattr(layout, "MIGRATIONS", newer)
    assert keep_all(file, [ENTRY])[0] == 0
    assert entries(file) == (ENTRY,)
    broken = (*newer, ("ALTER TABLE grade ADD COLUMN light TEXT", "NO SUCH STATEMENT"))
    monkeypatch.setattr(layout, "MIGRATIONS", broken)
    with pytest.raises(HistoryError):
        keep_all(file, [entry("u")])
    monkeypatch.setattr(layout, "MIGRATIONS", newer)
    assert entries(file) == (ENTRY,)  # the half-done step was taken back
    with sqlite3.connect(file) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (len(newer),)
        columns = [row[1] for row in connection.execute("PRAGMA table_info(grade)")]
    connection.close()
    assert "mood" in columns
    assert "light" not in columns


def first_version(file: Path) -> None:
    """A file as the first version of it was, with one take."""
    file.parent.mkdir(exist_ok=True)
    with sqlite3.connect(file) as connection:
        for statement in MIGRATIONS[0]:
            connection.execute(statement)
        connection.execute(
            "INSERT INTO chart VALUES (1, ?, 'Kettle Lane', 'k.txt', 8)", ("c" * 64,)
        )
        connection.execute(
            "INSERT INTO grade VALUES (1, 1, 'old', 'o.mid', 'Bo', '', 'steady', 1, 1.0, 2.0, 1,"
            " 90.0, 70.0, 71.0, 72.0, 73.0, 74.0, '{}', '')"
        )
        connection.execute("PRAGMA user_version = 1")
    connection.close()


def test_a_file_from_before_the_touch_was_kept_is_read_as_it_is(file: Path) -> None:
    first_version(file)
    before = file.read_bytes()
    (old,) = entries(file)
    assert (old.marks["form"], old.marks["touch"]) == (74.0, None)
    assert file.read_bytes() == before


def test_and_takes_the_touch_from_now_on(file: Path) -> None:
    first_version(file)
    keep_all(file, [entry("new", marks={**ENTRY.marks, "touch": 61.5})])
    assert {e.take: e.marks["touch"] for e in entries(file)} == {"old": None, "new": 61.5}


@pytest.mark.parametrize("content", [b"No database, only words. " * 400, b"x" * 3])
def test_what_is_no_database_is_put_aside_and_never_deleted(file: Path, content: bytes) -> None:
    file.parent.mkdir()
    file.write_bytes(content)
    with pytest.raises(HistoryError, match="not a history, or it is damaged"):
        entries(file)
    kept, aside = keep_all(file, [ENTRY])
    assert (kept, aside is not None) == (1, True)
    assert aside is not None
    assert aside.read_bytes() == content
    assert entries(file) == (ENTRY,)


def test_a_damaged_database_is_put_aside_too(file: Path) -> None:
    keep_all(file, [entry(str(number)) for number in range(50)])
    raw = bytearray(file.read_bytes())
    raw[100:4096] = b"\xff" * 3996  # the page that lists the tables
    file.write_bytes(raw)
    for ending in ("-wal", "-shm"):
        file.with_name(file.name + ending).unlink(missing_ok=True)
    assert keep_all(file, [ENTRY])[0] == 1
    asides = [path.name for path in file.parent.glob("*.unreadable-*")]
    assert sum(not name.endswith(("-wal", "-shm")) for name in asides) == 1


def test_a_folder_that_cannot_be_made_is_told_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file stands where the folder should be")
    with pytest.raises(HistoryError, match="could not be used: file exists"):
        keep_all(tmp_path / "data" / "history.db", [ENTRY])


def test_a_history_on_a_disk_that_can_only_be_read_is_still_shown(file: Path) -> None:
    keep_all(file, [ENTRY])
    with sqlite3.connect(file) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    connection.close()
    file.chmod(0o444)
    file.parent.chmod(0o555)
    try:
        assert entries(file) == (ENTRY,)
    finally:
        file.parent.chmod(0o755)


def test_a_writer_waits_for_another(file: Path) -> None:
    keep_all(file, [ENTRY])
    other = sqlite3.connect(file, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    release = threading.Timer(0.3, lambda: other.execute("COMMIT"))
    release.start()
    assert keep_all(file, [entry("u")])[0] == 1
    release.join()
    other.close()


def test_a_writer_that_waits_too_long_says_so(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    keep_all(file, [ENTRY])
    monkeypatch.setattr(reading, "WAIT_SECONDS", 0.05)
    other = sqlite3.connect(file, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(HistoryError, match="has been writing to it for too long"):
        keep_all(file, [entry("u")])
    other.close()


def test_bars_survive_being_written_down() -> None:
    bars = {12: "chord bass", 3: ""}
    assert bars_from(bars_text(bars)) == bars
