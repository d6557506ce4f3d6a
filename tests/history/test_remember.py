"""Keeping never stands in the way of grading. Own rule, no outside source."""

from pathlib import Path

import pytest

from evaluator.history import remember
from evaluator.history.place import history_file
from evaluator.history.store import entries
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
    assert "a new one was begun, and the old is " in remember([entry("a")])
