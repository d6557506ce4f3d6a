"""Keeping never stands in the way of grading. Own rule, no outside source."""

import sqlite3
from pathlib import Path

import pytest

from evaluator.history import remember, remembering
from evaluator.history.entry import Entry
from evaluator.history.place import history_file
from evaluator.history.reading import entries
from evaluator.history.store import History
from tests.history.kept import ENTRY, entry


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("EVALUATOR_HISTORY", str(tmp_path / "kept"))
    return tmp_path / "kept"


def test_the_folder_is_the_one_that_is_named(folder: Path) -> None:
    assert remember([ENTRY, None]) == ""
    assert entries(folder / "history.db") == (ENTRY,)


def test_without_a_name_it_is_the_users_own(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("EVALUATOR_HISTORY")
    assert history_file().parent.name == "midi-practice-evaluator"


def test_nothing_to_keep_makes_no_file(folder: Path) -> None:
    assert remember([None]) == ""
    assert not folder.exists()


def test_trouble_is_a_sentence_and_no_exception(folder: Path) -> None:
    folder.write_text("in the way")
    assert remember([ENTRY]).startswith("Nothing was kept in the history. The history in ")


def test_a_file_that_was_put_aside_is_told(folder: Path) -> None:
    folder.mkdir()
    (folder / "history.db").write_bytes(b"words " * 500)
    assert "What could is in a new one; the old is " in remember([entry("a")])


def test_what_is_kept_is_there_before_the_class_is_through(folder: Path) -> None:
    with remembering() as memory:
        memory.keep(ENTRY)
        assert entries(folder / "history.db") == (ENTRY,)
        memory.keep(entry("a"))
        memory.keep(None)
        assert len(entries(folder / "history.db")) == 2
        assert memory.trouble == ""


def test_trouble_in_the_middle_of_a_class_is_told_once_and_nothing_raised(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried: list[str] = []

    def full(self: History, entry: Entry) -> str:
        tried.append(entry.take)
        raise sqlite3.OperationalError("database or disk is full")

    with remembering() as memory:
        memory.keep(ENTRY)
        monkeypatch.setattr(History, "_chart", full)
        memory.keep(entry("a"))
        memory.keep(entry("b"))
    assert memory.trouble.startswith("Not everything was kept in the history. The history in ")
    assert tried == ["a"]
